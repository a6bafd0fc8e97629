"""This module adds up for the review what burst, what was late or missed and why, when the shop is busy, and how
long the bench took. Each question is one statement, which adds up in the database."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, and_, case, exists, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.states import LateReason, OrderState, StockMoveReason, TapAction
from app.store.models import BalloonTypeRow, Lot, Order, OrderBatch, StockMove, Tap
from app.store.queries.overdue import is_leftover
from app.store.queries.review import DUE, is_completed, whole_sum
from app.store.queries.review_sales import count_of, is_late
from app.store.queries.review_spans import seconds_of, span_of, weekday_and_hour
from app.store.queries.sales import not_quick_sale
from app.store.rows import RowReader

LONGEST = timedelta(hours=12)
"""Between the first and the last tap of a batch; a longer one was left open, so it says nothing about work."""
_BURST_TAPS = (
    select(func.coalesce(func.sum(Tap.count), 0))
    .where(
        Tap.batch_id == OrderBatch.id,
        Tap.act.in_((TapAction.BURST, TapAction.LOSE)),
        Tap.undone_at.is_(None),
    )
    .correlate(OrderBatch)
    .scalar_subquery()
)


def was_filled(start: datetime, end: datetime) -> ColumnElement[bool]:
    """Returns the condition that a batch was filled between two moments."""
    return and_(OrderBatch.filled_at >= start, OrderBatch.filled_at < end)


@dataclass(frozen=True, slots=True)
class BurstRow:
    """How many were filled and how many burst, of one balloon type, colour or lot. lot_id, received_on: of a
    lot."""

    balloon_type: str
    colour: str
    received_on: date | None
    lot_id: int
    filled: int
    burst: int


def burst_by_type(session: Session, start: datetime, end: datetime) -> list[BurstRow]:
    """Returns each balloon type of the batches that were filled between two moments."""
    found = (
        select(OrderBatch.balloon_type_name, whole_sum(OrderBatch.filled), whole_sum(_BURST_TAPS))
        .where(was_filled(start, end))
        .group_by(OrderBatch.balloon_type_name)
    )
    return [
        BurstRow(balloon_type=name, colour="", received_on=None, lot_id=0, filled=filled, burst=burst)
        for name, filled, burst in session.execute(found)
    ]


def _moved(sort: StockMoveReason) -> ColumnElement[int]:
    """Returns how many were taken from stock for this; what was given back is subtracted."""
    return whole_sum(case((StockMove.sort == sort, -StockMove.change), else_=0))


def _burst_from_stock(session: Session, start: datetime, end: datetime, *by: Any) -> Sequence[Any]:
    found = (
        select(*by, _moved(StockMoveReason.FILLED), _moved(StockMoveReason.BURST))
        .select_from(OrderBatch)
        .join(StockMove, StockMove.batch_id == OrderBatch.id)
        .join(Lot, Lot.id == StockMove.lot_id)
        .join(BalloonTypeRow, BalloonTypeRow.id == Lot.balloon_type_id)
        .where(was_filled(start, end))
    )
    return session.execute(found.group_by(*by)).all()


def burst_by_colour(session: Session, start: datetime, end: datetime) -> list[BurstRow]:
    """Returns each colour of what was taken from stock for the batches that were filled between two moments."""
    rows = _burst_from_stock(session, start, end, Lot.colour_folded)
    return [
        BurstRow(balloon_type="", colour=colour, received_on=None, lot_id=0, filled=filled, burst=burst)
        for colour, filled, burst in rows
    ]


def burst_by_lot(session: Session, start: datetime, end: datetime) -> list[BurstRow]:
    """Returns each lot from which was taken for the batches that were filled between two moments."""
    by = (BalloonTypeRow.name, Lot.colour, Lot.received_on, Lot.id)
    rows = _burst_from_stock(session, start, end, *by)
    return [
        BurstRow(balloon_type=name, colour=colour, received_on=day, lot_id=lot_id, filled=filled, burst=burst)
        for name, colour, day, lot_id, filled, burst in rows
    ]


@dataclass(frozen=True, slots=True)
class ReasonRow:
    """How many orders were late, and how many missed, for one reason; None if nobody said it."""

    reason: LateReason | None
    late: int
    missed: int


def late_or_missed(
    session: Session, start: datetime, end: datetime, today: datetime, now: datetime
) -> list[ReasonRow]:
    """Returns the orders that were handed over late, and those that had to be ready and were not made, by reason.
    today: the first moment of the day."""
    late = and_(is_completed(start, end), is_late())
    gone = select(Order.late_reason, count_of(late)).where(is_completed(start, end)).group_by(Order.late_reason)
    missing = (
        select(Order.late_reason, func.count(Order.id))
        .where(is_missed(start, end, today, now))
        .group_by(Order.late_reason)
    )
    counts: dict[LateReason | None, list[int]] = {}
    for place, found in enumerate((gone, missing)):
        for reason, count in session.execute(found):
            counts.setdefault(reason, [0, 0])[place] = count
    return [
        ReasonRow(reason=reason, late=late_ones, missed=missed)
        for reason, (late_ones, missed) in counts.items()
        if late_ones or missed
    ]


def is_missed(start: datetime, end: datetime, today: datetime, now: datetime) -> ColumnElement[bool]:
    """Returns the condition that an order had to be ready between two moments and was not made."""
    leftover = exists().where(OrderBatch.order_id == Order.id, is_leftover(today, now)).correlate(Order)
    never = or_(Order.not_made_at.is_not(None), leftover)
    return and_(Order.state == OrderState.OPEN, never, start <= DUE, end > DUE)


def missed_count(session: Session, start: datetime, end: datetime, today: datetime, now: datetime) -> int:
    """Returns how many orders had to be ready between two moments and were not made."""
    return session.scalar(select(func.count(Order.id)).where(is_missed(start, end, today, now))) or 0


@dataclass(frozen=True, slots=True)
class HourRow:
    """What fell on one hour of one weekday, Monday being 0."""

    weekday: int
    hour: int
    count: int


def orders_taken(session: Session, start: datetime, end: datetime, zone: ZoneInfo) -> list[HourRow]:
    """Returns how many orders were taken between two moments, without quick sales, by hour and weekday."""
    weekday, hour = weekday_and_hour(Order.taken_at, zone, start, end)
    reader = RowReader(HourRow, weekday=weekday, hour=hour, count=func.count(Order.id))
    found = reader.select().where(Order.taken_at >= start, Order.taken_at < end, not_quick_sale())
    return reader.read(session, found.group_by("weekday", "hour"))


def _seconds() -> ColumnElement[int]:
    return seconds_of(OrderBatch.filled_at) - seconds_of(OrderBatch.started_at)


def was_timed(start: datetime, end: datetime) -> ColumnElement[bool]:
    """Returns the condition that a batch was filled between two moments, and how long it took is known."""
    longest = LONGEST // timedelta(seconds=1)
    return and_(was_filled(start, end), OrderBatch.started_at.is_not(None), _seconds().between(1, longest))


def bench_minutes(session: Session, start: datetime, end: datetime, zone: ZoneInfo) -> list[HourRow]:
    """Returns the minutes from the first to the last tap of the batches filled between two moments, by the hour and
    weekday on which each was started."""
    weekday, hour = weekday_and_hour(OrderBatch.started_at, zone, start - LONGEST, end)
    reader = RowReader(HourRow, weekday=weekday, hour=hour, count=whole_sum(_seconds()) // 60)
    found = reader.select().where(was_timed(start, end)).group_by("weekday", "hour")
    return reader.read(session, found)


@dataclass(frozen=True, slots=True)
class BenchRow:
    """The batches that were filled in one span: the minutes that were planned for them, and the minutes from their
    first to their last tap."""

    span: int
    batches: int
    planned: int
    taken: int


def bench_hours(session: Session, bounds: Sequence[datetime]) -> list[BenchRow]:
    """Returns how long the bench took in each span that has some. bounds: the start of each and the end of the
    last."""
    reader = RowReader(
        BenchRow,
        span=span_of(OrderBatch.filled_at, bounds),
        batches=func.count(OrderBatch.id),
        planned=whole_sum(OrderBatch.work_minutes),
        taken=whole_sum(_seconds()) // 60,
    )
    found = reader.select().where(was_timed(bounds[0], bounds[-1])).group_by("span")
    return reader.read(session, found)
