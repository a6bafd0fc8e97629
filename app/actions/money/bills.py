"""The bill of a saved order, with what was paid since."""

from collections.abc import Iterable

from app.actions.records.rebuild_request import tax_of
from app.craft.money import Amount
from app.craft.price import Bill, BillItem, Refundable
from app.quoting.bill import read_discount, venue_item
from app.quoting.states import Direction
from app.store.models import Order, Payment


def bill_of_order(order: Order, payments: Iterable[Payment] = ()) -> Bill:
    """Returns the bill as the order was sold, with the payments. payments: those that were not undone."""
    items = (
        *(BillItem(line.title, line.quantity, line.unit_minor) for line in order.lines),
        *(BillItem(extra.title, extra.quantity, extra.unit_minor) for extra in order.extras),
        *venue_item(order.venue_minor),
    )
    refundables = tuple(
        Refundable(rental.name, rental.quantity, rental.deposit_minor)
        for rental in order.rentals
        if rental.deposit_minor and rental.quantity
    )
    discount, deposit = read_discount(order.discount), Amount(order.deposit_asked_minor)
    return Bill(items, discount, tax_of(order).tax, deposit, refundables, signed(payments))


def signed(payments: Iterable[Payment]) -> tuple[int, ...]:
    """Returns the payments in minor units; what was paid back is negative."""
    return tuple(one.amount_minor if one.direction == Direction.IN else -one.amount_minor for one in payments)
