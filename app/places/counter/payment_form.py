"""The money on the page of an order, and the form that saves a payment."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from wtforms import HiddenField, SelectChoice

from app.actions.money.account import Account, load_account
from app.actions.money.payments import MAX_NOTE_LENGTH, PaymentInput, payments_so_far
from app.quoting.states import PaymentDirection, PaymentMethod
from app.store.models import Order, Payment
from app.store.queries.money import payments_of
from app.web.bill import BillRow, rows_below
from app.web.formats import Formats
from app.web.forms import MoneyField, RadioChoiceField, ShopForm, TextField, max_length
from app.web.htmx import new_key
from app.web.requests import request_context
from app.web.wording.bill import balance_words, surplus_question

PAYMENT_METHODS = [
    SelectChoice(PaymentMethod.CASH, "Cash"),
    SelectChoice(PaymentMethod.CARD, "Card"),
    SelectChoice(PaymentMethod.TRANSFER, "Transfer"),
    SelectChoice(PaymentMethod.OTHER, "Other"),
]
PAYMENT_PURPOSES = [SelectChoice("price", "The order"), SelectChoice("rental", "Security deposit")]
DIRECTIONS = [SelectChoice(PaymentDirection.IN, "Paid"), SelectChoice(PaymentDirection.BACK, "Refunded")]
QUICK_PAYMENT_KEY = re.compile(r"(in|back)-(price|rental)-([0-9]{1,9})(-sure)?")


@dataclass(frozen=True, slots=True)
class QuickPayment:
    """An amount that a button saves as the page showed it, whatever becomes due meanwhile."""

    direction: PaymentDirection
    rental: bool
    minor: int
    words: str

    @property
    def key(self) -> str:
        """What the button sends: “in-price-2640”."""
        return f"{self.direction}-{'rental' if self.rental else 'price'}-{self.minor}"


@dataclass(frozen=True, slots=True)
class SurplusQuestion:
    """The question whether more than is due was really paid. key: what its button sends to save it. over_minor: how
    much more it is."""

    key: str
    over_minor: int
    words: str


class PaymentForm(ShopForm):
    """pressed: the key of a one-press amount; anything else means the typed amount. asked: the question about an
    amount that is more than is due; None unless it is asked."""

    field_names: ClassVar = {"rental": "what"}

    client_key = HiddenField()
    seen = HiddenField()
    how = RadioChoiceField("Paid by", choices=PAYMENT_METHODS, default=PaymentMethod.CASH)
    note = TextField("Note", [max_length(MAX_NOTE_LENGTH, "A note takes")])
    amount = MoneyField("Another amount")
    what = RadioChoiceField("For", choices=PAYMENT_PURPOSES, default="price")
    direction = RadioChoiceField("Paid or refunded", choices=DIRECTIONS, default=PaymentDirection.IN)

    pressed = ""
    asked: "SurplusQuestion | None" = None

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        return name != "amount" or not QUICK_PAYMENT_KEY.fullmatch(self.pressed)

    @property
    def is_sure(self) -> bool:
        """Whether it was pressed to save this amount although it is more than is due."""
        found = QUICK_PAYMENT_KEY.fullmatch(self.pressed)
        return bool(found and found[4])

    @property
    def money(self) -> PaymentInput:
        """Returns what was typed. The form must be valid."""
        how, note = PaymentMethod(self.how.data), self.note.data or ""
        if found := QUICK_PAYMENT_KEY.fullmatch(self.pressed):
            return PaymentInput(int(found[3]), how, PaymentDirection(found[1]), found[2] == "rental", note)
        return PaymentInput(
            self.amount.value, how, PaymentDirection(self.direction.data), self.what.data == "rental", note
        )


@dataclass(frozen=True, slots=True)
class OrderMoney:
    """below: rows of the bill below its lines. due: what is due and who owes it, in words. parts: the same for the
    price and for security deposits, if both count. deposit: what of the deposit asked is still to pay."""

    account: Account
    payments: Sequence[Payment]
    below: tuple[BillRow, ...]
    due: str
    parts: tuple[str, ...]
    deposit: str
    deposit_state: str
    quick_payments: tuple[QuickPayment, ...]
    form: PaymentForm

    @property
    def can_refund(self) -> bool:
        """Whether money can be refunded."""
        return self.account.paid_minor > 0

    @property
    def can_pay(self) -> bool:
        """Whether a payment or a refund can be saved."""
        return _can_pay(self.account)


def ask_about_surplus(money: PaymentInput, due_minor: int, formats: Formats) -> SurplusQuestion:
    """Returns the question about a payment that is more than is due. due_minor: all that is due, 0 or more."""
    press = QuickPayment(money.direction, money.rental, money.amount_minor, "")
    words = surplus_question(money.amount_minor, due_minor, formats)
    return SurplusQuestion(f"{press.key}-sure", money.amount_minor - due_minor, words)


def show_money(order: Order, refused: PaymentForm | None = None) -> OrderMoney:
    """Returns the money of the order. refused: the form with its problems; without one a new form has what is
    due."""
    here = request_context()
    payments = payments_of(here.session, order.id)
    account = load_account(here.session, order)
    quick_payments = tuple(_quick_payments(account, here.formats))
    form = refused or _filled_in(quick_payments, here.formats)
    form.seen.data = str(payments_so_far(payments))
    if account.is_quick_sale or not _can_pay(account):
        form.move_errors_to_form()
    parts = (("for the order", account.price), ("as a security deposit", account.rental))
    return OrderMoney(
        account=account,
        payments=payments,
        below=rows_below(account.sold, here.formats),
        due=balance_words(account.balance, here.formats),
        parts=tuple(f"{balance_words(bill.balance, here.formats)} {what}" for what, bill in parts)
        if account.has_rental
        else (),
        deposit=_deposit(account, here.formats),
        deposit_state="due" if account.price.deposit_due_minor else "paid",
        quick_payments=quick_payments,
        form=form,
    )


def _can_pay(account: Account) -> bool:
    """Returns whether a payment or a refund can be saved: of an order that was cancelled or not made, if a fee is
    due or money is left."""
    return not account.balance.owes_only_fee or account.price.due_minor > 0 or account.paid_minor > 0


def _filled_in(quick_payments: Sequence[QuickPayment], formats: Formats) -> PaymentForm:
    """Returns a new form with the first amount that is due."""
    form = PaymentForm()
    form.client_key.data = new_key()
    if quick_payments:
        due = quick_payments[-1]
        form.amount.data, form.direction.data = formats.amount(due.minor), due.direction
        form.what.data = "rental" if due.rental else "price"
    return form


def _quick_payments(account: Account, formats: Formats) -> Iterator[QuickPayment]:
    """Yields the amounts that buttons save: security deposits first, then the deposit asked, and last the
    price or the rest of it."""
    if account.is_quick_sale:
        return
    for rental, bill in ((True, account.rental), (False, account.price)):
        due, asked = bill.due_minor, bill.deposit_due_minor
        if 0 < asked < due:
            which = "rest of deposit" if bill.paid_minor else "deposit"
            yield QuickPayment(PaymentDirection.IN, rental, asked, f"Save {which} {formats.money(asked)}")
        if due > 0:
            which = "security deposit" if rental else _price_words(account)
            words = f"Save {which} {formats.money(due)}"
            yield QuickPayment(PaymentDirection.IN, rental, due, words)
        if due < 0:
            what = "security deposit" if rental else "payment"
            yield QuickPayment(PaymentDirection.BACK, rental, -due, f"Save refund of {what} {formats.money(-due)}")


def _price_words(account: Account) -> str:
    """Returns what is paid for when all that is due of the price is paid."""
    if account.is_cancelled:
        return "rest of the fee" if account.price.paid_minor else "cancellation fee"
    return "rest of the price" if account.price.paid_minor else "full price"


def _deposit(account: Account, formats: Formats) -> str:
    """Returns in words what of the deposit asked is still to pay."""
    asked = account.price.deposit_minor
    if not asked or account.is_quick_sale:
        return ""
    due = account.price.deposit_due_minor
    state = f"{formats.money(due)} still to pay" if 0 < due < asked else "to pay" if due else "paid"
    return f"Deposit {formats.money(asked)}: {state}"
