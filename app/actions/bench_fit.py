"""Whether the bench can make an order beside all the others: the work left, against hands, points and hours."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.actions.bench_work import begins, crew_away, key_of, load_work, number_of
from app.actions.course import trip_of
from app.actions.errors import Refused
from app.actions.quote import Quote
from app.actions.remedies import FURTHEST, Ask, later_wishes
from app.actions.shop import Shop, load_roster
from app.actions.wish import HandOver, OrderWish
from app.planning.handoff import Fill, Fit, HandOffs, OrderWork, find_hand_offs
from app.planning.schedule import Away, Batch, Shift, Shortage
from app.store.queries.work import WorkRow

THIS_ORDER = "this order"


@dataclass(frozen=True, slots=True)
class BenchFit:
    """fit: of this order beside the others; where these do not fit among themselves, whether it makes that worse.
    others: the numbers of orders that compete with it. already: those that do not fit without it. hopeless: orders
    that are late whatever is done, so they are not counted."""

    fit: Fit
    shortage: Shortage | None = None
    others: tuple[str, ...] = ()
    already: tuple[str, ...] = ()
    hopeless: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BenchDay:
    """The bench as it stands without the order asked about."""

    orders: tuple[OrderWork, ...]
    hopeless: tuple[str, ...]
    away: tuple[Away, ...]
    shifts: tuple[Shift, ...]


def load_bench(session: Session, shop: Shop, now: datetime, answer: Quote, but: int | None = None) -> BenchDay:
    """As far ahead as the order of the quote may be moved. but: the number of an order that is left out, because it
    is asked about anew."""
    roster = load_roster(session, shop.opening)
    work = load_work(session, shop, roster, now, [run.ready_by for run in answer.runs], FURTHEST, but)
    pressing = {key_of(row.number, later=row.later) for row in work.rows if _is_pressing(row, now)}
    hopeless = {
        order.key
        for order in work.orders
        if order.key in pressing
        and find_hand_offs([order], work.shifts, work.points, now, work.away).fit is not Fit.FITS
    }
    orders = tuple(order for order in work.orders if order.key not in hopeless)
    return BenchDay(orders, tuple(map(number_of, sorted(hopeless))), work.away, work.shifts)


def _is_pressing(row: WorkRow, now: datetime) -> bool:
    """Whether it might be late whatever is done: its latest start, or that of its tail, is past."""
    return now > min(row.inflate_by, row.ready_by - timedelta(minutes=row.tail_minutes))


def fit_beside(answer: Quote, bench: BenchDay, shop: Shop, now: datetime) -> BenchFit:
    """The order of a quote beside the others; at the venue it only takes its crew away from them."""
    mine = () if answer.wish.hand_over is HandOver.VENUE else tuple(_of_quote(answer))
    away = (*bench.away, *_crew_of(answer))
    found = find_hand_offs([*bench.orders, *mine], bench.shifts, shop.points, now, away)
    if found.fit is Fit.FITS:
        return BenchFit(Fit.FITS, hopeless=bench.hopeless)
    without = find_hand_offs(bench.orders, bench.shifts, shop.points, now, bench.away)
    already = _competing(without.shortage)
    if _badness(found) <= _badness(without):
        return BenchFit(Fit.FITS, already=already, hopeless=bench.hopeless)
    return BenchFit(found.fit, found.shortage, _competing(found.shortage), already, bench.hopeless)


def _badness(found: HandOffs) -> tuple[bool, int]:
    """Proved beats not found, and more work too many beats less."""
    return found.fit is Fit.CANNOT, found.shortage.all_seconds if found.shortage else 0


def _competing(shortage: Shortage | None) -> tuple[str, ...]:
    keys = shortage.keys if shortage else ()
    return tuple(dict.fromkeys(number_of(key) for key in keys if not key.startswith(THIS_ORDER)))


def _of_quote(answer: Quote) -> Iterator[OrderWork]:
    for run in answer.runs:
        key = f"{THIS_ORDER}{' later' if run.later else ''}"
        fills = tuple(
            Fill(
                Batch(
                    f"{key}-{place}",
                    plan.fill.of.gas,
                    plan.fill.work.total_seconds(),
                    begins(plan.window.not_before, plan.window.inflate_by),
                    run.ready_by,
                ),
                plan.fill.dries,
            )
            for place, plan in enumerate(run.batches)
        )
        yield OrderWork(key, fills, answer.tail.total_seconds(), run.ready_by)


def _crew_of(answer: Quote) -> Iterator[Away]:
    trip = trip_of(answer.wish)
    if trip:
        yield crew_away(trip.leaves_by, trip.back_at, answer.wish.crew)


def first_free(answer: Quote, ask: Ask, bench: BenchDay, shop: Shop, now: datetime) -> Quote | None:
    """The same order at the first later hour at which it fits, found by halving; None when it never does."""
    wishes = later_wishes(answer, shop, now)
    low, high, best = 0, len(wishes), None
    while low < high:
        middle = (low + high) // 2
        later = _fits(wishes[middle], ask, bench, shop, now)
        low, high, best = (low, middle, later) if later else (middle + 1, high, best)
    return best


def _fits(wish: OrderWish, ask: Ask, bench: BenchDay, shop: Shop, now: datetime) -> Quote | None:
    try:
        answer = ask(wish)
    except Refused:
        return None
    return answer if fit_beside(answer, bench, shop, now).fit is Fit.FITS else None
