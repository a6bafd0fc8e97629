"""This module has SQL expressions for how far the work on an order is."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ColumnElement, Select, and_, case, cast, exists, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.states import HandOverStep, OrderState, Progress
from app.store.models import Order, OrderBatch, Tap
from app.store.rows import RowReader


def balloons_wanted() -> ColumnElement[int]:
    """Returns the SQL expression for the balloons that an order needs."""
    return _of_order(select(func.sum(OrderBatch.quantity)).where(OrderBatch.order_id == Order.id))


def balloons_filled() -> ColumnElement[int]:
    """Returns the SQL expression for the balloons that are filled, of those that an order needs."""
    needed = case((OrderBatch.filled > OrderBatch.quantity, OrderBatch.quantity), else_=OrderBatch.filled)
    return _of_order(select(func.sum(needed)).where(OrderBatch.order_id == Order.id))


def is_started() -> ColumnElement[bool]:
    """Returns the condition that somebody started a batch of an order."""
    return exists().where(OrderBatch.order_id == Order.id, OrderBatch.started_at.is_not(None)).correlate(Order)


def parts_with_step(step: HandOverStep) -> ColumnElement[int]:
    """Returns the SQL expression for the number of parts of an order for which this step was tapped."""
    tapped = select(func.count(Tap.part.distinct())).where(
        Tap.order_id == Order.id, Tap.batch_id.is_(None), Tap.act == step, Tap.undone_at.is_(None)
    )
    return _of_order(tapped)


def parts_to_hand_over() -> ColumnElement[int]:
    """Returns the SQL expression for the number of parts of an order: 2 if a part leaves later, else 1."""
    return case((Order.later_at.is_not(None), 2), else_=1)


def is_ready() -> ColumnElement[bool]:
    """Returns the condition that all parts of an order were tapped as ready."""
    return parts_with_step(HandOverStep.READY) >= parts_to_hand_over()


def has_progress(progress: Progress) -> ColumnElement[bool]:
    """Returns the condition that an order is this far; `state_of_order` says the same of one row."""
    if progress in (Progress.CANCELLED, Progress.HANDED_OVER):
        return Order.state == OrderState(progress.replace("-", " "))
    if progress is Progress.NOT_MADE:
        return and_(Order.state == OrderState.OPEN, Order.not_made_at.is_not(None))
    begun = or_(is_started(), parts_with_step(HandOverStep.READY) > 0)
    further = {
        Progress.READY: is_ready(),
        Progress.IN_PROGRESS: and_(~is_ready(), begun),
        Progress.NOT_STARTED: ~begun,
    }[progress]
    return and_(Order.state == OrderState.OPEN, Order.not_made_at.is_(None), further)


def _of_order(found: Select[Any]) -> ColumnElement[int]:
    """Returns a sum or a count as a whole number, because PostgreSQL makes a decimal of a sum."""
    return cast(func.coalesce(found.correlate(Order).scalar_subquery(), 0), BigInteger)


STATE_COLUMNS: dict[str, Any] = {
    "state": Order.state,
    "not_made_at": Order.not_made_at,
    "wanted": balloons_wanted(),
    "filled": balloons_filled(),
    "started": is_started(),
    "parts": parts_to_hand_over(),
    "parts_ready": parts_with_step(HandOverStep.READY),
    "parts_gone": parts_with_step(HandOverStep.HANDED_OVER),
}
"""What `app/web/wording/order_state.py` needs of an order, by the names of the fields of a row."""


@dataclass(frozen=True, slots=True)
class OrderProgress:
    """How far one order is. wanted, filled: its balloons. parts: how many parts leave, 1 or 2; parts_ready,
    parts_gone: how many of them are ready, and how many were handed over."""

    state: OrderState
    not_made_at: datetime | None
    wanted: int
    filled: int
    started: bool
    parts: int
    parts_ready: int
    parts_gone: int


PROGRESS = RowReader(OrderProgress, **STATE_COLUMNS)


def progress_of_order(session: Session, order_id: int) -> OrderProgress:
    """Returns how far an order is. There must be one with this id."""
    return PROGRESS.read(session, PROGRESS.select().where(Order.id == order_id))[0]
