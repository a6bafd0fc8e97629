"""This module reads cylinders with their latest readings, what was filled with helium, and what is still to be
filled."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import CTE, Integer, Row, Select, and_, case, cast, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import Act, CylinderState, OrderPart, OrderState
from app.store.models import BalloonTypeRow, Cylinder, CylinderReading, Order, OrderBatch, PlannedStart, Tap
from app.store.rows import RowReader
from app.store.types import UtcSeconds

AT_HAND = (CylinderState.FULL, CylinderState.IN_USE)
VENUE = ("at_venue", "celsius", "elevation_m")


@dataclass(frozen=True, slots=True)
class UsePeriod:
    """A time in which a cylinder gave gas, between two readings, to the order with which it went, or to the
    bench. ends: None when there is no later reading."""

    starts: datetime
    ends: datetime | None
    order_id: int | None

    def covers(self, moment: datetime) -> bool:
        """Returns whether the cylinder gave gas at this moment."""
        return self.starts <= moment and (self.ends is None or moment < self.ends)


@dataclass(frozen=True, slots=True)
class CylinderRow:
    """A cylinder, the order with which it goes, its latest reading that was not undone, and the times in which
    it gave gas, back to the oldest one among the latest readings of all cylinders that give gas now."""

    cylinder: Cylinder
    order_number: int | None
    reading: CylinderReading | None
    spells: tuple[UsePeriod, ...]


def cylinders(session: Session) -> list[CylinderRow]:
    """Returns the cylinders in use, then the full ones, in the order in which they came. Of the others it
    returns those that gave gas beside these, and the one that came last: so an empty list means that no cylinder
    was ever entered."""
    told = _described()
    since = select(func.min(told.c.at)).where(told.c.gives, told.c.ends.is_(None)).scalar_subquery()
    counts = or_(told.c.ends.is_(None), and_(told.c.gives, told.c.ends > since))
    found = (
        select(Cylinder, Order.number, CylinderReading, told.c.gives, told.c.ends)
        .outerjoin(Order, Order.id == Cylinder.order_id)
        .outerjoin(told, and_(told.c.cylinder_id == Cylinder.id, counts))
        .outerjoin(CylinderReading, CylinderReading.id == told.c.id)
        .where(
            or_(
                Cylinder.state.in_(AT_HAND),
                told.c.ends.is_not(None),
                Cylinder.id == select(func.max(Cylinder.id)).scalar_subquery(),
            )
        )
        .order_by(Cylinder.state.desc(), Cylinder.came_on, Cylinder.id, told.c.at, told.c.id)
    )
    every = groupby(session.execute(found), key=lambda row: row.Cylinder)
    return [_cylinder_row(cylinder, list(rows)) for cylinder, rows in every]


def _described() -> CTE:
    """Returns the readings that were not undone, each with the moment of its cylinder's next reading."""
    order = CylinderReading.at, CylinderReading.id
    in_use = CylinderReading.state == CylinderState.IN_USE
    following = func.lead(CylinderReading.at, type_=UtcSeconds())
    return (
        select(
            CylinderReading.id,
            CylinderReading.cylinder_id,
            CylinderReading.at,
            or_(in_use, CylinderReading.order_id.is_not(None)).label("gives"),
            following.over(partition_by=CylinderReading.cylinder_id, order_by=order).label("ends"),
        )
        .where(CylinderReading.undone_at.is_(None))
        .cte("told")
    )


def _cylinder_row(cylinder: Cylinder, rows: Sequence[Row[Any]]) -> CylinderRow:
    spells = tuple(
        UsePeriod(row.CylinderReading.at, row.ends, row.CylinderReading.order_id) for row in rows if row.gives
    )
    last = rows[-1]
    return CylinderRow(cylinder=cylinder, order_number=last.number, reading=last.CylinderReading, spells=spells)


def readings(
    session: Session, since: datetime | None = None, cylinder_id: int | None = None
) -> list[CylinderReading]:
    """Returns readings, the oldest first, including those that were undone."""
    found = select(CylinderReading).order_by(CylinderReading.at, CylinderReading.id)
    if since is not None:
        found = found.where(CylinderReading.at >= since)
    if cylinder_id is not None:
        found = found.where(CylinderReading.cylinder_id == cylinder_id)
    return list(session.scalars(found))


@dataclass(frozen=True, slots=True)
class GasFilledRow:
    """Balloons that were filled alike, or burst while they were filled, between two readings of any cylinders.
    after: the reading before. order_id: set when cylinders had gone to the venue with the order by then.
    celsius, elevation_m: of the venue when they were filled there, if they were given."""

    after: datetime
    order_id: int | None
    balloon_type: BalloonTypeRow
    fill_size_in: float
    fill_share: float
    at_venue: bool
    celsius: float | None
    elevation_m: float | None
    count: int


def filled_since(session: Session, since: datetime) -> list[GasFilledRow]:
    """Returns what was filled with helium after the moment of a reading that was not undone, summed between
    readings, the oldest first. A balloon that burst after it was filled used its gas when it was filled."""
    filled = _filled_alike(since).subquery()
    reader = RowReader(
        GasFilledRow,
        after=filled.c.after,
        order_id=filled.c.order_id,
        balloon_type=BalloonTypeRow,
        fill_size_in=filled.c.fill_size_in,
        fill_share=filled.c.fill_share,
        at_venue=filled.c.at_venue,
        celsius=filled.c.celsius,
        elevation_m=filled.c.elevation_m,
        count=filled.c["count"],
    )
    found = (
        reader.select()
        .join(BalloonTypeRow, BalloonTypeRow.id == filled.c.balloon_type_id)
        .order_by(filled.c.after, filled.c.order_id, BalloonTypeRow.id)
    )
    return reader.read(session, found)


def _filled_alike(since: datetime) -> Select[*tuple[Any, ...]]:
    """Returns the query of filled balloons. It sums each batch's taps first, so that each batch and order is
    looked up once."""
    taps, went_along = _taps(since).subquery("taps"), _went_along().subquery("went_along")
    at_venue = Order.hand_over == HandOver.VENUE
    each = (
        select(
            *(taps.c.after, taps.c.count),
            *(OrderBatch.balloon_type_id, OrderBatch.fill_size_in, OrderBatch.fill_share),
            case((went_along.c.since <= taps.c.after, Order.id)).label("order_id"),
            at_venue.label("at_venue"),
            case((at_venue, Order.venue_celsius)).label("celsius"),
            case((at_venue, Order.venue_elevation_m)).label("elevation_m"),
        )
        .join(OrderBatch, OrderBatch.id == taps.c.batch_id)
        .join(Order, Order.id == OrderBatch.order_id)
        .outerjoin(went_along, went_along.c.order_id == Order.id)
        .where(OrderBatch.gas == "helium")
        .subquery()
    )
    alike = [
        each.c[name] for name in ("after", "order_id", "balloon_type_id", "fill_size_in", "fill_share", *VENUE)
    ]
    count = cast(func.sum(each.c.count), Integer)  # a sum of sums is no whole number on PostgreSQL
    return select(*alike, count.label("count")).group_by(*alike)


def _taps(since: datetime) -> Select[*tuple[Any, ...]]:
    """Returns the query of the taps that were not undone, summed for each batch between two readings."""
    not_undone = CylinderReading.undone_at.is_(None), CylinderReading.at < Tap.at
    after = select(func.max(CylinderReading.at)).where(*not_undone).scalar_subquery().label("after")
    return (
        select(Tap.batch_id, after, func.sum(Tap.count).label("count"))
        .where(
            Tap.at > since,
            Tap.undone_at.is_(None),
            Tap.act.in_((Act.FILL, Act.FINISH, Act.BURST)),
            Tap.count > 0,
        )
        .group_by("after", Tap.batch_id)
    )


def _went_along() -> Select[*tuple[Any, ...]]:
    """Returns the query of the orders to which cylinders went along, each with the first moment at which one
    did."""
    not_undone = CylinderReading.undone_at.is_(None), CylinderReading.order_id.is_not(None)
    since = func.min(CylinderReading.at).label("since")
    return select(CylinderReading.order_id, since).where(*not_undone).group_by(CylinderReading.order_id)


@dataclass(frozen=True, slots=True)
class ToFillRow:
    """A helium batch of an open order. starts_at: the planned start, or else its own latest start. leaves_at:
    when the crew leaves that fills it at the venue. ready_by: that of its hand-over."""

    order_id: int
    order_number: int
    balloon_type: BalloonTypeRow
    treated: bool
    part: OrderPart
    quantity: int
    filled: int
    spares: int
    bursts: list[tuple[str, int]]
    fill_size_in: float
    fill_share: float
    starts_at: datetime
    leaves_at: datetime
    ready_by: datetime
    started: bool
    at_venue: bool
    celsius: float | None
    elevation_m: float | None

    @property
    def to_fill(self) -> int:
        """How many balloons are still to be filled, including spares."""
        return self.to_fill_of(self.quantity, self.spares)

    def to_fill_of(self, quantity: int, spares: int) -> int:
        """Returns how many balloons would be left to fill with this quantity and these spares, which count until
        all are filled."""
        left = max(quantity - self.filled, 0)
        return left + max(spares - sum(count for _, count in self.bursts), 0) if left else 0

    @property
    def day_of(self) -> datetime:
        """When its gas must be there."""
        return self.leaves_at if self.at_venue else self.starts_at


TO_FILL = RowReader(
    ToFillRow,
    order_id=Order.id,
    order_number=Order.number,
    balloon_type=BalloonTypeRow,
    treated=OrderBatch.treated,
    part=OrderBatch.part,
    quantity=OrderBatch.quantity,
    filled=OrderBatch.filled,
    spares=OrderBatch.spares,
    bursts=OrderBatch.bursts,
    fill_size_in=OrderBatch.fill_size_in,
    fill_share=OrderBatch.fill_share,
    starts_at=func.coalesce(PlannedStart.starts_at, OrderBatch.inflate_by, type_=UtcSeconds()),
    leaves_at=Order.ready_by,
    ready_by=OrderBatch.ready_by,
    started=OrderBatch.started_at.is_not(None),
    at_venue=Order.hand_over == HandOver.VENUE,
    celsius=Order.venue_celsius,
    elevation_m=Order.venue_elevation_m,
)


def helium_to_fill(session: Session, but_also: int | None = None) -> list[ToFillRow]:
    """Returns the helium batches of open orders, and those of the order with the number but_also, whatever its
    state."""
    found = (
        TO_FILL.select()
        .join(Order, Order.id == OrderBatch.order_id)
        .join(BalloonTypeRow, BalloonTypeRow.id == OrderBatch.balloon_type_id)
        .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
        .where(or_(Order.state == OrderState.OPEN, Order.number == but_also), OrderBatch.gas == "helium")
        .order_by(OrderBatch.id)
    )
    return TO_FILL.read(session, found)


def lock_cylinder(session: Session, cylinder_id: int) -> Cylinder | None:
    """Returns a cylinder as it is now, whatever was loaded before; nobody else can change it until the session
    ends."""
    found = select(Cylinder).where(Cylinder.id == cylinder_id).with_for_update()
    return session.scalar(found.execution_options(populate_existing=True))


def latest_reading(session: Session, cylinder_id: int) -> CylinderReading | None:
    """Returns the latest reading of a cylinder that was not undone."""
    not_undone = CylinderReading.cylinder_id == cylinder_id, CylinderReading.undone_at.is_(None)
    latest = CylinderReading.at.desc(), CylinderReading.id.desc()
    return session.scalar(select(CylinderReading).where(*not_undone).order_by(*latest).limit(1))


def reading_is_known(session: Session, client_key: str) -> bool:
    found = select(CylinderReading.id).where(CylinderReading.client_key == client_key)
    return session.scalar(found) is not None


def all_cylinders(session: Session) -> list[Cylinder]:
    """Returns all cylinders, including those that went back to the supplier, the latest first."""
    return list(session.scalars(select(Cylinder).order_by(Cylinder.came_on.desc(), Cylinder.id.desc())))


def helium_balloon_types(session: Session) -> list[BalloonTypeRow]:
    """Returns the balloon types on offer that take helium."""
    on_offer = BalloonTypeRow.archived_at.is_(None), BalloonTypeRow.air_only.is_(False)
    return list(session.scalars(select(BalloonTypeRow).where(*on_offer).order_by(BalloonTypeRow.id)))
