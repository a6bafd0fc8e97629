"""This module says which open orders are over, and which batches of earlier days nobody finished."""

from collections.abc import Collection
from datetime import timedelta

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.states import LateReason, OrderState
from app.store.models import Order, OrderBatch
from app.store.types import Moment, UtcSeconds

MAX_OVERDUE = timedelta(hours=12)
"""An order without an end is over when it should have left this long ago."""
_LEAVES = func.coalesce(Order.later_at, Order.ready_by, type_=UtcSeconds())
_ENDS = func.coalesce(Order.lasts_until, Order.later_at, Order.ready_by, type_=UtcSeconds())


def is_over(now: Moment, overdue: Moment) -> ColumnElement[bool]:
    """Returns the condition that filling an order is of no use any more: all of it should have left, and its event
    is over. overdue: MAX_OVERDUE before now."""
    ended = and_(Order.lasts_until.is_not(None), Order.lasts_until <= now)
    forgotten = and_(Order.lasts_until.is_(None), overdue >= _LEAVES)
    return and_(now >= _LEAVES, or_(ended, forgotten))


def is_leftover(today: Moment, now: Moment, overdue: Moment) -> ColumnElement[bool]:
    """Returns the condition that a batch should have been started before today, was not finished, and its order is
    over; nobody has said yet what became of it. today: the first moment of the day. overdue: MAX_OVERDUE before
    now."""
    return and_(
        _should_have_begun(today, now, overdue), Order.not_made_at.is_(None), OrderBatch.filled_at.is_(None)
    )


def is_settled_leftover(today: Moment, now: Moment, overdue: Moment) -> ColumnElement[bool]:
    """Returns the condition that somebody said today what became of such a batch, in an order that is still
    open."""
    filled_too_late = and_(OrderBatch.filled_at >= today, OrderBatch.filled_at > _ENDS)
    not_made = and_(OrderBatch.filled_at.is_(None), Order.not_made_at >= today)
    return and_(_should_have_begun(today, now, overdue), or_(filled_too_late, not_made))


def _should_have_begun(today: Moment, now: Moment, overdue: Moment) -> ColumnElement[bool]:
    """Returns the condition that a batch of an open order should have been started before today, and that its order
    is over."""
    of_open_order = (Order.state == OrderState.OPEN, OrderBatch.quantity > 0)
    return and_(*of_open_order, OrderBatch.inflate_by < today, is_over(now, overdue))


def late_reasons(session: Session, numbers: Collection[int]) -> dict[int, LateReason | None]:
    """Returns why each of these orders was late or not made, by its number; None where nobody said it."""
    found = select(Order.number, Order.late_reason).where(Order.number.in_(numbers))
    return {number: reason for number, reason in session.execute(found)}
