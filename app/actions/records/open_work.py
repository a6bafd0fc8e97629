"""What the bench still has to do: the open orders as the planner needs them, crews that are away, and shifts."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import groupby

from app.actions.context import Context
from app.physics.balloon import Gas
from app.planning.going_on import GoingOn, going_on
from app.planning.moments import EPOCH
from app.planning.order_work import FillJob, OrderWork
from app.planning.roster import Roster
from app.planning.schedule import Absence, Batch, Shift
from app.planning.work import filling_point
from app.quoting.journey import SetUpTrip, set_up_trip_of
from app.quoting.parts import BatchSpec
from app.quoting.rentals import TakeDownTrip, take_down_trip_of
from app.quoting.request import HandOver
from app.quoting.shop import Shop
from app.quoting.states import OrderPart
from app.store.queries.work import WorkRow, crews_out, open_work

LATER_SUFFIX = " later"


@dataclass(frozen=True, slots=True)
class BenchWork:
    """points: filling points by gas. rows: the batches of the orders. holds_until: when the first batch that is
    being filled counts as idle, so that more work is left than by now; None if none is being filled."""

    orders: tuple[OrderWork, ...]
    shifts: tuple[Shift, ...]
    points: Mapping[str, int]
    absences: tuple[Absence, ...]
    rows: tuple[WorkRow, ...]
    holds_until: datetime | None = None


def load_work(
    context: Context,
    roster: Roster,
    until: Sequence[datetime],
    ahead: timedelta = timedelta(),
    excluding_order: int | None = None,
) -> BenchWork:
    """Returns the work of all open orders but those that are over.

    until: moments up to which shifts are included; they also reach up to the last ready-by, and `ahead` further.
    excluding_order: the number of an order that is left out, because it is asked about again.
    """
    every = open_work(context.session, context.now)
    rows = tuple(row for row in every if row.number != excluding_order)
    last = max([context.now, *until, *(row.ready_by for row in rows)]) + ahead
    going = being_filled(every, context)
    first = min([context.now, *(one.since for one in going.values())])
    shifts = tuple(roster.shifts(first, last))
    orders = tuple(_orders(rows, going, shifts, context))
    crews = tuple(crew_absences(context, excluding_order))
    holds_until = min((one.until for one in going.values()), default=None)
    return BenchWork(orders, shifts, context.shop.points, crews, rows, holds_until)


def being_filled(rows: Iterable[WorkRow], context: Context) -> dict[str, GoingOn]:
    """Returns by their keys since when, and until when, the batches are being filled that are neither idle nor
    stopped."""
    found = {
        row.key: going_on(row.last_progress_at, row.last_burst_at, context.shop.idle_after(row.work_minutes))
        for row in rows
    }
    return {key: one for key, one in found.items() if one and context.now < one.until}


def work_key(number: int, part: OrderPart) -> str:
    """Returns the key of an order's work for the hand-over of this part."""
    return f"{number}{LATER_SUFFIX if part is OrderPart.LATER else ''}"


@lru_cache(4096)
def order_number_of(key: str) -> str:
    """Returns the order's number from the key of its work or of one of its batches."""
    return key.partition("-")[0].partition(LATER_SUFFIX)[0]


def earliest_start(not_before: datetime | None, inflate_by: datetime) -> datetime:
    """Returns not_before, or EPOCH if there is none or if it is after inflate_by. Then the window is empty, and the
    bench still answers whether it can make the batch at all."""
    return not_before if not_before and not_before <= inflate_by else EPOCH


def crew_absence(leaves_at: datetime, back_at: datetime, staff: int) -> Absence:
    """Returns the absence of a crew that fills at the venue; it takes one helium point along."""
    return Absence(leaves_at, back_at, staff, {Gas.HELIUM.value: 1})


def trip_absence(trip: TakeDownTrip | SetUpTrip) -> Absence:
    """Returns the absence of a crew that takes down or sets up; it needs no gas."""
    return Absence(trip.leaves_at, trip.back_at, trip.staff, {})


def crew_absences(context: Context, excluding_order: int | None = None) -> Iterator[Absence]:
    """Yields the absences of crews until they are back, whatever they have tapped there; no crew leaves to take
    down what is down already."""
    fill, set_up, take_down = crews_out(context.session, context.now)
    for crew in fill:
        if crew.number != excluding_order:
            yield crew_absence(crew.leaves_at, crew.event_start + timedelta(minutes=crew.travel_minutes), crew.crew)
    for one in set_up:
        if one.number != excluding_order:
            hours = one.arrives_at, one.event_start
            yield trip_absence(set_up_trip_of(*hours, one.travel_minutes, one.set_ups, context.shop.trip))
    for row in take_down:
        trip = take_down_trip_of(row.let_in, row.travel_minutes, row.crew, context.shop.trip)
        if row.number != excluding_order and not (row.done_at and row.done_at < trip.leaves_at):
            yield trip_absence(trip)


def _orders(
    rows: Iterable[WorkRow], going: Mapping[str, GoingOn], shifts: Sequence[Shift], context: Context
) -> Iterator[OrderWork]:
    """Yields the work of each hand-over that is left. going: the batches that are being filled, by key."""
    shop, now = context.shop, context.now
    at_bench = [row for row in rows if row.hand_over != HandOver.VENUE]
    started = sum(row.key in going for row in at_bench)
    for (number, part), batches in groupby(at_bench, key=lambda row: (row.number, row.part)):
        mine = list(batches)
        dry_at = [dry for row in mine if (dry := _dry_at(row, shop))]
        since = max(dry_at) if len(dry_at) == len(mine) else None
        fills = (
            _fill(row, going.get(row.key), shifts, context, started)
            for row in mine
            if _blocks_finishing(row, shop, now)
        )
        yield OrderWork(
            work_key(number, part),
            tuple(fills),
            finishing_left(mine[0].finishing_minutes * 60, since, shifts, now),
            mine[0].ready_by,
            _before_travel(mine[0].event_start, mine[0]),
            _before_travel(mine[0].event_end, mine[0]),
        )


def _before_travel(moment: datetime | None, row: WorkRow) -> datetime | None:
    """Returns when the order must be ready to be at the venue at this moment."""
    is_driven = row.hand_over is HandOver.DELIVER
    return moment - timedelta(minutes=row.travel_minutes) if moment and is_driven else moment


def _dry_at(row: WorkRow, shop: Shop) -> datetime | None:
    """Returns when the coat of a filled batch is dry, so that work on it may go on; None while it is not filled."""
    if row.filled < row.quantity or row.filled_at is None:
        return None
    return row.filled_at + _drying_time(row, shop)


def _drying_time(row: WorkRow, shop: Shop) -> timedelta:
    """Returns how long the coat of the batch dries."""
    return timedelta(minutes=shop.work_times.drying_minutes if row.treated else 0)


def _blocks_finishing(row: WorkRow, shop: Shop, now: datetime) -> bool:
    """Returns whether the batch is not yet filled and dry, so that finishing cannot start."""
    dry_at = _dry_at(row, shop)
    return dry_at is None or dry_at > now


def batch_of_row(row: WorkRow) -> BatchSpec:
    """Returns what the balloons of the batch have in common."""
    return BatchSpec(row.balloon_type_id, Gas(row.gas), row.treated, row.part, row.hung_g)


def _fill(row: WorkRow, going: GoingOn | None, shifts: Sequence[Shift], context: Context, started: int) -> FillJob:
    """Returns what is left of a batch. One that was started may go on at once; one that is filled only dries."""
    point, drying_time = point_of(row), _drying_time(row, context.shop)
    if row.filled_at and row.filled >= row.quantity:
        return FillJob(Batch(row.key, point, 0, row.filled_at, row.ready_by), drying_time)
    earliest = context.now if row.started_at else earliest_start(row.not_before, row.inflate_by)
    work = work_left(row, going, shifts, context.now, max(started, 1), context.shop.points[point])
    return FillJob(Batch(row.key, point, work, earliest, row.ready_by), drying_time)


def point_of(row: WorkRow) -> str:
    """Returns the filling point that the batch needs."""
    return filling_point(row.material, Gas(row.gas), air_only=row.air_only)


OVERNIGHT_GAP = timedelta(hours=10)
"""A shift that starts this long after a tap is on another day: nothing was done over night."""
MIN_SECONDS_LEFT = 60.0


def work_left(
    row: WorkRow,
    going: GoingOn | None,
    shifts: Sequence[Shift],
    now: datetime,
    started: int = 1,
    points: int = 1,
) -> float:
    """Returns the seconds of work that are left of a batch.

    going: since when it is being filled; None if it is not, and then all balloons count that are not tapped as
    filled. started: how many batches are on the bench, which share the staff. points: how many people can fill it
    at once. While it is being filled, the work of one balloon is left until all are tapped as filled.
    """
    each = row.work_minutes * 60 / row.quantity
    left = each * (row.quantity - row.filled)
    if going is None:
        return left
    staff = sum(shift.hands * _seconds(shift, going.since, now) for shift in shifts)
    gone = min(staff / started, points * _manned_seconds(shifts, going.since, now))
    return max(left - gone, min(each, left))


def finishing_left(seconds: float, since: datetime | None, shifts: Sequence[Shift], now: datetime) -> float:
    """Returns the seconds of work that are left of an order's finishing.

    since: when all of it was filled and dry; None while it is not. One person is assumed to work on it; a minute is
    left until it is tapped as ready.
    """
    if since is None:
        return seconds
    return max(seconds - _manned_seconds(shifts, since, now), min(MIN_SECONDS_LEFT, seconds))


def _seconds(shift: Shift, since: datetime, now: datetime) -> float:
    """Returns the seconds of the shift in that time, if it starts within a day."""
    if shift.start > since + OVERNIGHT_GAP:
        return 0.0
    return max((min(shift.end, now) - max(shift.start, since)).total_seconds(), 0.0)


def _manned_seconds(shifts: Sequence[Shift], since: datetime, now: datetime) -> float:
    """Returns the seconds in that time during which at least one person is on shift."""
    total, free_from = timedelta(), since
    for shift in sorted((shift for shift in shifts if shift.hands), key=lambda shift: shift.start):
        stop = min(shift.end, now)
        if shift.start <= since + OVERNIGHT_GAP and shift.start < stop and free_from < stop:
            total += stop - max(shift.start, free_from)
            free_from = stop
    return total.total_seconds()
