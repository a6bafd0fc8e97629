"""The money in the counter's answer: the bill, a price below the floor, what of hired goods is still to say."""

from dataclasses import dataclass

from app.quoting.quote import Quote
from app.quoting.rental_returns import unsaid_return
from app.web.bill import ShownBill, show_bill
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class QuotedMoney:
    """floor: a sentence where the price is below what the shop asks at least; it tells neither margin nor cost.
    unsaid: what of hired goods and a take-down is still to say. hired: whether something in it is."""

    bill: ShownBill
    floor: str
    unsaid: tuple[str, ...]
    rentals: bool


def show_money(quote: Quote, least_minor: int | None, formats: Formats) -> QuotedMoney:
    """least_minor: what the customer should pay at least, where the price is below it."""
    return QuotedMoney(
        bill=show_bill(quote.bill, formats),
        floor=_floor(least_minor, formats),
        unsaid=tuple(problem.sentence for problem in unsaid_return(quote)),
        rentals=bool(quote.rentals),
    )


def _floor(least_minor: int | None, formats: Formats) -> str:
    if least_minor is None:
        return ""
    return f"This price is below the shop's floor: at least {formats.money(least_minor)}, or ask the owner."
