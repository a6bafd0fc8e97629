"""This module cancels an order, or reopens it."""

from dataclasses import dataclass

from app.actions.context import Context
from app.actions.errors import ChangedMeanwhile
from app.actions.orders.overrides import NO_OVERRIDES, Overrides, overrides_to_reopen
from app.actions.records.descriptions import HistoryFormats, describe_changes, describe_order
from app.actions.records.history import history_of
from app.actions.records.orders import load_order, next_version
from app.actions.records.taps import handed_over_parts
from app.actions.stock.consumption import consume_balloons, stock_used_by
from app.craft.money import Percent
from app.quoting.errors import Problem, Refused
from app.quoting.policy import PricingPolicy
from app.quoting.states import CancelReason, OrderState
from app.store.models import Order

NOT_REOPENED = "Order {number} is handed over. It cannot be reopened."
NO_REASON = "Say in a few words why it is cancelled."
FEE_OUT_OF_RANGE = "Enter a fee from 0 to the price of the order."
MAX_REASON_LENGTH = 300

REASON_WORDS = {
    CancelReason.CUSTOMER: "Customer cancelled",
    CancelReason.CANNOT_MAKE: "We cannot make it",
    CancelReason.MISTAKE: "Entered by mistake",
    CancelReason.OTHER: "Another reason",
}


@dataclass(frozen=True, slots=True)
class Cancellation:
    """Why an order is cancelled, and the fee that the shop keeps, in minor units. note: more about the reason; the
    reason OTHER needs one."""

    reason: CancelReason
    note: str = ""
    fee_minor: int = 0

    @property
    def words(self) -> str:
        """The reason as it is saved: “Customer cancelled: the party moved.”"""
        note = self.note.strip()
        if self.reason is CancelReason.OTHER:
            return note
        return f"{REASON_WORDS[self.reason]}: {note}" if note else REASON_WORDS[self.reason]


def usual_fee(total_minor: int, reason: CancelReason, pricing: PricingPolicy) -> int:
    """Returns the fee that is offered for a reason, in minor units, rounded half up; 0 if the reason lies with the
    shop."""
    return Percent(pricing.cancellation_fee_percent).of(total_minor) if reason.keeps_fee else 0


def cancel_order(context: Context, number: int, version: int, cancellation: Cancellation) -> Order:
    """Cancels the order, keeps the fee, and returns the order. An order that is cancelled already stays as it is.

    Raises NotFound, Refused, ChangedMeanwhile.
    """
    order = load_order(context.session, number, to_change=True)
    if order.state == OrderState.CANCELLED:
        return order
    if order.version != version:
        raise ChangedMeanwhile(order, history_of(context.session, order, version))
    if order.state != OrderState.OPEN:
        raise Refused(Problem("order", f"Order {number} is handed over. It can no longer be cancelled."))
    if handed_over_parts(context.session, order):
        raise Refused(
            Problem("order", "A part of this order is handed over. Edit the order and remove the other lines.")
        )
    _refuse_wrong(order, cancellation)
    formats = HistoryFormats.of(context.shop)
    _set_state(context, order, OrderState.CANCELLED)
    before = describe_order(order, formats)
    order.cancelled_at, order.cancel_reason = context.now, cancellation.words
    order.cancel_fee_minor = cancellation.fee_minor
    next_version(context, order, "cancelled", describe_changes(before, describe_order(order, formats)))
    return order


def _refuse_wrong(order: Order, cancellation: Cancellation) -> None:
    """Raises Refused without a reason, or for a fee that cannot be."""
    if not cancellation.words:
        raise Refused(Problem("reason_note", NO_REASON))
    if len(cancellation.note) > MAX_REASON_LENGTH:
        raise Refused(Problem("reason_note", f"Enter a reason of at most {MAX_REASON_LENGTH} characters."))
    if not 0 <= cancellation.fee_minor <= order.total_minor:
        raise Refused(Problem("fee", FEE_OUT_OF_RANGE))


def reopen_order(
    context: Context,
    number: int,
    typed: Overrides = NO_OVERRIDES,
) -> Order:
    """Reopens a cancelled order as it was.

    It needs a reason if the bench cannot make it in time or something is short; the saved reason stays unless
    another is typed. Raises NotFound, Refused.
    """
    order = load_order(context.session, number, to_change=True)
    if order.state == OrderState.HANDED_OVER:
        raise Refused(Problem("order", NOT_REOPENED.format(number=number)))
    if order.is_quick_sale:
        raise Refused(Problem("order", f"Quick sale {number} was undone. Sell it again as a quick sale."))
    if order.state == OrderState.CANCELLED:
        with context.session.begin_nested():  # the bench counts only the work of open orders
            _set_state(context, order, OrderState.OPEN)
            said = overrides_to_reopen(context, order, typed)
        formats = HistoryFormats.of(context.shop)
        before = describe_order(order, formats)
        order.bench_override, order.stock_override = said.bench, said.stock
        order.cancelled_at, order.cancel_reason, order.cancel_fee_minor = None, "", 0
        changes = describe_changes(before, describe_order(order, formats))
        next_version(context, order, "reopened", changes)
    return order


def _set_state(context: Context, order: Order, state: OrderState) -> None:
    """Changes the state of the order and updates the stock.

    All that was filled for a cancelled order is taken from stock; for an open order only whole batches are.
    """
    before = [(batch, stock_used_by(batch)) for batch in order.batches]
    order.state = state
    for batch, used in before:
        consume_balloons(context, batch, used)
