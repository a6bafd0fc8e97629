"""This module adds up for the review what was sold between two moments, what it earned, who came back, and what is
unpaid. Each question is one statement, which adds up in the database."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ColumnElement, Float, and_, case, cast, exists, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.quoting.request import HandOver
from app.quoting.states import OrderState
from app.store.models import BalloonTypeRow, DesignRow, Order, OrderBatch, OrderExtra, OrderLine
from app.store.queries.by_index import is_unpaid
from app.store.queries.money import balance_due
from app.store.queries.review import (
    BALLOONS,
    COST,
    DUE,
    FINISHED,
    LOST,
    NET,
    is_completed,
    whole_sum,
)
from app.store.queries.review_spans import span_of
from app.store.queries.sales import is_quick_sale, not_quick_sale
from app.store.rows import RowReader


def count_of(condition: ColumnElement[bool]) -> ColumnElement[int]:
    """Returns the SQL expression for how many orders fulfil a condition."""
    return whole_sum(case((condition, 1), else_=0))


def is_treated() -> ColumnElement[bool]:
    """Returns the condition that balloons of an order are treated; never of a quick sale."""
    return _has(OrderBatch, OrderBatch.treated.is_(True), OrderBatch.quantity > 0)


def has_extras() -> ColumnElement[bool]:
    """Returns the condition that an order has add-ons; never of a quick sale."""
    return _has(OrderExtra)


def is_delivered() -> ColumnElement[bool]:
    """Returns the condition that an order is delivered or filled at the venue; never of a quick sale."""
    return and_(not_quick_sale(), Order.hand_over != HandOver.COLLECT)


def is_late() -> ColumnElement[bool]:
    """Returns the condition that a completed order was ready later than it should have been; a quick sale never
    is."""
    return and_(not_quick_sale(), func.coalesce(FINISHED, Order.handed_over_at) > DUE)


@dataclass(frozen=True, slots=True)
class SoldRow:
    """What was handed over in one span. orders: without quick sales. balloons, revenue_minor: of both."""

    span: int
    orders: int
    quick_sales: int
    balloons: int
    order_revenue_minor: int
    quick_revenue_minor: int


def sold(session: Session, bounds: Sequence[datetime]) -> list[SoldRow]:
    """Returns what was handed over in each span that has some. bounds: the start of each and the end of the
    last."""
    span = span_of(Order.handed_over_at, bounds)
    revenue = Order.total_minor
    reader = RowReader(
        SoldRow,
        span=span,
        orders=count_of(not_quick_sale()),
        quick_sales=count_of(is_quick_sale()),
        balloons=whole_sum(BALLOONS),
        order_revenue_minor=whole_sum(case((not_quick_sale(), revenue), else_=0)),
        quick_revenue_minor=whole_sum(case((is_quick_sale(), revenue), else_=0)),
    )
    found = reader.select().where(is_completed(bounds[0], bounds[-1])).group_by("span").order_by("span")
    return reader.read(session, found)


@dataclass(frozen=True, slots=True)
class PeriodFigures:
    """What is compared between two periods. squares: the sum of the squares of all revenues. late, treated,
    delivered, with_extras, again: how many of the orders, without quick sales; again: of customers who had ordered
    before."""

    orders: int
    quick_sales: int
    balloons: int
    bursts: int
    revenue_minor: int
    squares: float
    costed_net_minor: int
    cost_minor: int
    late: int
    treated: int
    delivered: int
    with_extras: int
    again: int


def _has(model: Any, *conditions: ColumnElement[bool]) -> ColumnElement[bool]:
    return and_(not_quick_sale(), exists().where(model.order_id == Order.id, *conditions).correlate(Order))


def _came_back() -> ColumnElement[bool]:
    before = aliased(Order)
    earlier = and_(
        before.customer_id == Order.customer_id,
        before.taken_at < Order.taken_at,
        before.state != OrderState.CANCELLED,
    )
    return and_(not_quick_sale(), exists().where(earlier).correlate(Order))


_CAME_BACK = _came_back()
"""Made once, because an alias of so many columns takes long to make."""


def came_back() -> ColumnElement[bool]:
    """Returns the condition that the customer of an order had another one before that was not cancelled."""
    return _CAME_BACK


_FIGURES = RowReader(
    PeriodFigures,
    orders=count_of(not_quick_sale()),
    quick_sales=count_of(is_quick_sale()),
    balloons=whole_sum(BALLOONS),
    bursts=whole_sum(LOST),
    revenue_minor=whole_sum(Order.total_minor),
    squares=func.coalesce(func.sum(cast(Order.total_minor, Float) * Order.total_minor), 0.0),
    costed_net_minor=whole_sum(case((COST.is_not(None), NET), else_=0)),
    cost_minor=whole_sum(COST),
    late=count_of(is_late()),
    treated=count_of(is_treated()),
    delivered=count_of(is_delivered()),
    with_extras=count_of(has_extras()),
    again=count_of(came_back()),
)


def figures_of(session: Session, start: datetime, end: datetime) -> PeriodFigures:
    """Returns the figures of all that was handed over between two moments."""
    return _FIGURES.read(session, _FIGURES.select().where(is_completed(start, end)))[0]


@dataclass(frozen=True, slots=True)
class EarnedRow:
    """What one design or balloon type earned. name: as it is called today. design_id: None of a balloon type.
    quantity: how many were sold."""

    name: str
    design_id: int | None
    balloon_type_id: int | None
    orders: int
    quantity: int
    net_minor: int
    cost_minor: int


def earned(session: Session, start: datetime, end: datetime) -> list[EarnedRow]:
    """Returns the net price and the cost of all orders with a known cost, by what was sold.

    Both are saved for whole orders. They are shared among the lines of an order by what each line was sold for, and
    evenly if all were given away.
    """
    of_order: dict[str, Any] = {"partition_by": OrderLine.order_id}
    value = cast(OrderLine.quantity * OrderLine.unit_minor, Float)
    whole = func.sum(value).over(**of_order)
    share = case((whole > 0, value / whole), else_=1.0 / func.count().over(**of_order))
    lines = (
        select(
            OrderLine.order_id,
            OrderLine.design_id,
            OrderLine.balloon_type_id,
            OrderLine.quantity,
            (share * NET).label("net"),
            (share * COST).label("cost"),
        )
        .join(Order, Order.id == OrderLine.order_id)
        .where(is_completed(start, end), COST.is_not(None))
        .subquery()
    )
    reader = RowReader(
        EarnedRow,
        name=func.max(func.coalesce(DesignRow.name, BalloonTypeRow.name)),
        design_id=lines.c.design_id,
        balloon_type_id=lines.c.balloon_type_id,
        orders=func.count(lines.c.order_id.distinct()),
        quantity=whole_sum(lines.c.quantity),
        net_minor=cast(func.round(func.sum(lines.c.net)), BigInteger),
        cost_minor=cast(func.round(func.sum(lines.c.cost)), BigInteger),
    )
    found = (
        reader.select()
        .select_from(lines)
        .outerjoin(DesignRow, DesignRow.id == lines.c.design_id)
        .outerjoin(BalloonTypeRow, BalloonTypeRow.id == lines.c.balloon_type_id)
        .group_by(lines.c.design_id, lines.c.balloon_type_id)
    )
    return reader.read(session, found)


@dataclass(frozen=True, slots=True)
class ReturningRow:
    """What came from customers of one sort: 0 without a name in the list of customers, 1 with their first order,
    2 who had ordered before."""

    sort: int
    customers: int
    orders: int
    revenue_minor: int


def returning(session: Session, start: datetime, end: datetime) -> list[ReturningRow]:
    """Returns the completed orders between two moments, without quick sales, by whether the customer came back."""
    sort = case((Order.customer_id.is_(None), 0), (came_back(), 2), else_=1)
    reader = RowReader(
        ReturningRow,
        sort=sort,
        customers=func.count(Order.customer_id.distinct()),
        orders=func.count(Order.id),
        revenue_minor=whole_sum(Order.total_minor),
    )
    found = reader.select().where(is_completed(start, end), not_quick_sale()).group_by("sort")
    return reader.read(session, found.order_by(reader.columns[0].desc()))


@dataclass(frozen=True, slots=True)
class UnpaidRow:
    """An order for which something is still to pay."""

    number: int
    customer: str
    ready_by: datetime
    due_minor: int


def unpaid(session: Session, end: datetime) -> list[UnpaidRow]:
    """Returns what is unpaid now of the orders that had to be ready before a moment, the oldest first."""
    reader = RowReader(
        UnpaidRow, number=Order.number, customer=Order.customer, ready_by=Order.ready_by, due_minor=balance_due()
    )
    found = reader.select().where(is_unpaid(), or_(Order.ready_by < end, Order.cancelled_at < end))
    return reader.read(session, found.order_by(Order.ready_by, Order.number))


@dataclass(frozen=True, slots=True)
class LostRow:
    """A cancelled order. balloons: filled or burst for it, which are lost."""

    number: int
    customer: str
    price_minor: int
    fee_minor: int
    balloons: int


def lost(session: Session, start: datetime, end: datetime) -> list[LostRow]:
    """Returns the orders that were cancelled between two moments, the first one first, without quick sales
    that were undone."""
    reader = RowReader(
        LostRow,
        number=Order.number,
        customer=Order.customer,
        price_minor=Order.total_minor,
        fee_minor=Order.cancel_fee_minor,
        balloons=BALLOONS + LOST,
    )
    found = reader.select().where(Order.cancelled_at >= start, Order.cancelled_at < end, not_quick_sale())
    return reader.read(session, found.order_by(Order.cancelled_at, Order.number))
