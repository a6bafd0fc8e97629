"""The money in the quote: the bill, a discount or typed price below the floor, and what rentals still need."""

from dataclasses import dataclass

from app.quoting.quote import Quote
from app.quoting.rental_returns import return_problems
from app.web.bill import ShownBill, show_bill
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class QuotedMoney:
    """total_minor: the price in minor units. to_pay: what is to be paid with the security deposits; empty if
    there are none. deposit: what is asked beforehand; empty if nothing is. floor: a sentence if the price is below
    what the shop asks at least; it reveals neither margin nor cost. missing_details: what is still needed about
    rented items and a take-down. rentals: whether anything in it is rented."""

    bill: ShownBill
    total_minor: int
    to_pay: str
    deposit: str
    floor: str
    missing_details: tuple[str, ...]
    rentals: bool


def show_money(quote: Quote, least_minor: int | None, formats: Formats) -> QuotedMoney:
    """Returns the money of the quote. least_minor: what the customer should pay at least; None if the price is not
    below it."""
    return QuotedMoney(
        bill=show_bill(quote.bill, formats),
        total_minor=quote.bill.total_minor,
        to_pay=formats.money(quote.bill.to_pay_minor) if quote.bill.refundables else "",
        deposit=formats.money(quote.bill.deposit_minor) if quote.bill.deposit_minor else "",
        floor=_floor(least_minor, formats),
        missing_details=tuple(problem.sentence for problem in return_problems(quote)),
        rentals=bool(quote.rentals),
    )


def _floor(least_minor: int | None, formats: Formats) -> str:
    """Returns the sentence about the price; empty if it is not too low."""
    if least_minor is None:
        return ""
    return f"Price too low: charge at least {formats.money(least_minor)}, or ask the owner."
