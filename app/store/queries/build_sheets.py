"""This module reads the order behind a ticket, if it has a design."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import Order, OrderLine


def order_to_build(session: Session, number: int) -> Order | None:
    """Returns the order with this number; None when there is none, or when none of its lines is a design."""
    made = select(OrderLine.order_id).where(OrderLine.design_id.is_not(None))
    return session.scalar(select(Order).where(Order.number == number, Order.id.in_(made)))
