"""This module reads what the bench must still do for all open orders, and which crews are away from it."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Select, and_, bindparam, or_, select
from sqlalchemy.orm import Session

from app.physics.material import Material
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart, OrderState
from app.store.kept_rows import MOST_OPEN, KeptRows
from app.store.models import BalloonTypeRow, Order, OrderBatch, Tap
from app.store.queries.by_index import is_any_of
from app.store.queries.overdue import MAX_OVERDUE, is_over
from app.store.queries.rentals import cut_at, is_unfinished, returned_at
from app.store.queries.set_ups import set_ups_sold
from app.store.queries.taps import last_burst_at, last_progress_at
from app.store.rows import RowReader, combined_columns
from app.store.types import parameter

LONGEST_TRIP = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class WorkRow:
    """A batch of an open order, filled or not. work_minutes: of the whole batch. last_progress_at, last_burst_at:
    while it is being filled, the last tap of each kind; the first is None if the batch was stopped."""

    number: int
    balloon_type_id: int
    part: OrderPart
    key: str
    material: Material
    air_only: bool
    gas: str
    treated: bool
    hung_g: float
    quantity: int
    filled: int
    work_minutes: int
    started_at: datetime | None
    last_progress_at: datetime | None
    last_burst_at: datetime | None
    filled_at: datetime | None
    not_before: datetime | None
    inflate_by: datetime
    ready_by: datetime
    finishing_minutes: int
    hand_over: HandOver
    leaves_at: datetime
    event_start: datetime | None
    event_end: datetime | None
    travel_minutes: int
    crew: int
    order_id: int
    id: int


WORK = RowReader(
    WorkRow,
    number=Order.number,
    balloon_type_id=OrderBatch.balloon_type_id,
    part=OrderBatch.part,
    key=OrderBatch.key,
    material=OrderBatch.material,
    air_only=BalloonTypeRow.air_only,
    gas=OrderBatch.gas,
    treated=OrderBatch.treated,
    hung_g=OrderBatch.hung_g,
    quantity=OrderBatch.quantity,
    filled=OrderBatch.filled,
    work_minutes=OrderBatch.work_minutes,
    started_at=OrderBatch.started_at,
    last_progress_at=last_progress_at(),
    last_burst_at=last_burst_at(),
    filled_at=OrderBatch.filled_at,
    not_before=OrderBatch.not_before,
    inflate_by=OrderBatch.inflate_by,
    ready_by=OrderBatch.ready_by,
    finishing_minutes=Order.finishing_minutes,
    hand_over=Order.hand_over,
    leaves_at=Order.ready_by,
    event_start=Order.event_start,
    event_end=Order.lasts_until,
    travel_minutes=Order.travel_minutes,
    crew=Order.crew,
    order_id=Order.id,
    id=OrderBatch.id,
)
KEPT = KeptRows(WORK, MOST_OPEN)


_BATCHES = (
    WORK.select()
    .join(Order, Order.id == OrderBatch.order_id)
    .join(BalloonTypeRow, BalloonTypeRow.id == OrderBatch.balloon_type_id)
    .where(Order.state == OrderState.OPEN, OrderBatch.quantity > 0)
    .order_by(Order.number, OrderBatch.id)
)
_OPEN = _BATCHES.where(~is_over(parameter("now"), parameter("overdue")), Order.not_made_at.is_(None))
_OF_ORDER = _BATCHES.where(Order.number == bindparam("number"))
_READY = (
    select(Tap.order_id, Tap.part)
    .join(Order, Order.id == Tap.order_id)
    .where(Order.state == OrderState.OPEN, Tap.act == HandOverStep.READY, Tap.undone_at.is_(None))
)


def open_work(session: Session, now: datetime) -> list[WorkRow]:
    """Returns the batches of open orders whose hand-over is not ready yet, by order. Orders that are over, or are
    known not to be made, are not among them."""
    done = {(order_id, part) for order_id, part in session.execute(_READY)}
    rows = KEPT.read(session, _OPEN, now=now, overdue=now - MAX_OVERDUE)
    return [row for row in rows if (row.order_id, row.part) not in done]


@dataclass(frozen=True, slots=True)
class CrewRow:
    """A crew that fills an order at a venue, whether or not everything hangs already."""

    number: int
    leaves_at: datetime
    event_start: datetime
    travel_minutes: int
    crew: int


@dataclass(frozen=True, slots=True)
class SetUpRow:
    """A delivery with set-up. set_ups: how many were sold."""

    number: int
    arrives_at: datetime
    event_start: datetime | None
    travel_minutes: int
    set_ups: int


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


CREWS = RowReader(
    CrewRow,
    number=Order.number,
    leaves_at=Order.ready_by,
    event_start=Order.event_start,
    travel_minutes=Order.travel_minutes,
    crew=Order.crew,
)
SET_UPS = RowReader(
    SetUpRow,
    number=Order.number,
    arrives_at=Order.arrives_at,
    event_start=Order.event_start,
    travel_minutes=Order.travel_minutes,
    set_ups=set_ups_sold(),
)
TAKE_DOWNS = RowReader(
    TakeDownRow,
    number=Order.number,
    let_in=Order.take_down_at,
    travel_minutes=Order.travel_minutes,
    crew=Order.crew,
    unfinished=is_unfinished(),
    cut_at=cut_at(),
    returned_at=returned_at(),
)


def _crews_out() -> Select[*tuple[Any, ...]]:
    fills = and_(Order.hand_over == HandOver.VENUE, Order.event_start > parameter("trip_ago"))
    delivers = and_(Order.hand_over == HandOver.DELIVER, Order.arrives_at > parameter("trip_ago"))
    sets_up = and_(delivers, set_ups_sold() > 0)
    takes_down = Order.take_down_at > parameter("take_down_ago")
    kinds = (fills.label("fills"), sets_up.label("sets_up"), takes_down.label("takes_down"))
    return (
        select(*combined_columns(CREWS, SET_UPS, TAKE_DOWNS), *kinds)
        .where(is_any_of(fills, delivers, takes_down), or_(fills, sets_up, takes_down))
        .where(Order.state != OrderState.CANCELLED)
        .order_by(Order.number)
    )


_CREWS_OUT = _crews_out()


def crews_out(session: Session, now: datetime) -> tuple[list[CrewRow], list[SetUpRow], list[TakeDownRow]]:
    """Returns the crews that may be away now or later: those that fill at a venue, those that set up what they
    deliver, and those that take down."""
    since = {"trip_ago": now - LONGEST_TRIP, "take_down_ago": now - 2 * LONGEST_TRIP}
    found = session.execute(_CREWS_OUT, since).all()
    crews = [CREWS.build(row) for row in found if row.fills]
    set_ups = [SET_UPS.build(row) for row in found if row.sets_up]
    return crews, set_ups, [TAKE_DOWNS.build(row) for row in found if row.takes_down]


def work_of(session: Session, number: int) -> list[WorkRow]:
    """Returns the batches of one open order, whether or not it is ready."""
    return WORK.read(session, _OF_ORDER, number=number)


def steps_of_order(session: Session, number: int, act: str) -> set[OrderPart]:
    """Returns the parts of an order for which this step of the hand-over was tapped and not undone."""
    found = select(Tap.part).join(Order, Order.id == Tap.order_id)
    mine = found.where(Order.number == number, Tap.batch_id.is_(None), Tap.act == act, Tap.undone_at.is_(None))
    return set(session.scalars(mine))
