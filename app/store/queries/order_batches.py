"""This module reads one batch, or the batches of orders, as the board shows them, and the order behind a ticket."""

from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.store.models import Order, OrderBatch, OrderLine
from app.store.queries.bench import KEPT, PLANNED, BoardRow, board_rows


def one_batch(session: Session, key: str) -> BoardRow | None:
    """Returns the batch with this key; None when there is none."""
    return next(iter(KEPT.read(session, board_rows().where(OrderBatch.key == key))), None)


def batches_of_order(session: Session, order_id: int) -> list[BoardRow]:
    """Returns the batches of an order."""
    return KEPT.read(session, board_rows().where(OrderBatch.order_id == order_id).order_by(PLANNED, OrderBatch.key))


def batches_of_orders(session: Session, order_ids: Collection[int]) -> list[BoardRow]:
    """Returns the batches of several orders that have balloons, by inflate-by."""
    found = board_rows().where(OrderBatch.order_id.in_(order_ids), OrderBatch.quantity > 0)
    return KEPT.read(session, found.order_by(PLANNED, OrderBatch.key))


def order_to_build(session: Session, number: int) -> Order | None:
    """Returns the order with this number; None when there is none, or when none of its lines is a design."""
    made = select(OrderLine.id).where(OrderLine.order_id == Order.id, OrderLine.design_id.is_not(None))
    return session.scalar(select(Order).where(Order.number == number, made.exists()))
