"""This module reads what waits, or will wait, in the holding area, in one statement over the batches of open
orders."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import exists
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart, OrderState
from app.store.kept_rows import MOST_OPEN, KeptRows
from app.store.models import Order, OrderBatch, PlannedStart, Tap
from app.store.rows import RowReader


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
    hung_g: float
    part: OrderPart
    quantity: int
    fill_size_in: float
    started_at: datetime | None
    planned_start: datetime | None
    inflate_by: datetime
    leaves_at: datetime
    gone: bool


WAITING = RowReader(
    WaitingRow,
    number=Order.number,
    balloon_type_id=OrderBatch.balloon_type_id,
    gas=OrderBatch.gas,
    treated=OrderBatch.treated,
    hung_g=OrderBatch.hung_g,
    part=OrderBatch.part,
    quantity=OrderBatch.quantity,
    fill_size_in=OrderBatch.fill_size_in,
    started_at=OrderBatch.started_at,
    planned_start=PlannedStart.starts_at,
    inflate_by=OrderBatch.inflate_by,
    leaves_at=OrderBatch.ready_by,
    gone=exists().where(
        Tap.order_id == Order.id,
        Tap.batch_id.is_(None),
        Tap.part == OrderBatch.part,
        Tap.act == HandOverStep.HANDED_OVER,
        Tap.undone_at.is_(None),
    ),
)
KEPT = KeptRows(WAITING, MOST_OPEN)


_BATCHES = (
    WAITING.select()
    .join(Order, Order.id == OrderBatch.order_id)
    .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
    .where(Order.state == OrderState.OPEN, Order.hand_over != HandOver.VENUE, OrderBatch.quantity > 0)
    .where(Order.not_made_at.is_(None))
    .order_by(OrderBatch.id)
)


def waiting_batches(session: Session) -> list[WaitingRow]:
    return KEPT.read(session, _BATCHES)
