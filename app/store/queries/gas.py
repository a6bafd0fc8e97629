"""Cylinders with their latest readings, what was filled with helium, and what is still to fill."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Row, and_, func, or_, select
from sqlalchemy.orm import Session

from app.store.models import Batch, Cylinder, CylinderReading, KindRow, Order, PlannedStart, Tap
from app.store.types import UtcSeconds

AT_HAND = ("full", "in use")


@dataclass(frozen=True, slots=True)
class CylinderRow:
    """A cylinder, the order that it goes along with, its latest standing reading, and when it was read first."""

    cylinder: Cylinder
    order_number: int | None
    reading: CylinderReading | None
    first_at: datetime | None


def cylinders(session: Session, states: Sequence[str] = AT_HAND) -> list[CylinderRow]:
    """In use first, then full, in the order in which they came. The latest that came is among them whatever its
    state: so nothing found means that none was ever entered."""
    place = func.row_number().over(
        partition_by=CylinderReading.cylinder_id,
        order_by=(CylinderReading.at.desc(), CylinderReading.id.desc()),
    )
    first = func.min(CylinderReading.at).over(partition_by=CylinderReading.cylinder_id)
    ranked = (
        select(CylinderReading.id, CylinderReading.cylinder_id, place.label("place"), first.label("first_at"))
        .where(CylinderReading.undone_at.is_(None))
        .subquery()
    )
    latest = and_(ranked.c.cylinder_id == Cylinder.id, ranked.c.place == 1)
    found = (
        select(Cylinder, Order.number, CylinderReading, ranked.c.first_at)
        .outerjoin(Order, Order.id == Cylinder.order_id)
        .outerjoin(ranked, latest)
        .outerjoin(CylinderReading, CylinderReading.id == ranked.c.id)
        .where(or_(Cylinder.state.in_(states), Cylinder.id == select(func.max(Cylinder.id)).scalar_subquery()))
        .order_by(Cylinder.state.desc(), Cylinder.came_on, Cylinder.id)
    )
    return [CylinderRow(*row) for row in session.execute(found)]


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
class FilledRow:
    """So many of a batch filled, or burst while they were. celsius, elevation_m: of the venue, where they were
    filled there; None where nobody said."""

    at: datetime
    order_id: int
    count: int
    kind: KindRow
    fill_size_in: float
    fill_share: float
    at_venue: bool
    celsius: float | None
    elevation_m: float | None


def filled_since(session: Session, since: datetime) -> list[FilledRow]:
    """What stands of the taps on helium batches after a moment, the oldest first. One that burst once it was
    filled took its gas when it was filled."""
    found = (
        select(
            Tap.at,
            Tap.order_id,
            Tap.count,
            KindRow,
            Batch.fill_size_in,
            Batch.fill_share,
            Order.hand_over == "venue",
            Order.venue_celsius,
            Order.venue_elevation_m,
        )
        .join(Batch, Batch.id == Tap.batch_id)
        .join(KindRow, KindRow.id == Batch.kind_id)
        .join(Order, Order.id == Tap.order_id)
        .where(
            Tap.at > since,
            Tap.undone_at.is_(None),
            Tap.act.in_(("fill", "finish", "burst")),
            Tap.count > 0,
            Batch.gas == "helium",
        )
        .order_by(Tap.id)
    )
    return [FilledRow(*row) for row in session.execute(found)]


@dataclass(frozen=True, slots=True)
class ToFillRow:
    """A helium batch of an open order. starts_at: as planned, or else the latest by itself. leaves_at: its crew's,
    where it is filled at the venue."""

    order_id: int
    order_number: int
    kind: KindRow
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
    at_venue: bool
    celsius: float | None
    elevation_m: float | None

    @property
    def to_fill(self) -> int:
        """With what is laid out for those that burst, until all are filled."""
        left = max(self.quantity - self.filled, 0)
        return left + max(self.spares - sum(count for _, count in self.bursts), 0) if left else 0

    @property
    def day_of(self) -> datetime:
        """When its gas must be there."""
        return self.leaves_at if self.at_venue else self.starts_at


def helium_to_fill(session: Session, but_also: int | None = None) -> list[ToFillRow]:
    """Of open orders; also of the one with that number, whatever its state."""
    found = (
        select(
            Order.id,
            Order.number,
            KindRow,
            Batch.treated,
            Batch.later,
            Batch.quantity,
            Batch.filled,
            Batch.spares,
            Batch.bursts,
            Batch.fill_size_in,
            Batch.fill_share,
            func.coalesce(PlannedStart.starts_at, Batch.inflate_by, type_=UtcSeconds()),
            Order.ready_by,
            Order.hand_over == "venue",
            Order.venue_celsius,
            Order.venue_elevation_m,
        )
        .join(Order, Order.id == Batch.order_id)
        .join(KindRow, KindRow.id == Batch.kind_id)
        .outerjoin(PlannedStart, PlannedStart.batch_id == Batch.id)
        .where(or_(Order.state == "open", Order.number == but_also), Batch.gas == "helium")
        .order_by(Batch.id)
    )
    return [_to_fill(row) for row in session.execute(found)]


def _to_fill(row: Row[*tuple[object, ...]]) -> ToFillRow:
    return ToFillRow(*row)  # type: ignore[arg-type]  # the columns stand in the order of its fields


def cylinder_with_key(session: Session, client_key: str) -> Cylinder | None:
    return session.scalar(select(Cylinder).where(Cylinder.client_key == client_key))


def hold_cylinder(session: Session, cylinder_id: int) -> Cylinder | None:
    """Nobody else changes it until the session ends."""
    return session.scalar(select(Cylinder).where(Cylinder.id == cylinder_id).with_for_update())


def reading_is_known(session: Session, client_key: str) -> bool:
    found = select(CylinderReading.id).where(CylinderReading.client_key == client_key)
    return session.scalar(found) is not None


def all_cylinders(session: Session) -> list[Cylinder]:
    """Those that have gone back too, the latest first."""
    return list(session.scalars(select(Cylinder).order_by(Cylinder.came_on.desc(), Cylinder.id.desc())))


def helium_kinds(session: Session) -> list[KindRow]:
    """Kinds on offer that take helium."""
    on_offer = KindRow.retired_at.is_(None), KindRow.air_only.is_(False)
    return list(session.scalars(select(KindRow).where(*on_offer).order_by(KindRow.id)))
