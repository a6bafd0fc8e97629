"""The bill of an order: of one that is asked about, and of one that is kept."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from app.actions.errors import Problem, Refused
from app.craft.cost import CostLine, cost_minor
from app.craft.money import Amount, Percent, Portion
from app.craft.price import Bill, BillItem, Refundable
from app.quoting.extras import SoldExtra
from app.quoting.parts import SoldLine
from app.quoting.policy import TaxMode, TaxRule
from app.quoting.rental_items import RentalItem
from app.quoting.states import Direction
from app.store.models import Order, Payment

if TYPE_CHECKING:
    from app.quoting.quote import Quote

MOST_MINOR = 2_000_000_000
TOO_DEAR = Problem("order", "That comes to more than any order: check how many, and each price.")
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
    items = (
        *(BillItem(line.title, line.request.quantity, line.unit_minor) for line in lines),
        *(BillItem(extra.title, extra.request.quantity, extra.unit_minor) for extra in extras),
        *_venue_item(venue_minor),
    )
    refundables = tuple(
        Refundable(one.name, one.quantity, one.deposit_minor) for one in rentals if one.deposit_minor
    )
    return Bill(items, discount, rule.tax, deposit, refundables)


def _venue_item(minor: int) -> tuple[BillItem, ...]:
    return (BillItem(AT_THE_VENUE, 1, minor),) if minor else ()


def bill_of_order(order: Order, payments: Iterable[Payment] = ()) -> Bill:
    """As it was sold, with what was paid since. payments: those that stand."""
    items = (
        *(BillItem(line.title, line.quantity, line.unit_minor) for line in order.lines),
        *(BillItem(extra.title, extra.quantity, extra.unit_minor) for extra in order.extras),
        *_venue_item(order.venue_minor),
    )
    refundables = tuple(
        Refundable(rental.name, rental.quantity, rental.deposit_minor)
        for rental in order.rentals
        if rental.deposit_minor and rental.quantity
    )
    discount, deposit = read_discount(order.discount), Amount(order.deposit_asked_minor)
    return Bill(items, discount, tax_of(order).tax, deposit, refundables, signed(payments))


def signed(payments: Iterable[Payment]) -> tuple[int, ...]:
    """Minor units, what went back negative."""
    return tuple(one.amount_minor if one.direction == Direction.IN else -one.amount_minor for one in payments)


def deposit_of(order: Order) -> Portion:
    """As it was asked, in proportion to the total: what is changed later does not follow the shop's habits."""
    if not order.total_minor:
        return Amount(order.deposit_asked_minor)
    return Percent(Decimal(order.deposit_asked_minor) * 100 / order.total_minor)


def tax_of(order: Order) -> TaxRule:
    return TaxRule(TaxMode(order.tax_mode), order.tax_percent)


def fill_in_money(order: Order, quote: "Quote", cost: Sequence[CostLine]) -> None:
    bill = quote.bill
    order.discount, order.discount_minor = write_discount(quote.request.discount), bill.discount_minor
    order.tax_mode, order.tax_percent, order.tax_minor = quote.tax.mode, quote.tax.percent, bill.tax_minor
    order.total_minor, order.rental_deposit_minor = bill.total_minor, bill.refundable_minor
    order.deposit_asked_minor = bill.deposit_minor
    order.cost, order.cost_minor = [[line.title, line.minor] for line in cost], cost_minor(cost)
    if order.cost_minor > MOST_MINOR:
        raise Refused(TOO_DEAR)


def refuse_too_dear(bill: Bill) -> None:
    """Raises Refused above what the store can keep, which is far above any order."""
    if max(bill.items_minor, bill.to_pay_minor) > MOST_MINOR:
        raise Refused(TOO_DEAR)


def write_discount(discount: Portion) -> str:
    """“10%”, minor units as in “500”, or nothing."""
    if isinstance(discount, Percent):
        return f"{discount.percent}%"
    return str(discount.minor) if discount.minor else ""


def read_discount(saved: str) -> Portion:
    """The inverse of write_discount."""
    return Percent(Decimal(saved[:-1])) if saved.endswith("%") else Amount(int(saved or 0))
