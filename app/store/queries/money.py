"""This module reads what was paid for orders."""

from typing import Any

from sqlalchemy import BigInteger, ColumnElement, Select, and_, case, cast, func, select
from sqlalchemy.orm import Session

from app.quoting.states import HandOverStep, OrderState, PaymentDirection
from app.store.models import Order, Payment, Rental, RentalReturn
from app.store.queries.progress import parts_with_step
from app.store.queries.rentals import returned_pieces
from app.store.queries.sales import is_quick_sale


def payments_of(session: Session, order_id: int) -> list[Payment]:
    """Returns all payments of an order, including those that were undone, the oldest first."""
    return list(session.scalars(select(Payment).where(Payment.order_id == order_id).order_by(Payment.id)))


def active_payments(session: Session, order_id: int) -> list[Payment]:
    """Returns the payments of an order that were not undone."""
    return [payment for payment in payments_of(session, order_id) if payment.undone_at is None]


def balance_due() -> ColumnElement[int]:
    """Returns an SQL expression for what is still to pay for an order, security deposits included; below 0,
    it is to be paid back.

    It is the account's `due_minor` for many orders in one statement: of a cancelled order what is left of its fee,
    of one that was not made what is to be paid back, and 0 for quick sales and for orders handed over before
    payments were recorded.
    """
    out = case((Rental.quantity > returned_pieces(), Rental.quantity - returned_pieces()), else_=0)
    held = select(func.sum(out * Rental.deposit_minor)).where(Rental.order_id == Order.id)
    saved = (
        select(func.sum(RentalReturn.kept_minor))
        .join(Rental, Rental.id == RentalReturn.rental_id)
        .where(Rental.order_id == Order.id, RentalReturn.undone_at.is_(None))
    )
    due = Order.total_minor + _of_order(held) + _of_order(saved) - balance_paid()
    fee_due = Order.cancel_fee_minor - balance_paid()
    noted = select(func.count(Payment.id)).where(Payment.order_id == Order.id, Payment.undone_at.is_(None))
    unnoted = and_(Order.cost_minor.is_(None), Order.state == OrderState.HANDED_OVER, _of_order(noted) == 0)
    return case(
        (is_quick_sale(), 0),
        (Order.state == OrderState.CANCELLED, fee_due),
        (is_not_made(), -balance_paid()),
        (unnoted, 0),
        else_=due,
    )


def is_not_made() -> ColumnElement[bool]:
    """Returns the condition that an order was not made, and that no part of it was handed over either."""
    nothing_left = parts_with_step(HandOverStep.HANDED_OVER) == 0
    return and_(Order.state == OrderState.OPEN, Order.not_made_at.is_not(None), nothing_left)


def balance_paid() -> ColumnElement[int]:
    """Returns an SQL expression for what was paid for an order, less what was refunded. What counts as paid
    without a record, as a quick sale does, is not in it."""
    signed = case((Payment.direction == PaymentDirection.IN, Payment.amount_minor), else_=-Payment.amount_minor)
    return _of_order(select(func.sum(signed)).where(Payment.order_id == Order.id, Payment.undone_at.is_(None)))


def _of_order(found: Select[Any]) -> ColumnElement[int]:
    """Returns a sum as a whole number, because PostgreSQL makes a decimal of the sum of large whole numbers."""
    return cast(func.coalesce(found.correlate(Order).scalar_subquery(), 0), BigInteger)
