"""This module reads cylinders with their latest readings, and what is still to be filled with helium."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import CTE, Row, Select, and_, func, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import CylinderState, OrderPart, OrderState
from app.store.kept_rows import MOST_OPEN, KeptRows
from app.store.models import BalloonTypeRow, Cylinder, CylinderReading, Order, OrderBatch, PlannedStart
from app.store.queries.by_index import is_any_of
from app.store.rows import RowReader
from app.store.types import UtcSeconds

IN_SHOP_STATES = (CylinderState.FULL, CylinderState.IN_USE)


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
    use_periods: tuple[UsePeriod, ...]


def cylinders(session: Session) -> list[CylinderRow]:
    """Returns the cylinders in use, then the full ones, in the order in which they came. Of the others it
    returns those that gave gas beside these, and the one that came last: so an empty list means that no cylinder
    was ever entered."""
    every = groupby(session.execute(_CYLINDERS), key=lambda row: row.Cylinder)
    return [_cylinder_row(cylinder, list(rows)) for cylinder, rows in every]


def _cylinders() -> Select[*tuple[Any, ...]]:
    told = _described()
    since = select(func.min(told.c.at)).where(told.c.gives, told.c.ends.is_(None)).scalar_subquery()
    counts = or_(told.c.ends.is_(None), and_(told.c.gives, told.c.ends > since))
    return (
        select(Cylinder, Order.number, CylinderReading, told.c.gives, told.c.ends)
        .outerjoin(Order, Order.id == Cylinder.order_id)
        .outerjoin(told, and_(told.c.cylinder_id == Cylinder.id, counts))
        .outerjoin(CylinderReading, CylinderReading.id == told.c.id)
        .where(
            or_(
                Cylinder.state.in_(IN_SHOP_STATES),
                told.c.ends.is_not(None),
                Cylinder.id == select(func.max(Cylinder.id)).scalar_subquery(),
            )
        )
        .order_by(Cylinder.state.desc(), Cylinder.came_on, Cylinder.id, told.c.at, told.c.id)
    )


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


_CYLINDERS = _cylinders()


def _cylinder_row(cylinder: Cylinder, rows: Sequence[Row[Any]]) -> CylinderRow:
    use_periods = tuple(
        UsePeriod(row.CylinderReading.at, row.ends, row.CylinderReading.order_id) for row in rows if row.gives
    )
    last = rows[-1]
    return CylinderRow(
        cylinder=cylinder, order_number=last.number, reading=last.CylinderReading, use_periods=use_periods
    )


def readings(
    session: Session,
    since: datetime | None = None,
    cylinder_id: int | None = None,
    until: datetime | None = None,
) -> list[CylinderReading]:
    """Returns readings, the oldest first, including those that were undone."""
    found = select(CylinderReading).order_by(CylinderReading.at, CylinderReading.id)
    if since is not None:
        found = found.where(CylinderReading.at >= since)
    if until is not None:
        found = found.where(CylinderReading.at <= until)
    if cylinder_id is not None:
        found = found.where(CylinderReading.cylinder_id == cylinder_id)
    return list(session.scalars(found))


@dataclass(frozen=True, slots=True)
class ToFillRow:
    """A helium batch of an open order. starts_at: the planned start, or else its own latest start. leaves_at:
    when the crew leaves that fills it at the venue. ready_by: that of its hand-over."""

    order_id: int
    order_number: int
    balloon_type_id: int
    treated: bool
    hung_g: float
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
        return self.count_to_fill(self.quantity, self.spares)

    def count_to_fill(self, quantity: int, spares: int) -> int:
        """Returns how many balloons would be left to fill with this quantity and these spares, which count until
        all are filled."""
        left = max(quantity - self.filled, 0)
        return left + max(spares - sum(count for _, count in self.bursts), 0) if left else 0

    @property
    def gas_needed_at(self) -> datetime:
        """When its gas must be there."""
        return self.leaves_at if self.at_venue else self.starts_at


TO_FILL = RowReader(
    ToFillRow,
    order_id=Order.id,
    order_number=Order.number,
    balloon_type_id=OrderBatch.balloon_type_id,
    treated=OrderBatch.treated,
    hung_g=OrderBatch.hung_g,
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
KEPT_TO_FILL = KeptRows(TO_FILL, MOST_OPEN)


_AWAITED = and_(Order.state == OrderState.OPEN, Order.not_made_at.is_(None))
_TO_FILL = (
    TO_FILL.select()
    .join(Order, Order.id == OrderBatch.order_id)
    .outerjoin(PlannedStart, PlannedStart.batch_id == OrderBatch.id)
    .where(OrderBatch.gas == "helium")
    .order_by(OrderBatch.id)
)
_TO_FILL_OPEN = _TO_FILL.where(_AWAITED)


def helium_to_fill(session: Session, including_order: int | None = None) -> list[ToFillRow]:
    """Returns the helium batches of open orders, and those of the order with the number including_order, whatever
    its state."""
    if including_order is None:
        return KEPT_TO_FILL.read(session, _TO_FILL_OPEN)
    return KEPT_TO_FILL.read(session, _TO_FILL.where(is_any_of(_AWAITED, Order.number == including_order)))


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


_ANY_CYLINDER = select(Cylinder.id).limit(1)


def has_cylinder(session: Session) -> bool:
    """Returns whether a cylinder was ever entered."""
    return session.scalar(_ANY_CYLINDER) is not None


def helium_balloon_types(session: Session) -> list[BalloonTypeRow]:
    """Returns the balloon types on offer that take helium."""
    on_offer = BalloonTypeRow.archived_at.is_(None), BalloonTypeRow.air_only.is_(False)
    return list(session.scalars(select(BalloonTypeRow).where(*on_offer).order_by(BalloonTypeRow.id)))
