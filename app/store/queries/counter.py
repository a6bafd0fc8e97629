"""This module finds orders for the counter."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import Order, Tap


def find_order(session: Session, number: int) -> Order | None:
    """Returns the order with this number; None when there is none."""
    return session.scalar(select(Order).where(Order.number == number))


def order_taps(session: Session, order_id: int) -> list[Tap]:
    """Returns all taps of an order, including those that were undone, the oldest first."""
    return list(session.scalars(select(Tap).where(Tap.order_id == order_id).order_by(Tap.id)))
