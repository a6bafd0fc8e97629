"""This module reads what waits, or will wait, in the holding area, in one statement over the batches of open
orders."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, exists, select
from sqlalchemy.orm import Session

from app.store.models import Order, OrderBatch, PlannedStart, Tap


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """A batch of an open order that is filled in the shop.

    leaves_at: when its hand-over is. gone: whether it was handed over already while another part of the order is
    still in the shop.
    """

    number: int
    balloon_type_id: int
    gas: str
    treated: bool
    later: bool
    quantity: int
    fill_size_in: float
    started_at: datetime | None
    planned_start: datetime | None
    inflate_by: datetime
    leaves_at: datetime
    gone: bool


def waiting_batches(session: Session) -> list[WaitingRow]:
    """Returns the batches of open orders that are filled in the shop."""
    return [WaitingRow(*row) for row in session.execute(_batches())]


def _batches() -> Select[*tuple[Any, ...]]:
    """Returns the query of these batches, with its columns in the order of WaitingRow."""
    gone = exists().where(
        Tap.order_id == Order.id,
        Tap.batch_id.is_(None),
        Tap.later == OrderBatch.later,
        Tap.act == "handed over",
        Tap.undone_at.is_(None),
    )
    return (
        select(
            Order.number,
            OrderBatch.balloon_type_id,
            OrderBatch.gas,
            OrderBatch.treated,
            OrderBatch.later,
            OrderBatch.quantity,
            OrderBatch.fill_size_in,
            OrderBatch.started_at,
            PlannedStart.starts_at,
            OrderBatch.inflate_by,
            OrderBatch.ready_by,
            gone,
        )
        .join(Order, Order.id == OrderBatch.order_id)
        .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
        .where(Order.state == "open", Order.hand_over != "venue", OrderBatch.quantity > 0)
        .order_by(OrderBatch.id)
    )
