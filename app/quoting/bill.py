"""The bill of a quote, and how its discount is saved."""

from collections.abc import Sequence
from decimal import Decimal

from app.craft.money import Amount, Percent, Portion
from app.craft.price import Bill, BillItem, Refundable
from app.quoting.errors import Problem, Refused
from app.quoting.extras import SoldExtra
from app.quoting.parts import SoldLine
from app.quoting.policy import TaxRule
from app.quoting.rentals import RentalItem

MOST_MINOR = 2_000_000_000
TOO_DEAR = Problem("order", "The total is too high. Check each quantity and price.")
AT_THE_VENUE = "Filled at the venue"


def make_bill(
    lines: Sequence[SoldLine],
    extras: Sequence[SoldExtra],
    venue_minor: int,
    discount: Portion,
    rule: TaxRule,
    deposit: Portion,
    rentals: Sequence[RentalItem],
) -> Bill:
    """Returns the bill of a quote: lines, extras and the fee for filling at the venue, with the security
    deposits."""
    items = (
        *(BillItem(line.title, line.request.quantity, line.unit_minor) for line in lines),
        *(BillItem(extra.title, extra.request.quantity, extra.unit_minor) for extra in extras),
        *venue_item(venue_minor),
    )
    refundables = tuple(
        Refundable(one.name, one.quantity, one.deposit_minor) for one in rentals if one.deposit_minor
    )
    return Bill(items, discount, rule.tax, deposit, refundables)


def venue_item(minor: int) -> tuple[BillItem, ...]:
    """Returns the fee for filling at the venue as an item of the bill; empty if there is no fee."""
    return (BillItem(AT_THE_VENUE, 1, minor),) if minor else ()


def refuse_too_dear(bill: Bill) -> None:
    """Raises Refused above what the store can save, which is far above any order."""
    if max(bill.items_minor, bill.to_pay_minor) > MOST_MINOR:
        raise Refused(TOO_DEAR)


def write_discount(discount: Portion) -> str:
    """Returns the discount as it is saved: “10%”, minor units as in “500”, or nothing."""
    if isinstance(discount, Percent):
        return f"{discount.percent}%"
    return str(discount.minor) if discount.minor else ""


def read_discount(saved: str) -> Portion:
    """Returns the discount that was saved."""
    return Percent(Decimal(saved[:-1])) if saved.endswith("%") else Amount(int(saved or 0))
