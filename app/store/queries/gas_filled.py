"""What was filled with helium since a reading, for the gas balance."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Integer, Select, case, cast, func, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import TapAction
from app.store.models import CylinderReading, Order, OrderBatch, Tap
from app.store.rows import RowReader
from app.store.types import parameter

VENUE = ("at_venue", "celsius", "elevation_m")


@dataclass(frozen=True, slots=True)
class GasFilledRow:
    """Balloons that were filled alike, or burst while they were filled, between two readings of any cylinders.
    after: the reading before. order_id: set when cylinders had gone to the venue with the order by then.
    celsius, elevation_m: of the venue when they were filled there, if they were given."""

    after: datetime
    order_id: int | None
    balloon_type_id: int
    fill_size_in: float
    fill_share: float
    at_venue: bool
    celsius: float | None
    elevation_m: float | None
    count: int


END_OF_TIME = datetime(9999, 1, 1, tzinfo=UTC)


def filled_since(session: Session, since: datetime, until: datetime = END_OF_TIME) -> list[GasFilledRow]:
    """Returns what was filled with helium after the moment of a reading that was not undone, summed between
    readings, the oldest first. until: what was filled later is left out. A balloon that burst after it was filled
    used its gas when it was filled."""
    return _READER.read(session, _FILLED, since=since, until=until)


def _statement() -> tuple[RowReader[GasFilledRow], Select[*tuple[Any, ...]]]:
    filled = _filled_alike().subquery()
    reader = RowReader(
        GasFilledRow,
        after=filled.c.after,
        order_id=filled.c.order_id,
        balloon_type_id=filled.c.balloon_type_id,
        fill_size_in=filled.c.fill_size_in,
        fill_share=filled.c.fill_share,
        at_venue=filled.c.at_venue,
        celsius=filled.c.celsius,
        elevation_m=filled.c.elevation_m,
        count=filled.c["count"],
    )
    return reader, reader.select().order_by(filled.c.after, filled.c.order_id, filled.c.balloon_type_id)


def _filled_alike() -> Select[*tuple[Any, ...]]:
    """Returns the query of filled balloons. It sums each batch's taps first, so that each batch and order is
    looked up once."""
    taps, went_along = _taps().subquery("taps"), _went_along().subquery("went_along")
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


def _taps() -> Select[*tuple[Any, ...]]:
    """Returns the query of the taps that were not undone, summed for each batch between two readings."""
    not_undone = CylinderReading.undone_at.is_(None), CylinderReading.at < Tap.at
    after = select(func.max(CylinderReading.at)).where(*not_undone).scalar_subquery().label("after")
    return (
        select(Tap.batch_id, after, func.sum(Tap.count).label("count"))
        .where(
            Tap.at > parameter("since"),
            Tap.at <= parameter("until"),
            Tap.undone_at.is_(None),
            Tap.act.in_((TapAction.FILL, TapAction.FINISH, TapAction.BURST)),
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


_READER, _FILLED = _statement()
