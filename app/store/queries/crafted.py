"""The order behind a ticket, where something in it is put together."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import Order, OrderLine


def order_to_craft(session: Session, number: int) -> Order | None:
    """None also where none of its lines is a design with anything said about how it is made."""
    made = select(OrderLine.order_id).where(OrderLine.recipe != {})
    return session.scalar(select(Order).where(Order.number == number, Order.id.in_(made)))
