"""Records of what was paid or paid back, and their undoing. Money itself moves elsewhere; no card data is saved."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import combinations

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.money.account import Account, account_of, load_account
from app.actions.records.history import touch_board, write_history
from app.actions.records.idempotency import save_once, saved_with_key
from app.actions.records.orders import load_order
from app.actions.records.shop import setting_values
from app.craft.money import format_minor
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderState, PaymentDirection, PaymentMethod
from app.store.models import Order, Payment
from app.store.queries.money import active_payments, payments_of

MAX_PAYMENT_MINOR = 100_000_000
MAX_NOTE_LENGTH = 300
REFUND_FIRST = "This money was refunded. Undo the refund first."
ALREADY_SAVED = "This form already saved a payment. Check the list, then save again."
SALE_IS_PAID = "Order {number} is a quick sale. It is already paid."
NOTHING_TO_PAY = "Order {number} is cancelled, so there is nothing to pay. Reopen the order first."
NO_AMOUNT = "Enter an amount above 0."
PAYMENT_TOO_LARGE = "This amount is too large. Check the decimal point."
CARD_NUMBER = "This looks like a card number. Card numbers are never saved: remove it."
MORE_THAN_PAID = "This is more than was paid {purpose}. Enter a smaller refund."
NO_RENTAL_DEPOSIT = "This order has no security deposit. Choose “The order”."
PURPOSE_WORDS = {False: "for the order", True: "as a security deposit"}
"""What a payment is for, by whether it is for rentals."""

METHOD_WORDS = {
    PaymentMethod.CASH: " in cash",
    PaymentMethod.CARD: " by card",
    PaymentMethod.TRANSFER: " by transfer",
    PaymentMethod.OTHER: "",
}


class MoreThanDue(Refused):
    """More is paid than is due; it is saved only when somebody is sure. due_minor: with security deposits."""

    def __init__(self, due_minor: int) -> None:
        super().__init__(Problem("sure", "This is more than is due."))
        self.due_minor = due_minor


@dataclass(frozen=True, slots=True)
class PaymentInput:
    """rental: whether it is a security deposit, which is apart from the price."""

    amount_minor: int
    how: PaymentMethod = PaymentMethod.CASH
    direction: PaymentDirection = PaymentDirection.IN
    rental: bool = False
    note: str = ""


def add_payment(
    context: Context,
    number: int,
    money: PaymentInput,
    client_key: str,
    seen: int | None = None,
    *,
    sure: bool = False,
) -> Payment:
    """Saves a payment and returns it. A second call with the same key returns the first one.

    seen: how often money was recorded or undone when the page was made; if it happened since, the payment is
    refused. sure: whether it is saved although more is paid than is due. Raises NotFound, MoreThanDue, Refused.
    """
    order = load_order(context.session, number, to_change=True)
    if known := saved_with_key(context.session, Payment, client_key):
        _refuse_other(known, order, money)
        return known
    payments = payments_of(context.session, order.id)
    account = load_account(context.session, order)
    _refuse_wrong(order, account, money)
    if seen is not None and seen != payments_so_far(payments):
        raise Refused(_meanwhile(context.session, payments))
    if not sure and money.direction is PaymentDirection.IN and money.amount_minor > account.most_due_minor:
        raise MoreThanDue(account.most_due_minor)
    new = _payment(order, money, context.now, context.who, client_key)
    payment = save_once(context.session, new)
    if payment is not new:
        return payment
    write_history(context, order, _in_words(context.session, payment), [])
    touch_board(context.session)
    return payment


def pay_what_is_due(context: Context, number: int, how: PaymentMethod, due_minor: int, client_key: str) -> Order:
    """Saves that the customer paid all that is due, first the security deposits. A second call with the same key
    changes nothing.

    due_minor: what the page showed; if something else is due meanwhile, nothing is saved. Raises NotFound, Refused.
    """
    order = load_order(context.session, number, to_change=True)
    keys = {rental: f"{client_key} {PURPOSE_WORDS[rental]}" for rental in (True, False)}
    if any(saved_with_key(context.session, Payment, key) for key in keys.values()):
        return order
    account = load_account(context.session, order)
    if account.due_minor != due_minor:
        raise Refused(_meanwhile(context.session, payments_of(context.session, order.id)))
    deposits = min(max(account.rental.due_minor, 0), due_minor)
    for rental, minor in ((True, deposits), (False, due_minor - deposits)):
        if minor:
            add_payment(context, number, PaymentInput(minor, how, rental=rental), keys[rental])
    return order


def undo_payment(context: Context, number: int, payment_id: int) -> Order:
    """Undoes a payment; a second undo of the same payment changes nothing. Raises NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    payment = context.session.get(Payment, payment_id)
    if payment is None or payment.order_id != order.id:
        raise NotFound("This payment does not exist, so it cannot be undone.")
    if payment.undone_at is not None:
        return order
    rest = [one for one in active_payments(context.session, order.id) if one is not payment]
    if account_of(order, rest).of(rental=payment.rental).paid_minor < 0:
        raise Refused(Problem("payment", REFUND_FIRST))
    payment.undone_at, payment.undone_by = context.now, context.who
    context.session.flush()  # the active payments are read again right after
    write_history(context, order, f"undone: {_in_words(context.session, payment)}", [])
    touch_board(context.session)
    return order


def payments_so_far(payments: Sequence[Payment]) -> int:
    """Returns how often money was recorded or a record undone; it grows with each."""
    return len(payments) + sum(payment.undone_at is not None for payment in payments)


def describe_payment(payment: Payment, amount: str) -> str:
    """Returns the payment in words: “£20.00 paid by card, security deposit”."""
    verb = "paid" if payment.direction == PaymentDirection.IN else "refunded"
    return (
        f"{amount} {verb}{METHOD_WORDS[PaymentMethod(payment.how)]}{', security deposit' if payment.rental else ''}"
    )


def _in_words(session: Session, payment: Payment) -> str:
    """Returns the payment in words, in the shop's currency."""
    values = setting_values(session)
    decimals, symbol = int(values["currency_decimals"]), str(values["currency_symbol"])
    return describe_payment(payment, format_minor(payment.amount_minor, decimals, symbol))


def _payment(order: Order, money: PaymentInput, now: datetime, who: str, client_key: str) -> Payment:
    """Returns the payment as a row."""
    return Payment(
        client_key=client_key,
        order_id=order.id,
        direction=money.direction,
        rental=money.rental,
        amount_minor=money.amount_minor,
        how=money.how,
        note=money.note.strip(),
        at=now,
        who=who,
    )


def _refuse_other(known: Payment, order: Order, money: PaymentInput) -> None:
    """Raises Refused if the form is not the one saved before. The same form sent twice is one payment; the same
    form with other contents is a mistake."""
    saved = PaymentInput(
        amount_minor=known.amount_minor,
        how=known.how,
        direction=known.direction,
        rental=known.rental,
        note=known.note,
    )
    if known.order_id != order.id or saved != replace(money, note=money.note.strip()):
        raise Refused(Problem("amount", ALREADY_SAVED))


def _refuse_wrong(order: Order, account: Account, money: PaymentInput) -> None:
    """Raises Refused for an amount or a note that cannot be right."""
    if money.amount_minor < 1:
        raise Refused(Problem("amount", NO_AMOUNT))
    if money.amount_minor > MAX_PAYMENT_MINOR:
        raise Refused(Problem("amount", PAYMENT_TOO_LARGE))
    if len(money.note) > MAX_NOTE_LENGTH:
        raise Refused(Problem("note", f"Enter a note of at most {MAX_NOTE_LENGTH} characters."))
    if holds_card_number(money.note):
        raise Refused(Problem("note", CARD_NUMBER))
    if order.is_quick_sale:
        raise Refused(Problem("amount", SALE_IS_PAID.format(number=order.number)))
    if money.direction is PaymentDirection.IN:
        _refuse_if_nothing_due(order, account, money)
    elif money.amount_minor > account.of(rental=money.rental).paid_minor:
        raise Refused(Problem("amount", MORE_THAN_PAID.format(purpose=PURPOSE_WORDS[money.rental])))


def _refuse_if_nothing_due(order: Order, account: Account, money: PaymentInput) -> None:
    """Raises Refused if nothing of the kind is due."""
    if order.state == OrderState.CANCELLED and account.price.due_minor <= 0:
        raise Refused(Problem("amount", NOTHING_TO_PAY.format(number=order.number)))
    if money.rental and not account.rental.refundables:
        raise Refused(Problem("rental", NO_RENTAL_DEPOSIT))


def _meanwhile(session: Session, payments: Sequence[Payment]) -> Problem:
    """Returns the problem that names what the page did not show yet."""
    if not payments:
        return Problem("amount", "This page was out of date. Check the amount, then save again.")
    latest = max(payments, key=lambda one: one.undone_at or one.at)
    what = _in_words(session, latest)
    done = f"{latest.undone_by} undid “{what}”" if latest.undone_at else f"{latest.who} saved “{what}”"
    return Problem("amount", f"Meanwhile {done}. Check the amount, then save again.")


SHORTEST, LONGEST = 12, 19
"""Digits of a card's number; ISO/IEC 7812-1, from memory."""
_GROUPS = re.compile(r"\d+(?:[\s\-‐‑–—−]+\d+)*")


def holds_card_number(text: str) -> bool:
    """Returns whether whole groups of digits, with spaces or dashes between them, form a number with a valid check
    digit.

    One in ten other numbers of that length has a valid check digit by chance.
    """
    return any(_is_card(number) for run in _GROUPS.findall(text) for number in _numbers(re.findall(r"\d+", run)))


def _numbers(groups: list[str]) -> list[str]:
    """Returns the numbers that neighbouring groups of digits form."""
    ends = range(len(groups) + 1)
    return ["".join(groups[first:last]) for first, last in combinations(ends, 2)]


def _is_card(digits: str) -> bool:
    """Returns whether the digits have a card's length and a valid check digit."""
    return SHORTEST <= len(digits) <= LONGEST and check_sum(digits) % 10 == 0


def check_sum(digits: str) -> int:
    """Returns the Luhn sum: from the right every second digit is doubled, and the digits of all are added up."""
    doubled = (int(digit) * (1 + place % 2) for place, digit in enumerate(reversed(digits)))
    return sum(number // 10 + number % 10 for number in doubled)
