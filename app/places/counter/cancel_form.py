"""The form that cancels an order: why, and which fee the shop keeps."""

from wtforms import HiddenField, SelectChoice

from app.actions.orders.cancel import MAX_REASON_LENGTH, REASON_WORDS, Cancellation, usual_fee
from app.quoting.policy import PricingPolicy
from app.quoting.states import CancelReason
from app.store.models import Order
from app.web.formats import Formats
from app.web.forms import MoneyField, RadioChoiceField, ShopForm, TextField, max_length

REASONS = [SelectChoice(reason, words) for reason, words in REASON_WORDS.items()]


class CancelForm(ShopForm):
    """fee: offered with the usual fee of a customer who cancels."""

    version = HiddenField()
    reason = RadioChoiceField("Why is it cancelled?", choices=REASONS)
    reason_note = TextField("In words", [max_length(MAX_REASON_LENGTH, "A reason takes")])
    fee = MoneyField("Fee to keep")

    def cancellation(self, total_minor: int, pricing: PricingPolicy) -> Cancellation:
        """Returns what was typed. The form must be valid.

        A fee that was left as it was offered becomes the usual fee of the reason, which is 0 if the reason lies
        with the shop.
        """
        reason, fee_minor = CancelReason(self.reason.data), self.fee.value
        if fee_minor == usual_fee(total_minor, CancelReason.CUSTOMER, pricing):
            fee_minor = usual_fee(total_minor, reason, pricing)
        return Cancellation(reason, self.reason_note.data or "", fee_minor)


def cancel_form_of(order: Order, pricing: PricingPolicy, formats: Formats) -> CancelForm:
    """Returns a new form for the order, with the usual fee."""
    fee = usual_fee(order.total_minor, CancelReason.CUSTOMER, pricing)
    return CancelForm(data={"version": str(order.version), "fee": formats.amount(fee)})
