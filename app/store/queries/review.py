"""This module reads for the owner's review the orders that were completed, those that were cancelled, and those
that were missed, between two moments."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ColumnElement, and_, case, cast, exists, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderState, TapAction
from app.store.models import Order, OrderBatch, Tap
from app.store.queries.money import balance_due, balance_paid
from app.store.queries.overdue import MAX_OVERDUE, is_leftover
from app.store.queries.progress import STATE_COLUMNS, OrderProgress
from app.store.queries.sales import not_quick_sale
from app.store.rows import RowReader


@dataclass(frozen=True, slots=True)
class CompletedRow(OrderProgress):
    """A completed order.

    ready_by: when all of it had to be ready; at a venue, when it had to hang. balloons: filled for it. bursts: lost
    in filling. finished_at: when somebody tapped that it was ready. revenue_minor: with tax; net_minor: without
    tax. cost_minor: None when its cost is not known. due_minor: still to pay, below 0 to be refunded.
    """

    number: int
    customer: str
    ready_by: datetime
    finished_at: datetime | None
    handed_over_at: datetime
    verdict: str
    balloons: int
    bursts: int
    revenue_minor: int
    net_minor: int
    cost_minor: int | None
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int

    @property
    def minutes_late(self) -> int:
        """How many minutes it was ready too late; 0 when it was in time."""
        late = (self.finished_at or self.handed_over_at) - self.ready_by
        return max(0, -int(-late.total_seconds() // 60))


@dataclass(frozen=True, slots=True)
class CancelledRow(OrderProgress):
    """A cancelled order. cancel_fee_minor: what the shop keeps. due_minor: what of it is still to pay; below 0, it
    is to be refunded."""

    number: int
    customer: str
    ready_by: datetime
    cancelled_at: datetime
    cancel_reason: str
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int

    @property
    def fee_due_minor(self) -> int:
        """What of the fee is still to pay."""
        return max(0, min(self.due_minor, self.cancel_fee_minor))

    @property
    def fee_kept_minor(self) -> int:
        """What of the fee was paid and is kept."""
        return self.cancel_fee_minor - self.fee_due_minor


@dataclass(frozen=True, slots=True)
class MissedRow(OrderProgress):
    """An order that was not made in time. not_made_at: when somebody said so; None if nobody has said what became
    of it. paid_minor: what the customer paid for it."""

    number: int
    customer: str
    ready_by: datetime
    paid_minor: int


@dataclass(frozen=True, slots=True)
class Totals:
    """The sums over completed orders. costed: how many of them have a known cost; costed_net_minor, cost_minor:
    their price without tax, and their cost."""

    orders: int
    on_time: int
    balloons: int
    bursts: int
    revenue_minor: int
    net_minor: int
    costed: int
    costed_net_minor: int
    cost_minor: int


FINISHED = (
    select(func.max(Tap.at))
    .where(Tap.order_id == Order.id, Tap.act == HandOverStep.READY, Tap.undone_at.is_(None))
    .correlate(Order)
    .scalar_subquery()
)
BALLOONS = (
    select(func.coalesce(func.sum(OrderBatch.filled), 0))
    .where(OrderBatch.order_id == Order.id)
    .correlate(Order)
    .scalar_subquery()
)
LOST = (
    select(func.coalesce(func.sum(Tap.count), 0))
    .where(Tap.order_id == Order.id, Tap.act.in_((TapAction.BURST, TapAction.LOSE)), Tap.undone_at.is_(None))
    .correlate(Order)
    .scalar_subquery()
)
_LEAVES = func.coalesce(Order.later_at, Order.ready_by)
DUE = case((Order.hand_over == HandOver.VENUE, Order.event_start), else_=_LEAVES)
NET = Order.total_minor - Order.tax_minor
COST = func.nullif(Order.cost_minor, 0)
COMPLETED = RowReader(
    CompletedRow,
    **STATE_COLUMNS,
    number=Order.number,
    customer=Order.customer,
    ready_by=DUE,
    finished_at=FINISHED,
    handed_over_at=Order.handed_over_at,
    verdict=Order.verdict,
    balloons=BALLOONS,
    bursts=LOST,
    revenue_minor=Order.total_minor,
    net_minor=NET,
    cost_minor=COST,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
)
CANCELLED = RowReader(
    CancelledRow,
    **STATE_COLUMNS,
    number=Order.number,
    customer=Order.customer,
    ready_by=DUE,
    cancelled_at=Order.cancelled_at,
    cancel_reason=Order.cancel_reason,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
)
MISSED = RowReader(
    MissedRow,
    **STATE_COLUMNS,
    number=Order.number,
    customer=Order.customer,
    ready_by=DUE,
    paid_minor=balance_paid(),
)


def whole_sum(values: Any) -> ColumnElement[int]:
    """Returns a sum as a whole number, because PostgreSQL makes a decimal of it; 0 over nothing."""
    return cast(func.coalesce(func.sum(values), 0), BigInteger)


TOTALS = RowReader(
    Totals,
    orders=func.count(Order.id),
    on_time=whole_sum(case((func.coalesce(FINISHED, Order.handed_over_at) <= DUE, 1), else_=0)),
    balloons=whole_sum(BALLOONS),
    bursts=whole_sum(LOST),
    revenue_minor=whole_sum(Order.total_minor),
    net_minor=whole_sum(NET),
    costed=func.count(COST),
    costed_net_minor=whole_sum(case((COST.is_not(None), NET), else_=0)),
    cost_minor=whole_sum(COST),
)


def is_completed(start: datetime, end: datetime) -> ColumnElement[bool]:
    """Returns the condition that an order was handed over between two moments."""
    return and_(Order.handed_over_at >= start, Order.handed_over_at < end, Order.state != OrderState.CANCELLED)


def totals(session: Session, start: datetime, end: datetime) -> Totals:
    """Returns the sums over all orders that were handed over between two moments."""
    return TOTALS.read(session, TOTALS.select().where(is_completed(start, end)))[0]


def completed(
    session: Session, start: datetime, end: datetime, most: int | None = None, skip: int = 0
) -> list[CompletedRow]:
    """Returns the orders that were handed over between two moments, the first one first: at most so many, after
    those that are skipped."""
    order = (Order.handed_over_at, Order.number)
    # Chosen by their ids alone, so that nothing is added up for those that are skipped.
    chosen = select(Order.id).where(is_completed(start, end)).order_by(*order).limit(most).offset(skip)
    return COMPLETED.read(session, COMPLETED.select().where(Order.id.in_(chosen)).order_by(*order))


def cancelled(session: Session, start: datetime, end: datetime) -> list[CancelledRow]:
    """Returns the orders that were cancelled between two moments, the first one first; quick sales that were undone
    are not among them."""
    found = (
        CANCELLED.select()
        .where(Order.cancelled_at >= start, Order.cancelled_at < end)
        .where(not_quick_sale())
        .order_by(Order.cancelled_at, Order.number)
    )
    return CANCELLED.read(session, found)


def missed(session: Session, start: datetime, end: datetime, today: datetime, now: datetime) -> list[MissedRow]:
    """Returns the orders that had to be ready between two moments and were not made, the first one first: those of
    which somebody said so, and the leftovers of the days before today. today: the first moment of the day."""
    leftover = (
        exists().where(OrderBatch.order_id == Order.id, is_leftover(today, now, now - MAX_OVERDUE)).correlate(Order)
    )
    found = (
        MISSED.select()
        .where(Order.state == OrderState.OPEN, or_(Order.not_made_at.is_not(None), leftover))
        .where(start <= DUE, end > DUE)
        .order_by(DUE, Order.number)
    )
    return MISSED.read(session, found)
