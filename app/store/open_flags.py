"""This module keeps two flags of each order: whether something is still to pay, and whether something is still to
come back.

They are what the sums over its payments and returns say, written in the same transaction as whatever changes those,
so that the few orders that are open are found among all orders by an index of the flag.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, Update, and_, bindparam, case, event, inspect, or_, select, update
from sqlalchemy.orm import Session

from app.quoting.states import HandOverStep, OrderState
from app.store.models import Order, Payment, Rental, RentalReturn, Tap
from app.store.queries.money import balance_due
from app.store.queries.rentals import TAKEN_DOWN, is_unfinished
from app.store.versions import changed_rows

DECISIVE = (
    *("state", "total_minor", "cancel_fee_minor", "cost_minor", "occasion", "taken_at", "handed_over_at"),
    *("take_down_at", "not_made_at"),
)
"""The columns of an order on which its flags depend."""


def says_unpaid() -> ColumnElement[bool]:
    """Returns the condition that the sums say that something is to pay for an order."""
    return balance_due() > 0


def says_unreturned() -> ColumnElement[bool]:
    """Returns the condition that rental items of an order are not back, or that its take-down is to be done."""
    return and_(Order.state != OrderState.CANCELLED, is_unfinished())


@event.listens_for(Session, "after_flush")
def _update_flags(session: Session, _context: Any) -> None:
    changed = [*changed_rows(session, (Order, Payment, Rental, RentalReturn, Tap))]
    order_ids = {*_orders_of(changed)}
    rental_ids = {row.rental_id for row in changed if isinstance(row, RentalReturn)}
    if order_ids or rental_ids:
        values = {"order_ids": [*order_ids], **({"rental_ids": [*rental_ids]} if rental_ids else {})}
        # On the connection, since the session is in the middle of a flush.
        session.connection().execute(_update(of_rentals=bool(rental_ids)), values)


@cache
def _update(*, of_rentals: bool) -> Update:
    """Returns the statement that writes the flags of some orders, and of those with some rentals."""
    said = {"unpaid": says_unpaid(), "unreturned": says_unreturned()}
    touched: ColumnElement[bool] = Order.id.in_(bindparam("order_ids", expanding=True))
    if of_rentals:
        with_rental = select(Rental.order_id).where(Rental.id.in_(bindparam("rental_ids", expanding=True)))
        touched = or_(touched, Order.id.in_(with_rental))
    return update(Order).where(touched).values({name: case((one, 1), else_=0) for name, one in said.items()})


def _orders_of(changed: list[Any]) -> Iterator[int]:
    """Yields the ids of the orders whose sums may have changed."""
    for row in changed:
        if isinstance(row, Order):
            state = inspect(row)
            if row.id and (state.pending or any(state.attrs[name].history.has_changes() for name in DECISIVE)):
                yield row.id
        elif isinstance(row, (Payment, Rental)) or (
            isinstance(row, Tap) and row.act in (TAKEN_DOWN, HandOverStep.HANDED_OVER)
        ):
            yield row.order_id
