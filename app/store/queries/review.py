"""This module reads for the owner's review the orders that were completed between two moments."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from app.store.models import Order, OrderBatch, Tap


@dataclass(frozen=True, slots=True)
class CompletedRow:
    """A completed order.

    ready_by: when all of it had to be ready; at a venue, when it had to hang. balloons: filled for it. bursts: lost
    in filling. finished_at: when somebody tapped that it was ready. revenue_minor: with tax; net_minor: without
    tax. cost_minor: None when its cost is not known.
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

    @property
    def minutes_late(self) -> int:
        """How many minutes it was ready too late; 0 when it was in time."""
        late = (self.finished_at or self.handed_over_at) - self.ready_by
        return max(0, -int(-late.total_seconds() // 60))


@dataclass(frozen=True, slots=True)
class Totals:
    """The sums over several completed orders."""

    orders: int
    on_time: int
    balloons: int
    bursts: int
    revenue_minor: int
    net_minor: int


def completed(session: Session, start: datetime, end: datetime) -> list[CompletedRow]:
    """Returns the orders that were handed over between two moments, the first one first."""
    finished = (
        select(func.max(Tap.at))
        .where(Tap.order_id == Order.id, Tap.act == "ready", Tap.undone_at.is_(None))
        .correlate(Order)
        .scalar_subquery()
    )
    balloons = (
        select(func.coalesce(func.sum(OrderBatch.filled), 0))
        .where(OrderBatch.order_id == Order.id)
        .correlate(Order)
        .scalar_subquery()
    )
    lost = (
        select(func.coalesce(func.sum(Tap.count), 0))
        .where(Tap.order_id == Order.id, Tap.act.in_(("burst", "lose")), Tap.undone_at.is_(None))
        .correlate(Order)
        .scalar_subquery()
    )
    due = case((Order.hand_over == "venue", Order.event_start), else_=func.coalesce(Order.later_at, Order.ready_by))
    found = (
        select(
            Order.number,
            Order.customer,
            due,
            finished,
            Order.handed_over_at,
            Order.verdict,
            balloons,
            lost,
            Order.total_minor,
            Order.total_minor - Order.tax_minor,
            func.nullif(Order.cost_minor, 0),
        )
        .where(Order.state == "handed over", Order.handed_over_at >= start, Order.handed_over_at < end)
        .order_by(Order.handed_over_at, Order.number)
    )
    return [CompletedRow(*row) for row in session.execute(found)]


def totals(rows: list[CompletedRow]) -> Totals:
    """Returns the sums over these orders."""
    return Totals(
        orders=len(rows),
        on_time=sum(row.minutes_late == 0 for row in rows),
        balloons=sum(row.balloons for row in rows),
        bursts=sum(row.bursts for row in rows),
        revenue_minor=sum(row.revenue_minor for row in rows),
        net_minor=sum(row.net_minor for row in rows),
    )
