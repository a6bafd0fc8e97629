"""Cylinders with their latest readings, what was filled with helium, and what is still to fill."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import CTE, Integer, Row, Select, and_, case, cast, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import Act, CylinderState, OrderState
from app.store.models import BalloonTypeRow, Cylinder, CylinderReading, Order, OrderBatch, PlannedStart, Tap
from app.store.rows import RowReader
from app.store.types import UtcSeconds

AT_HAND = (CylinderState.FULL, CylinderState.IN_USE)
VENUE = ("at_venue", "celsius", "elevation_m")


@dataclass(frozen=True, slots=True)
class UsePeriod:
    """A cylinder gave gas from one reading to the next: to the order that it went along with, or to the bench.
    ends: None since its latest reading."""

    starts: datetime
    ends: datetime | None
    order_id: int | None

    def covers(self, moment: datetime) -> bool:
        return self.starts <= moment and (self.ends is None or moment < self.ends)


@dataclass(frozen=True, slots=True)
class CylinderRow:
    """A cylinder, the order that it goes along with, its latest standing reading, and when it gave gas, the oldest
    first: since the oldest of the latest readings of all that give gas now."""

    cylinder: Cylinder
    order_number: int | None
    reading: CylinderReading | None
    spells: tuple[UsePeriod, ...]


def cylinders(session: Session) -> list[CylinderRow]:
    """In use first, then full, in the order in which they came. Of the others those that gave gas beside these, and
    the latest that came: so nothing found means that none was ever entered."""
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
    """Standing readings, each with when the next one of its cylinder ends what it told."""
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
    """The oldest first, undone ones too."""
    found = select(CylinderReading).order_by(CylinderReading.at, CylinderReading.id)
    if since is not None:
        found = found.where(CylinderReading.at >= since)
    if cylinder_id is not None:
        found = found.where(CylinderReading.cylinder_id == cylinder_id)
    return list(session.scalars(found))


@dataclass(frozen=True, slots=True)
class GasFilledRow:
    """So many alike filled, or burst while they were, until the next reading of any cylinder. after: the reading
    before, of any. order_id: where cylinders had gone along with the order by then. celsius, elevation_m: of the
    venue, where they were filled there; None where nobody said."""

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
    """What stands of the taps on helium batches after a reading, summed between readings, the oldest first. since:
    the moment of a standing reading. One that burst once it was filled took its gas when it was filled."""
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
    """Each batch's taps are summed first: so each batch and order is looked up once."""
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
    """What stands of each batch's, between two readings."""
    commitments = CylinderReading.undone_at.is_(None), CylinderReading.at < Tap.at
    after = select(func.max(CylinderReading.at)).where(*commitments).scalar_subquery().label("after")
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
    """Orders that cylinders went along with, and since when."""
    commitments = CylinderReading.undone_at.is_(None), CylinderReading.order_id.is_not(None)
    since = func.min(CylinderReading.at).label("since")
    return select(CylinderReading.order_id, since).where(*commitments).group_by(CylinderReading.order_id)


@dataclass(frozen=True, slots=True)
class ToFillRow:
    """A helium batch of an open order. starts_at: as planned, or else the latest by itself. leaves_at: its crew's,
    where it is filled at the venue. ready_by: of its hand-over."""

    order_id: int
    order_number: int
    balloon_type: BalloonTypeRow
    treated: bool
    later: bool
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
        return self.to_fill_of(self.quantity, self.spares)

    def to_fill_of(self, quantity: int, spares: int) -> int:
        """If it were so many. With what is laid out for those that burst, until all are filled."""
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
    later=OrderBatch.later,
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
    """Of open orders; also of the one with that number, whatever its state."""
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
    """Nobody else changes it until the session ends. As it is now, whatever was loaded of it before."""
    found = select(Cylinder).where(Cylinder.id == cylinder_id).with_for_update()
    return session.scalar(found.execution_options(populate_existing=True))


def latest_reading(session: Session, cylinder_id: int) -> CylinderReading | None:
    """Of those that stand."""
    commitments = CylinderReading.cylinder_id == cylinder_id, CylinderReading.undone_at.is_(None)
    latest = CylinderReading.at.desc(), CylinderReading.id.desc()
    return session.scalar(select(CylinderReading).where(*commitments).order_by(*latest).limit(1))


def reading_is_known(session: Session, client_key: str) -> bool:
    found = select(CylinderReading.id).where(CylinderReading.client_key == client_key)
    return session.scalar(found) is not None


def all_cylinders(session: Session) -> list[Cylinder]:
    """Those that have gone back too, the latest first."""
    return list(session.scalars(select(Cylinder).order_by(Cylinder.came_on.desc(), Cylinder.id.desc())))


def helium_balloon_types(session: Session) -> list[BalloonTypeRow]:
    """Kinds on offer that take helium."""
    on_offer = BalloonTypeRow.archived_at.is_(None), BalloonTypeRow.air_only.is_(False)
    return list(session.scalars(select(BalloonTypeRow).where(*on_offer).order_by(BalloonTypeRow.id)))
