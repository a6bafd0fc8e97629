"""Whether the bench can make an order along with all the others: the work left, against staff, points and hours."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cached_property

from app.actions.context import Context
from app.actions.records.open_work import (
    LATER_SUFFIX,
    batch_of_row,
    being_filled,
    crew_absence,
    earliest_start,
    load_work,
    order_number_of,
    trip_absence,
    work_key,
    work_left,
)
from app.actions.records.shop import load_roster
from app.planning.finishing import Conflict, FinishStarts, Fit, find_finish_starts
from app.planning.going_on import GoingOn
from app.planning.order_work import FillJob, OrderWork
from app.planning.schedule import Absence, Batch, Shift, Shortage
from app.planning.shared_starts import latest_shared_starts
from app.planning.shoptime import minute_down
from app.planning.window import Certainty
from app.planning.work import filling_point
from app.quoting.journey import set_up_trip, trip_of
from app.quoting.later_times import MAX_POSTPONED
from app.quoting.parts import BatchSpec, match_commitments
from app.quoting.quote import Quote
from app.quoting.rentals import take_down_trip_of
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan, Run
from app.quoting.shop import TripDefaults
from app.quoting.states import HandOverStep, OrderPart
from app.store.queries.work import WorkRow, steps_of_order, work_of

THIS_ORDER = "this order"


@dataclass(frozen=True, slots=True)
class BenchFit:
    """Whether an order can be made along with the other orders.

    fit: FITS also if the other orders do not fit among themselves and this one makes it no worse. lacking_seconds:
    seconds of work that are proved to be too much. The rest are numbers of orders. others: those that compete with
    this one. already_unfit: those that do not fit even without this one. unavoidably_late: those that will be late
    whatever is done; they are not counted.
    """

    fit: Fit
    shortage: Shortage | None = None
    lacking_seconds: int = 0
    others: tuple[str, ...] = ()
    already_unfit: tuple[str, ...] = ()
    unavoidably_late: tuple[str, ...] = ()


@dataclass(frozen=True)
class BenchDay:
    """The bench without the order asked about.

    If that order is saved already, started has its batches that were started, going those that are being filled,
    by key, and ready has its parts that are ready.
    """

    orders: tuple[OrderWork, ...]
    shifts: tuple[Shift, ...]
    points: Mapping[str, int]
    absences: tuple[Absence, ...]
    now: datetime
    trip_defaults: TripDefaults
    unavoidably_late: tuple[str, ...] = ()
    started: Mapping[BatchSpec, WorkRow] | None = None
    going: Mapping[str, GoingOn] = field(default_factory=dict)
    ready: frozenset[OrderPart] = frozenset()

    @cached_property
    def finish_without_order(self) -> FinishStarts:
        """The starts of finishing without the order asked about."""
        return find_finish_starts(self.orders, self.shifts, self.points, self.now, self.absences)

    def finish_with_order(self, quote: Quote) -> FinishStarts:
        """Returns the starts of finishing along with the order of the quote. An order filled at the venue only
        takes its crew away from the others."""
        mine = () if quote.request.hand_over is HandOver.VENUE else self.of_quote(quote)
        absences = (*self.absences, *_crews_of(quote, self.trip_defaults))
        return find_finish_starts([*self.orders, *mine], self.shifts, self.points, self.now, absences)

    def of_quote(self, quote: Quote) -> tuple[OrderWork, ...]:
        """Returns the work at the bench that is left for the order of the quote."""
        return tuple(_of_quote(quote, self))


def load_bench(context: Context, quote: Quote, excluding_order: int | None = None) -> BenchDay:
    """Returns the bench, as far ahead as the order of the quote may be moved.

    excluding_order: the number of that order, if it is saved already.
    """
    roster = load_roster(context.session, context.shop.opening)
    work = load_work(context, roster, [run.ready_by for run in quote.runs], MAX_POSTPONED, excluding_order)
    pressing = {work_key(row.number, row.part) for row in work.rows if _is_pressing(row, context.now)}
    unavoidably_late = {
        order.key
        for order in work.orders
        if order.key in pressing
        and find_finish_starts([order], work.shifts, work.points, context.now, work.absences).fit is not Fit.FITS
    }
    orders = tuple(order for order in work.orders if order.key not in unavoidably_late)
    late = tuple(dict.fromkeys(map(order_number_of, sorted(unavoidably_late))))
    bench = BenchDay(orders, work.shifts, work.points, work.absences, context.now, context.shop.trip, late)
    return bench if excluding_order is None else _as_it_stands(context, bench, excluding_order)


def _as_it_stands(context: Context, bench: BenchDay, number: int) -> BenchDay:
    """Returns the bench with what was done so far for the order of this number."""
    started = [row for row in work_of(context.session, number) if row.started_at]
    return replace(
        bench,
        started={batch_of_row(row): row for row in started},
        going=being_filled(started, context),
        ready=frozenset(steps_of_order(context.session, number, HandOverStep.READY)),
    )


def _is_pressing(row: WorkRow, now: datetime) -> bool:
    """Returns whether the batch might be late whatever is done: its latest start, or that of its finishing, is
    past."""
    return now > min(row.inflate_by, row.ready_by - timedelta(minutes=row.finishing_minutes))


def fit_with_others(quote: Quote, bench: BenchDay) -> BenchFit:
    """Returns whether the order of a quote fits along with the others."""
    found = bench.finish_with_order(quote)
    if found.fit is Fit.FITS:
        return BenchFit(Fit.FITS, unavoidably_late=bench.unavoidably_late)
    already_unfit = tuple(
        dict.fromkeys(one for lack in bench.finish_without_order.conflicts for one in _competing(lack.shortage))
    )
    if _badness(found) <= _badness(bench.finish_without_order):
        return BenchFit(Fit.FITS, already_unfit=already_unfit, unavoidably_late=bench.unavoidably_late)
    worse = _worse(found, bench.finish_without_order)
    lacking = (
        found.seconds(Fit.CANNOT) - bench.finish_without_order.seconds(Fit.CANNOT) if worse.fit is Fit.CANNOT else 1
    )
    return BenchFit(
        worse.fit, worse.shortage, lacking, _competing(worse.shortage), already_unfit, bench.unavoidably_late
    )


def share_bench(quote: Quote, bench: BenchDay, certainty: Certainty) -> Quote:
    """Returns the quote with the latest starts that the bench allows along with the other orders.

    It stays as it is if a crew fills it at the venue, or if not all orders fit.
    """
    found = bench.finish_with_order(quote)
    if quote.request.hand_over is HandOver.VENUE or found.fit is not Fit.FITS:
        return quote
    mine, absences = bench.of_quote(quote), (*bench.absences, *_crews_of(quote, bench.trip_defaults))
    starts = latest_shared_starts(
        mine, bench.orders, found.by_order, bench.shifts, bench.points, bench.now, absences
    )
    runs = tuple(
        replace(
            run,
            batches=tuple(
                plan.starting_by(minute_down(starts[key]), certainty) if key in starts else plan
                for key, plan in _named(run)
            ),
        )
        for run in quote.runs
    )
    return replace(quote, runs=runs)


def _named(run: Run) -> list[tuple[str, BatchPlan]]:
    """Returns the batches of the run with their keys at the bench."""
    return [(f"{_key_of(run)}-{place}", plan) for place, plan in enumerate(run.batches)]


def _key_of(run: Run) -> str:
    """Returns the key of the order's part at the bench."""
    return f"{THIS_ORDER}{LATER_SUFFIX if run.part is OrderPart.LATER else ''}"


def _badness(found: FinishStarts) -> tuple[int, int]:
    """Returns the seconds proved to be too much, then the seconds for which no plan was found."""
    return found.seconds(Fit.CANNOT), found.seconds(Fit.NOT_FOUND)


def _worse(found: FinishStarts, without: FinishStarts) -> Conflict:
    """Returns the conflict that the order asked about makes worse, one of its own before one of others.

    Only a cut proves how much is lacking; what was not found may lack no more than the last second.
    """
    fit = Fit.CANNOT if found.seconds(Fit.CANNOT) > without.seconds(Fit.CANNOT) else Fit.NOT_FOUND
    new = [lack for lack in found.conflicts if lack.fit is fit and lack not in without.conflicts]
    return min(new, key=lambda lack: not any(key.startswith(THIS_ORDER) for key in lack.orders))


def _competing(shortage: Shortage | None) -> tuple[str, ...]:
    """Returns the numbers of the other orders in the shortage."""
    keys = shortage.keys if shortage else ()
    return tuple(dict.fromkeys(order_number_of(key) for key in keys if not key.startswith(THIS_ORDER)))


def _of_quote(quote: Quote, bench: BenchDay) -> Iterator[OrderWork]:
    """Yields the work that is left for the quote; nothing for a hand-over that is ready."""
    started = match_commitments(bench.started or {}, [plan.fill.spec for plan in quote.batches])
    for run in quote.runs:
        key = _key_of(run)
        plans = [(name, plan, _started_row(plan, started)) for name, plan in _named(run)]
        fills = tuple(
            _fill(name, plan, run, row, bench)
            for name, plan, row in plans
            if row is None or row.filled < row.quantity
        )
        if fills or run.part not in bench.ready:
            yield OrderWork(key, fills, quote.finishing.total_seconds(), run.ready_by)


def _started_row(plan: BatchPlan, started: Mapping[BatchSpec, WorkRow]) -> WorkRow | None:
    """Returns the row of a batch that was started, with the quantity wanted now; None if it was not started."""
    row = started.get(plan.fill.spec)
    minutes = int(plan.fill.work.total_seconds() // 60)
    return replace(row, quantity=plan.fill.quantity, work_minutes=minutes) if row else None


def _fill(key: str, plan: BatchPlan, run: Run, row: WorkRow | None, bench: BenchDay) -> FillJob:
    """Returns the fill of one batch. A batch that was started goes on at once."""
    if row is None:
        work, earliest = (
            plan.fill.work.total_seconds(),
            earliest_start(plan.window.not_before, plan.window.inflate_by),
        )
    else:
        work, earliest = work_left(row, bench.going.get(row.key), bench.shifts, bench.now), bench.now
    balloon_type = plan.fill.balloon_type
    point = filling_point(balloon_type.material, plan.fill.spec.gas, air_only=balloon_type.air_only)
    return FillJob(Batch(key, point, work, earliest, run.ready_by), plan.fill.drying_time)


def _crews_of(quote: Quote, trip_defaults: TripDefaults) -> Iterator[Absence]:
    """Yields when the crew of the quote is away, for the delivery and to take down."""
    if trip := trip_of(quote.request):
        yield crew_absence(quote.leaves_at, trip.back_at, quote.request.crew)
    request = quote.request
    if sets_up := set_up_trip(request, trip_defaults):
        yield trip_absence(sets_up)
    if request.take_down_at:
        yield trip_absence(
            take_down_trip_of(request.take_down_at, request.travel_minutes, request.crew, trip_defaults)
        )
