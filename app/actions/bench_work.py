"""What the bench still has to do: the open orders as the planner takes them, crews that are away, and shifts."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby

from sqlalchemy.orm import Session

from app.actions.parts import BatchOf
from app.actions.shop import Shop
from app.actions.wish import HandOver
from app.physics.balloon import Gas, Material
from app.planning.handoff import Fill, OrderWork
from app.planning.roster import Roster
from app.planning.schedule import Away, Batch, Shift
from app.planning.work import filling_point
from app.store.queries.work import WorkRow, open_work
from app.store.types import EPOCH

LATER = " later"


@dataclass(frozen=True, slots=True)
class BenchWork:
    """points: filling points by gas. rows: the batches behind the orders."""

    orders: tuple[OrderWork, ...]
    shifts: tuple[Shift, ...]
    points: Mapping[str, int]
    away: tuple[Away, ...]
    rows: tuple[WorkRow, ...]


def load_work(
    session: Session,
    shop: Shop,
    roster: Roster,
    now: datetime,
    until: Sequence[datetime],
    ahead: timedelta = timedelta(),
    but: int | None = None,
) -> BenchWork:
    """All open orders; shifts up to the last of these moments and of the orders' hours, and some time more.
    but: the number of an order that is left out, because it is asked about anew."""
    every = open_work(session)
    rows = tuple(row for row in every if row.number != but)
    last = max([now, *until, *(row.ready_by for row in rows)]) + ahead
    first = min([now, *(row.last_tap_at for row in every if row.last_tap_at)])
    shifts = tuple(roster.shifts(first, last))
    orders = tuple(_orders(rows, shifts, shop, now))
    return BenchWork(orders, shifts, shop.points, tuple(_crews(rows)), rows)


def key_of(number: int, *, later: bool) -> str:
    """Of an order's work for its hand-over, or for that of its later part."""
    return f"{number}{LATER if later else ''}"


def number_of(key: str) -> str:
    """The order's number, from the key of its work or of one of its batches."""
    return key.partition("-")[0].partition(LATER)[0]


def begins(not_before: datetime | None, inflate_by: datetime) -> datetime:
    """Where the float leaves no right hour, the bench is asked whether it can be made at all."""
    return not_before if not_before and not_before <= inflate_by else EPOCH


def crew_away(leaves_at: datetime, back_at: datetime, hands: int) -> Away:
    """A crew takes one helium point along."""
    return Away(leaves_at, back_at, hands, {Gas.HELIUM.value: 1})


def _crews(rows: Iterable[WorkRow]) -> Iterator[Away]:
    for _, batches in groupby(rows, key=lambda row: row.number):
        row = next(batches)
        if row.hand_over == HandOver.VENUE and row.event_start:
            yield crew_away(row.leaves_at, row.event_start + timedelta(minutes=row.travel_minutes), row.crew)


def _orders(rows: Iterable[WorkRow], shifts: Sequence[Shift], shop: Shop, now: datetime) -> Iterator[OrderWork]:
    at_bench = [row for row in rows if row.hand_over != HandOver.VENUE]
    for (number, later), batches in groupby(at_bench, key=lambda row: (row.number, row.later)):
        mine = list(batches)
        yield OrderWork(
            key_of(number, later=later),
            tuple(_fill(row, shifts, shop, now) for row in mine if row.filled < row.quantity),
            mine[0].tail_minutes * 60,
            mine[0].ready_by,
        )


def batch_of_row(row: WorkRow) -> BatchOf:
    return BatchOf(row.kind_id, Gas(row.gas), row.treated, row.later)


def _fill(row: WorkRow, shifts: Sequence[Shift], shop: Shop, now: datetime) -> Fill:
    """What is left of a batch; one that was begun may go on at once."""
    earliest = now if row.started_at else begins(row.not_before, row.inflate_by)
    dries = timedelta(minutes=shop.pace.drying_minutes if row.treated else 0)
    return Fill(Batch(row.key, point_of(row), work_left(row, shifts, now), earliest, row.ready_by), dries)


def point_of(row: WorkRow) -> str:
    return filling_point(Material(row.material), Gas(row.gas), air_only=row.air_only)


def work_left(row: WorkRow, shifts: Sequence[Shift], now: datetime) -> float:
    """Hand-seconds. Between two taps one hand is taken to go on, so long as somebody is there; what is not tapped
    as filled keeps at least one balloon's work."""
    each = row.work_minutes * 60 / row.quantity
    left = each * (row.quantity - row.filled)
    if row.last_tap_at is None:
        return left
    return max(left - _manned_seconds(shifts, row.last_tap_at, now), min(each, left))


def _manned_seconds(shifts: Sequence[Shift], start: datetime, end: datetime) -> float:
    total, free_from = timedelta(), start
    for shift in sorted((shift for shift in shifts if shift.hands), key=lambda shift: shift.start):
        stop = min(shift.end, end)
        if shift.start < stop and free_from < stop:
            total += stop - max(shift.start, free_from)
            free_from = stop
    return total.total_seconds()
