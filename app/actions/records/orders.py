"""An order as it is saved: found by its number or by the key of its form, and its next version."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.errors import NotFound
from app.actions.records.descriptions import Changes
from app.actions.records.history import touch_board, write_history
from app.store.models import Order


def load_order(session: Session, number: int, *, to_change: bool = False) -> Order:
    """Raises NotFound. to_change: nobody else may change it until the session ends."""
    found = select(Order).where(Order.number == number)
    order = session.scalar(found.with_for_update() if to_change else found)
    if order is None:
        raise NotFound(f"There is no order {number}.")
    return order


def order_with_key(session: Session, client_key: str) -> Order | None:
    return session.scalar(select(Order).where(Order.client_key == client_key))


def next_version(session: Session, order: Order, who: str, act: str, changes: Changes, now: datetime) -> None:
    order.version += 1
    write_history(session, order, who, act, changes, now)
    touch_board(session)
