"""What was paid for orders."""

from typing import Any

from sqlalchemy import ColumnElement, Select, case, func, select
from sqlalchemy.orm import Session

from app.store.models import Hire, Order, Payment


def payments_of(session: Session, order_id: int) -> list[Payment]:
    """Those undone among them, oldest first."""
    return list(session.scalars(select(Payment).where(Payment.order_id == order_id).order_by(Payment.id)))


def payment_with_key(session: Session, client_key: str) -> Payment | None:
    return session.scalar(select(Payment).where(Payment.client_key == client_key))


def due_of_open() -> ColumnElement[int]:
    """What is still to pay for an order that is not cancelled and was not sold at once, deposits on what is hired
    with it included; negative is to be paid back. The bill's `due_minor`, for many orders in one statement."""
    held = select(func.sum(Hire.quantity * Hire.deposit_minor)).where(Hire.order_id == Order.id)
    signed = case((Payment.direction == "in", Payment.amount_minor), else_=-Payment.amount_minor)
    paid = select(func.sum(signed)).where(Payment.order_id == Order.id, Payment.undone_at.is_(None))
    return Order.total_minor + _of_order(held) - _of_order(paid)


def _of_order(found: Select[Any]) -> ColumnElement[int]:
    return func.coalesce(found.correlate(Order).scalar_subquery(), 0)
