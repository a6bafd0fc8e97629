"""Whether the bench can make an order along with all the others: the work left, against staff, points and hours."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.actions.bench.bench_day import THIS_ORDER, BenchDay, named_batches
from app.actions.context import Context
from app.actions.records.open_work import batch_of_row, being_filled, load_work, order_number_of, work_key
from app.actions.records.shop import load_roster
from app.planning.finishing import Conflict, FinishStarts, Fit, find_finish_starts
from app.planning.schedule import Shortage
from app.planning.shoptime import local_day, minute_down
from app.planning.window import Certainty
from app.quoting.later_times import MAX_POSTPONED
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep
from app.store.queries.work import WorkRow, steps_of_order, work_of


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


def load_bench(context: Context, quote: Quote, excluding_order: int | None = None) -> BenchDay:
    """Returns the bench, as far ahead as the order of the quote may be moved.

    excluding_order: the number of that order, if it is saved already.
    """
    last = max((run.ready_by for run in quote.runs), default=context.now)
    bench = context.keep(("bench", excluding_order), lambda at: _find_bench(at, excluding_order, at.now))
    zone = context.shop.zone
    if bench.reaches is None or local_day(last + MAX_POSTPONED, zone) <= local_day(bench.reaches, zone):
        return bench
    day = local_day(last, zone)
    return context.keep(("bench", excluding_order, day), lambda at: _find_bench(at, excluding_order, last))


def _find_bench(context: Context, excluding_order: int | None, until: datetime) -> BenchDay:
    """Returns the bench as far ahead as an order that is due by then, or any other, may be moved."""
    known: BenchDay | None = context.before(("bench", excluding_order))
    roster = load_roster(context.session, context.shop.opening)
    work = load_work(context, roster, [until], MAX_POSTPONED, excluding_order)
    pressing = {work_key(row.number, row.part) for row in work.rows if _is_pressing(row, context.now)}
    unavoidably_late = {
        order.key
        for order in work.orders
        if order.key in pressing
        and find_finish_starts([order], work.shifts, work.points, context.now, work.absences).fit is not Fit.FITS
    }
    orders = tuple(order for order in work.orders if order.key not in unavoidably_late)
    late = tuple(dict.fromkeys(map(order_number_of, sorted(unavoidably_late))))
    bench = BenchDay(
        orders,
        work.shifts,
        work.points,
        work.absences,
        context.now,
        context.shop.trip,
        late,
        before=known.known_flow if known else None,
        reaches=max([context.now, until, *(row.ready_by for row in work.rows)]) + MAX_POSTPONED,
    )
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
    starts = bench.latest_starts(quote)
    runs = tuple(
        replace(
            run,
            batches=tuple(
                plan.starting_by(minute_down(starts[key]), certainty) if key in starts else plan
                for key, plan in named_batches(run)
            ),
        )
        for run in quote.runs
    )
    return replace(quote, runs=runs)


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
