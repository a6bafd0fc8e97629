"""This module words an order's price for the caller, and how its money stands for everybody."""

from collections.abc import Iterator
from datetime import datetime
from typing import Protocol

from app.craft.price import Balance, PaymentState
from app.quoting.policy import TaxMode
from app.quoting.states import OrderState
from app.store.models import Order
from app.web.formats import Formats


def low_price_words(least_minor: int, formats: Formats) -> str:
    """Returns what the owner reads about a list price that leaves less than the lowest profit."""
    return f"Price too low: charge at least {formats.money(least_minor)}."


def surplus_question(amount_minor: int, due_minor: int, formats: Formats) -> str:
    """Returns the question about a payment that is more than is due: “£50.00 is £23.60 more than is due. Save it
    anyway?”"""
    amount, over = formats.money(amount_minor), formats.money(amount_minor - due_minor)
    if due_minor == 0:
        return f"Nothing is due, but {amount} was entered. Save it anyway?"
    return f"{amount} is {over} more than is due. Save it anyway?"


class MoneyRow(Protocol):
    """A row of a list with what is due and what was paid for an order."""

    @property
    def state(self) -> OrderState: ...
    @property
    def due_minor(self) -> int: ...
    @property
    def paid_minor(self) -> int: ...
    @property
    def cancel_fee_minor(self) -> int: ...
    @property
    def not_made_at(self) -> datetime | None: ...
    @property
    def parts_gone(self) -> int: ...


def balance_of_row(row: MoneyRow) -> Balance:
    """Returns how the money of the row's order stands."""
    is_cancelled = row.state == OrderState.CANCELLED
    is_not_made = row.state == OrderState.OPEN and row.not_made_at is not None and not row.parts_gone
    return Balance(row.due_minor, row.paid_minor, is_cancelled, row.cancel_fee_minor, is_not_made)


def balance_words(balance: Balance, formats: Formats) -> str:
    """Returns how the money stands: “to pay £26.40”, “part paid, £16.40 to pay”, “paid”, or “to refund £5.00”; of
    an order that was cancelled or not made also that, and what becomes of its fee."""
    if balance.owes_only_fee:
        return f"{'cancelled' if balance.is_cancelled else 'not made'}, {_fee_words(balance, formats)}"
    due = formats.money(abs(balance.due_minor))
    if balance.state is PaymentState.PART_PAID:
        return f"part paid, {due} to pay"
    return "paid" if balance.state is PaymentState.PAID else f"{balance.state} {due}"


def money_words(balance: Balance, formats: Formats) -> str:
    """Returns how the money stands, beside the state of its order: “To pay £26.40”, “Paid”."""
    words = _fee_words(balance, formats) if balance.owes_only_fee else balance_words(balance, formats)
    return f"{words[0].upper()}{words[1:]}"


def _fee_words(balance: Balance, formats: Formats) -> str:
    """Returns what is to pay, was kept or is to refund of an order that owes only its fee."""
    fee, due = formats.money(balance.fee_minor), formats.money(abs(balance.due_minor))
    if balance.state is PaymentState.SETTLED:
        return "nothing to pay or refund"
    if balance.state is PaymentState.TO_REFUND:
        return f"to refund {due}" + (f", fee of {fee} kept" if balance.fee_minor else "")
    if balance.state is PaymentState.FEE_KEPT:
        return f"fee of {fee} kept"
    return f"fee of {fee} to pay" if balance.due_minor == balance.fee_minor else f"{due} of the fee of {fee} to pay"


def price_words(order: Order, balance: Balance, formats: Formats, *, is_past: bool = False) -> Iterator[str]:
    """Yields sentences about the extras, when rentals come back, what is to be paid and what was paid; about an
    order that was cancelled or not made only what becomes of its money. is_past: whether it should have left
    already, so that nothing is paid in advance any more."""
    is_past = is_past or order.state == OrderState.HANDED_OVER
    if balance.owes_only_fee:
        yield from _without_price(balance, formats)
        return
    if order.extras:
        yield f"Extras: {'; '.join(f'{one.quantity} × {one.title}' for one in order.extras)}."
    if order.take_down_at:
        yield f"Our crew takes everything down on {formats.moment(order.take_down_at)}."
    if order.return_by:
        yield f"You bring the rentals back by {formats.moment(order.return_by)}."
    yield from _pays(order, balance, formats, is_past=is_past)
    if is_past and balance.state is PaymentState.TO_PAY:
        yield f"{formats.money(balance.due_minor)} is still to pay."
    yield from _paid_so_far(balance, formats)


def _without_price(balance: Balance, formats: Formats) -> Iterator[str]:
    """Yields the fee that is kept, if any, and what is still to pay or to refund."""
    if balance.fee_minor:
        yield f"We keep a fee of {formats.money(balance.fee_minor)}."
    if balance.due_minor < 0:
        yield f"We refund you {formats.money(-balance.due_minor)}."
    elif balance.due_minor:
        yield f"You still pay {formats.money(balance.due_minor)}."
    else:
        yield "There is nothing more to pay or refund."


def _paid_so_far(balance: Balance, formats: Formats) -> Iterator[str]:
    """Yields what was paid and what is still to pay or to refund; nothing before the first payment."""
    due = formats.money(abs(balance.due_minor))
    if balance.state is PaymentState.PART_PAID:
        yield f"You have paid {formats.money(balance.paid_minor)}, and {due} is still to pay."
    elif balance.state is PaymentState.TO_REFUND:
        yield f"You have paid {due} too much; we refund it."
    elif balance.state is PaymentState.PAID:
        yield "Everything is paid."


def _pays(order: Order, balance: Balance, formats: Formats, *, is_past: bool) -> Iterator[str]:
    taxed = ", tax included" if order.tax_mode != TaxMode.NONE and order.tax_percent else ""
    yield f"The price is {formats.money(order.total_minor)}{taxed}."
    if order.rental_deposit_minor:
        deposit, both = order.rental_deposit_minor, order.total_minor + order.rental_deposit_minor
        yield (
            f"The security deposit on the rentals is {formats.money(deposit)}; you get it back when you return"
            f" them. Together that is {formats.money(both)}."
        )
    is_deposit_open = balance.paid_minor < order.deposit_asked_minor and balance.due_minor
    if is_deposit_open and not is_past:
        asked = formats.money(order.deposit_asked_minor)
        yield f"You pay a deposit of {asked} in advance; it is part of the price."
