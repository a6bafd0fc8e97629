"""This module reads the batches of a day for the bench, in one query, and the order behind a ticket."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, case, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session, aliased

from app.physics.material import Material
from app.quoting.request import HandOver
from app.quoting.states import OrderPart, OrderState
from app.store.kept_rows import KeptRows
from app.store.models import BalloonTypeRow, Order, OrderBatch, OrderLine, PlannedStart, Tap
from app.store.queries.overdue import is_leftover, is_settled_leftover
from app.store.queries.sales import not_quick_sale
from app.store.queries.taps import first_tap_id, last_burst_at, last_progress_at, last_tap_id
from app.store.rows import RowReader
from app.store.types import UtcSeconds

MAX_BATCHES_AHEAD = 12
MAX_BATCHES_AFTER = 24
FirstTap, LastTap = aliased(Tap), aliased(Tap)
PLANNED = func.coalesce(PlannedStart.starts_at, OrderBatch.inflate_by, type_=UtcSeconds())


@dataclass(frozen=True, slots=True)
class BoardRow:
    """A batch with what the bench needs to know of its order.

    inflate_by: the latest start of the plan, in which all orders share the bench; the batch's own one when there is
    no plan yet, and at a venue. own_inflate_by: the latest start if the batch had the bench to itself.
    last_progress_at, last_burst_at: while it is being filled, its last tap of each kind; the first is None if the
    batch was stopped. started_by: who tapped it first. last_tap_id and what follows: its last tap that was not
    undone. These are None until it is tapped.
    """

    id: int
    key: str
    balloon_type_id: int
    balloon_type_name: str
    material: Material
    air_only: bool
    gas: str
    treated: bool
    part: OrderPart
    quantity: int
    spares: int
    colours: list[tuple[str, int]]
    fill_size_in: float
    fill_share: float
    fill_why: list[str]
    weight_g: float | None
    hung_g: float
    load_g: float
    work_minutes: int
    not_before: datetime | None
    inflate_by: datetime
    own_inflate_by: datetime
    ready_by: datetime
    chance: float
    verdict: str
    float_plan: dict[str, Any]
    started_at: datetime | None
    started_as: dict[str, Any] | None
    filled: int
    filled_at: datetime | None
    bursts: list[tuple[str, int]]
    last_progress_at: datetime | None
    last_burst_at: datetime | None
    order_number: int
    customer: str
    hand_over: HandOver
    address: str
    event_start: datetime | None
    lasts_until: datetime | None
    order_state: OrderState
    order_verdict: str
    accepted_risk: str
    bench_override: str
    stock_override: str
    notes: str
    latex_allergy: bool
    holding_place: str | None
    first_fill_by: datetime | None
    finishing_minutes: int
    arrives_at: datetime | None
    travel_minutes: int
    not_made_at: datetime | None
    started_by: str | None
    last_tap_id: int | None
    last_tap_act: str | None
    last_tap_count: int | None
    last_tap_colour: str | None

    @property
    def at_venue(self) -> bool:
        return self.hand_over == HandOver.VENUE

    @property
    def is_set_up_early(self) -> bool:
        """Whether it is delivered before the hour that was agreed, so that all is set up when the event starts."""
        if self.hand_over != HandOver.DELIVER or self.part is OrderPart.LATER or self.arrives_at is None:
            return False
        return self.ready_by + timedelta(minutes=self.travel_minutes) < self.arrives_at

    @property
    def left(self) -> int:
        """How many balloons are still to be filled."""
        return max(self.quantity - self.filled, 0)

    @property
    def burst(self) -> int:
        """How many balloons burst."""
        return sum(count for _, count in self.bursts)


BOARD = RowReader(
    BoardRow,
    id=OrderBatch.id,
    key=OrderBatch.key,
    balloon_type_id=OrderBatch.balloon_type_id,
    balloon_type_name=OrderBatch.balloon_type_name,
    material=OrderBatch.material,
    air_only=BalloonTypeRow.air_only,
    gas=OrderBatch.gas,
    treated=OrderBatch.treated,
    part=OrderBatch.part,
    quantity=OrderBatch.quantity,
    spares=OrderBatch.spares,
    colours=OrderBatch.colours,
    fill_size_in=OrderBatch.fill_size_in,
    fill_share=OrderBatch.fill_share,
    fill_why=OrderBatch.fill_why,
    weight_g=OrderBatch.weight_g,
    hung_g=OrderBatch.hung_g,
    load_g=OrderBatch.load_g,
    work_minutes=OrderBatch.work_minutes,
    not_before=OrderBatch.not_before,
    inflate_by=PLANNED,
    own_inflate_by=OrderBatch.inflate_by,
    ready_by=OrderBatch.ready_by,
    chance=OrderBatch.chance,
    verdict=OrderBatch.verdict,
    float_plan=OrderBatch.float_plan,
    started_at=OrderBatch.started_at,
    started_as=OrderBatch.started_as,
    filled=OrderBatch.filled,
    filled_at=OrderBatch.filled_at,
    bursts=OrderBatch.bursts,
    last_progress_at=last_progress_at(),
    last_burst_at=last_burst_at(),
    order_number=Order.number,
    customer=Order.customer,
    hand_over=Order.hand_over,
    address=Order.address,
    event_start=Order.event_start,
    lasts_until=Order.lasts_until,
    order_state=Order.state,
    order_verdict=Order.verdict,
    accepted_risk=Order.accepted_risk,
    bench_override=Order.bench_override,
    stock_override=Order.stock_override,
    notes=Order.notes,
    latex_allergy=Order.latex_allergy,
    holding_place=case((OrderBatch.part == OrderPart.LATER, Order.later_holding_place), else_=Order.holding_place),
    first_fill_by=Order.first_fill_by,
    finishing_minutes=Order.finishing_minutes,
    arrives_at=Order.arrives_at,
    travel_minutes=Order.travel_minutes,
    not_made_at=Order.not_made_at,
    started_by=FirstTap.who,
    last_tap_id=LastTap.id,
    last_tap_act=LastTap.act,
    last_tap_count=LastTap.count,
    last_tap_colour=LastTap.colour,
)
KEPT = KeptRows(BOARD)


def _rows() -> Select[*tuple[Any, ...]]:
    return (
        BOARD.select()
        .join(Order, Order.id == OrderBatch.order_id)
        .join(BalloonTypeRow, BalloonTypeRow.id == OrderBatch.balloon_type_id)
        .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
        .outerjoin(FirstTap, FirstTap.id == first_tap_id())
        .outerjoin(LastTap, LastTap.id == last_tap_id())
    )


def _begins_in(start: datetime, end: datetime | None = None) -> ColumnElement[bool]:
    """Returns the condition that a batch is planned to start between two moments.

    It consists of two ranges, so that each can use its index.
    """
    planned = select(PlannedStart.batch_id).where(*_between(PlannedStart.starts_at, start, end))
    own = and_(*_between(OrderBatch.inflate_by, start, end), PlannedStart.batch_id.is_(None))
    return or_(OrderBatch.id.in_(planned), own)


def _between(
    moment: InstrumentedAttribute[datetime], start: datetime, end: datetime | None
) -> list[ColumnElement[bool]]:
    """Returns the conditions that a moment lies between two others; without an end, all later ones count."""
    return [moment >= start, *([moment < end] if end else [])]


def batches_of_day(
    session: Session, start: datetime, end: datetime, *, is_today: bool, now: datetime | None = None
) -> list[BoardRow]:
    """Returns the batches that must start between two moments, by inflate-by; for today also unfinished ones from
    before, and what must be ready by the end of today though it is planned for a later day.

    Of cancelled orders it returns only batches that were started, because somebody must be told to stop; of those
    that a changed order no longer needs, only the ones with filled balloons. Quick sales are not among them. now:
    for today, what `batches_of_earlier_days` returns at this moment is left out.
    """
    wanted = _begins_in(start, end)
    if is_today:
        is_due = or_(start > PLANNED, OrderBatch.started_at.is_not(None), OrderBatch.ready_by < end)
        undone = and_(OrderBatch.filled_at.is_(None), is_due)
        wanted = or_(wanted, and_(undone, Order.state == OrderState.OPEN, Order.not_made_at.is_(None)))
    started = OrderBatch.started_at.is_not(None)
    found = _rows().where(
        wanted,
        or_(Order.state != OrderState.CANCELLED, started),
        or_(OrderBatch.quantity > 0, OrderBatch.filled > 0),
        not_quick_sale(),
    )
    if is_today and now:
        earlier = select(OrderBatch.id).join(Order, Order.id == OrderBatch.order_id)
        found = found.where(OrderBatch.id.not_in(earlier.where(_is_of_earlier_days(start, now))))
    return _read(session, found.order_by(PLANNED, OrderBatch.ready_by, OrderBatch.key))


def batches_of_earlier_days(session: Session, today: datetime, now: datetime) -> list[BoardRow]:
    """Returns the unfinished batches of orders that are over, if they should have been started before today; and
    those of which somebody said today what became of them. today: the first moment of the day."""
    found = _rows().where(_is_of_earlier_days(today, now), not_quick_sale())
    return _read(session, found.order_by(OrderBatch.ready_by, Order.number, OrderBatch.key))


def _is_of_earlier_days(today: datetime, now: datetime) -> ColumnElement[bool]:
    return or_(is_leftover(today, now), is_settled_leftover(today, now))


def batches_after(session: Session, end: datetime) -> list[BoardRow]:
    """Returns the next MAX_BATCHES_AFTER batches that should start and be ready from this moment on and are not
    begun."""
    found = _rows().where(
        _begins_in(end),
        OrderBatch.ready_by >= end,
        OrderBatch.started_at.is_(None),
        OrderBatch.quantity > 0,
        Order.state == OrderState.OPEN,
        Order.not_made_at.is_(None),
    )
    return _read(session, found.order_by(PLANNED, OrderBatch.ready_by, OrderBatch.key).limit(MAX_BATCHES_AFTER))


def batches_ahead(session: Session, end: datetime, now: datetime) -> list[BoardRow]:
    """Returns the next MAX_BATCHES_AHEAD batches of later days that may be filled already. end: of today; what must
    be ready by then is work of today, whenever it is planned."""
    found = _rows().where(
        _begins_in(end),
        OrderBatch.ready_by >= end,
        or_(OrderBatch.not_before <= now, OrderBatch.not_before.is_(None)),
        OrderBatch.started_at.is_(None),
        OrderBatch.quantity > 0,
        Order.state == OrderState.OPEN,
    )
    return _read(session, found.order_by(PLANNED, OrderBatch.key).limit(MAX_BATCHES_AHEAD))


def one_batch(session: Session, key: str) -> BoardRow | None:
    """Returns the batch with this key; None when there is none."""
    return next(iter(_read(session, _rows().where(OrderBatch.key == key))), None)


def batches_of_order(session: Session, order_id: int) -> list[BoardRow]:
    """Returns the batches of an order."""
    return _read(session, _rows().where(OrderBatch.order_id == order_id).order_by(PLANNED, OrderBatch.key))


def batches_of_orders(session: Session, order_ids: Collection[int]) -> list[BoardRow]:
    """Returns the batches of several orders that have balloons, by inflate-by."""
    found = _rows().where(OrderBatch.order_id.in_(order_ids), OrderBatch.quantity > 0)
    return _read(session, found.order_by(PLANNED, OrderBatch.key))


def _read(session: Session, found: Select[*tuple[Any, ...]]) -> list[BoardRow]:
    return KEPT.read(session, found)


def order_to_build(session: Session, number: int) -> Order | None:
    """Returns the order with this number; None when there is none, or when none of its lines is a design."""
    made = select(OrderLine.id).where(OrderLine.order_id == Order.id, OrderLine.design_id.is_not(None))
    return session.scalar(select(Order).where(Order.number == number, made.exists()))
