"""This module reads what the bench must still do for all open orders, and which crews are away from it."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ScalarSelect, Select, and_, func, or_, select
from sqlalchemy.orm import Session

from app.physics.material import Material
from app.store.models import BalloonTypeRow, Order, OrderBatch, Tap
from app.store.queries.rentals import done_at, is_unfinished

LONGEST_WAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class WorkRow:
    """A batch of an open order, filled or not. work_minutes: of the whole batch. last_tap_at: while it is being
    filled."""

    number: int
    balloon_type_id: int
    later: bool
    key: str
    material: Material
    air_only: bool
    gas: str
    treated: bool
    quantity: int
    filled: int
    work_minutes: int
    started_at: datetime | None
    last_tap_at: datetime | None
    filled_at: datetime | None
    not_before: datetime | None
    inflate_by: datetime
    ready_by: datetime
    finishing_minutes: int
    hand_over: str
    leaves_at: datetime
    event_start: datetime | None
    travel_minutes: int
    crew: int
    order_id: int
    id: int


def open_work(session: Session) -> list[WorkRow]:
    """Returns the batches of open orders whose hand-over is not ready yet, by order."""
    ready = (
        select(Tap.order_id, Tap.later)
        .join(Order, Order.id == Tap.order_id)
        .where(Order.state == "open", Tap.act == "ready", Tap.undone_at.is_(None))
    )
    done = {(order_id, later) for order_id, later in session.execute(ready)}
    rows = (WorkRow(*row) for row in session.execute(_batches()))
    return [row for row in rows if (row.order_id, row.later) not in done]


@dataclass(frozen=True, slots=True)
class CrewRow:
    """A crew that fills an order at a venue, whether or not everything hangs already."""

    number: int
    leaves_at: datetime
    event_start: datetime
    travel_minutes: int
    crew: int


@dataclass(frozen=True, slots=True)
class TakeDownRow:
    """A crew that fetches rental items, and cuts and bins balloons. let_in: None, and the minutes 0, when the order
    does not say."""

    number: int
    let_in: datetime
    travel_minutes: int
    crew: int
    unfinished: bool
    cut_at: datetime | None
    returned_at: datetime | None

    @property
    def done_at(self) -> datetime | None:
        """When the last of its work was done; None while something is left to do."""
        return None if self.unfinished else max(filter(None, (self.cut_at, self.returned_at)), default=None)


def crews_out(session: Session, now: datetime) -> tuple[list[CrewRow], list[TakeDownRow]]:
    """Returns the crews that may be away now or later: those that fill at a venue, and those that take down."""
    fills = and_(Order.hand_over == "venue", Order.event_start > now - LONGEST_WAY)
    takes_down = Order.take_down_at > now - 2 * LONGEST_WAY
    of_crew = (Order.number, Order.ready_by, Order.event_start, Order.travel_minutes, Order.crew)
    found = session.execute(
        select(*of_crew, Order.take_down_at, is_unfinished(), *done_at(), fills, takes_down)
        .where(or_(fills, takes_down), Order.state != "cancelled")
        .order_by(Order.number)
    ).all()
    crews = [CrewRow(*row[:5]) for row in found if row[-2]]
    return crews, [TakeDownRow(row[0], row[5], *row[3:5], *row[6:9]) for row in found if row[-1]]


def work_of(session: Session, number: int) -> list[WorkRow]:
    """Returns the batches of one open order, whether or not it is ready."""
    return [WorkRow(*row) for row in session.execute(_batches().where(Order.number == number))]


def steps_of_order(session: Session, number: int, act: str) -> set[bool]:
    """Returns for which hand-overs of an order this step was tapped and not undone: False for the main part, True
    for the later part."""
    found = select(Tap.later).join(Order, Order.id == Tap.order_id)
    mine = found.where(Order.number == number, Tap.batch_id.is_(None), Tap.act == act, Tap.undone_at.is_(None))
    return set(session.scalars(mine))


def _batches() -> Select[*tuple[Any, ...]]:
    """Returns the query of batches, with its columns in the order of WorkRow."""
    return (
        select(
            Order.number,
            OrderBatch.balloon_type_id,
            OrderBatch.later,
            OrderBatch.key,
            OrderBatch.material,
            BalloonTypeRow.air_only,
            OrderBatch.gas,
            OrderBatch.treated,
            OrderBatch.quantity,
            OrderBatch.filled,
            OrderBatch.work_minutes,
            OrderBatch.started_at,
            _last_tap(),
            OrderBatch.filled_at,
            OrderBatch.not_before,
            OrderBatch.inflate_by,
            OrderBatch.ready_by,
            Order.finishing_minutes,
            Order.hand_over,
            Order.ready_by,
            Order.event_start,
            Order.travel_minutes,
            Order.crew,
            Order.id,
            OrderBatch.id,
        )
        .join(Order, Order.id == OrderBatch.order_id)
        .join(BalloonTypeRow, BalloonTypeRow.id == OrderBatch.balloon_type_id)
        .where(Order.state == "open", OrderBatch.quantity > 0)
        .order_by(Order.number, OrderBatch.id)
    )


def _last_tap() -> ScalarSelect[Any]:
    """Returns the query of the last tap on a batch that is being filled; a burst does not count as work on it."""
    mine = (
        Tap.batch_id == OrderBatch.id,
        Tap.act.in_(("start", "fill", "finish")),
        Tap.undone_at.is_(None),
        OrderBatch.started_at.is_not(None),
        OrderBatch.filled_at.is_(None),
    )
    return select(func.max(Tap.at)).where(*mine).correlate(OrderBatch).scalar_subquery()
