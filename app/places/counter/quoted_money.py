"""The money in the quote: the bill, a price below the floor, and what is still needed about rented items."""

from dataclasses import dataclass

from app.quoting.quote import Quote
from app.quoting.rental_returns import return_problems
from app.web.bill import ShownBill, show_bill
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class QuotedMoney:
    """floor: a sentence if the price is below what the shop asks at least; it reveals neither margin nor cost.
    missing_details: what is still needed about rented items and a take-down. rentals: whether anything in it is
    rented."""

    bill: ShownBill
    floor: str
    missing_details: tuple[str, ...]
    rentals: bool


def show_money(quote: Quote, least_minor: int | None, formats: Formats) -> QuotedMoney:
    """Returns the money of the quote. least_minor: what the customer should pay at least; None if the price is not
    below it."""
    return QuotedMoney(
        bill=show_bill(quote.bill, formats),
        floor=_floor(least_minor, formats),
        missing_details=tuple(problem.sentence for problem in return_problems(quote)),
        rentals=bool(quote.rentals),
    )


def _floor(least_minor: int | None, formats: Formats) -> str:
    """Returns the sentence about the price; empty if it is not too low."""
    if least_minor is None:
        return ""
    return f"This price is below the shop's floor: at least {formats.money(least_minor)}, or ask the owner."
