"""What would make an order fit on the bench: a later hour, one more hand or filling point, another way."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.actions.bench.bottleneck import too_much_until
from app.actions.bench.fit import BenchDay, BenchFit, fit_beside
from app.planning.finishing import Fit
from app.planning.moments import EPOCH
from app.planning.schedule import Shift
from app.planning.shoptime import local_day, opening_to_utc
from app.quoting.alternatives import Alternative, AlternativeKind, Ask, at_venue, later_requests, treated
from app.quoting.errors import Refused
from app.quoting.quote import WORST_FIRST, Quote
from app.quoting.request import HandOver, OrderRequest
from app.quoting.shop import Shop

HOUR = timedelta(hours=1)
BEFORE_OPENING = 2 * HOUR
"""One more hand is asked for no earlier than this before the first shift."""
MOST_STEPS = 4
"""Later hours that are tried one after another before the rest is halved."""
MOST_NOT_FOUND = 2
NOT_FOUND = BenchFit(Fit.NOT_FOUND, lacking_seconds=1)


@dataclass(frozen=True, slots=True)
class BenchAlternatives:
    """free: the same order at the first later hour at which it fits; searched: whether all hours were, so that none
    sooner, or none at all, would. hand: the shortest stretch of whole hours during which one more hand would make
    it fit. point: whether one more filling point would, where points are what is wanting. others: other ways to
    make it, each of which fits."""

    free: Quote | None = None
    searched: bool = True
    hand: Shift | None = None
    point: bool | None = None
    others: tuple[Alternative, ...] = ()


@dataclass(slots=True)
class BenchSearch:
    """The bench asked again and again for one answer. A search without a result takes long: after a few of them
    nothing more is found."""

    bench: BenchDay
    patience: int = MOST_NOT_FOUND

    def fit(self, quote: Quote | None, bench: BenchDay | None = None) -> BenchFit:
        """bench: with something more than it has."""
        if quote is None or not self.patience:
            return NOT_FOUND
        found = fit_beside(quote, bench or self.bench)
        self.patience -= found.fit is Fit.NOT_FOUND
        return found

    def fits(self, quote: Quote | None, bench: BenchDay | None = None) -> bool:
        return self.fit(quote, bench).fit is Fit.FITS


def find_bench_alternatives(
    quote: Quote, fit: BenchFit, ask: Ask, asking: BenchSearch, shop: Shop
) -> BenchAlternatives:
    """Nothing where it fits as it is."""
    if fit.fit is Fit.FITS:
        return BenchAlternatives()
    others = tuple(_others(quote, ask, asking, shop))
    free = first_free(quote, fit, ask, asking, shop)
    searched = asking.patience > 0
    if free and _as_safe(free, quote):
        others = (_alternative(AlternativeKind.LATER, free, quote), *others)
    hand, point = one_more_person(quote, fit, asking, shop.zone), one_more_point(quote, fit, asking)
    return BenchAlternatives(free, searched, hand, point, others)


def check_alternatives(found: Sequence[Alternative], asking: BenchSearch) -> list[Alternative]:
    """Each with what the bench says to it, as long as there is patience to ask; those that fit come first among
    the alternatives of their line."""
    checked = [replace(one, fit=asking.fit(one.quote).fit if asking.patience else None) for one in found]
    return sorted(checked, key=lambda one: (one.line or 0, one.fit is not Fit.FITS))


def first_free(quote: Quote, fit: BenchFit, ask: Ask, asking: BenchSearch, shop: Shop) -> Quote | None:
    """The same order at the first later hour at which it fits; None when it never does, or none was found.

    From an hour that is proved not to fit on to the first of which that proof says nothing; halved where that goes
    on for long, or where nothing is proved.
    """
    requests, place = later_requests(quote, shop, asking.bench.now), 0
    for _ in range(MOST_STEPS):
        if fit.fit is not Fit.CANNOT:
            break
        until = too_much_until(quote, fit, asking.bench)
        place = bisect_left(requests, until, lo=place, key=_due) if until else len(requests)
        later = quoted(requests[place], ask) if place < len(requests) else None
        if later is None:
            return None
        quote, fit, place = later, asking.fit(later), place + 1
        if fit.fit is Fit.FITS:
            return later
    return _halved(requests[place:], ask, asking)


def _due(request: OrderRequest) -> datetime:
    return request.ready_by or EPOCH


def _halved(requests: Sequence[OrderRequest], ask: Ask, asking: BenchSearch) -> Quote | None:
    low, high, best = 0, len(requests), None
    while low < high and asking.patience:
        middle = (low + high) // 2
        later = quoted(requests[middle], ask)
        low, high, best = (low, middle, later) if asking.fits(later) else (middle + 1, high, best)
    return best


def quoted(request: OrderRequest, ask: Ask) -> Quote | None:
    """None where it is refused."""
    try:
        return ask(request)
    except Refused:
        return None


def one_more_person(quote: Quote, fit: BenchFit, asking: BenchSearch, zone: ZoneInfo) -> Shift | None:
    """In the shortest stretch of whole hours, the last of those as short, on the day by whose end the work must be
    done; None where not even the whole day would do, and where it is not proved that hands are wanting.

    Ends go back hour by hour, and the start with them: what does not fit with an earlier start or a later end does
    not fit without.
    """
    hours = _whole_hours(fit, asking.bench, zone)

    def beside(first: int, last: int) -> BenchFit:
        return asking.fit(quote, with_one_more(asking.bench, hours[first], hours[last]))

    if len(hours) < 2 or beside(0, -1).fit is not Fit.FITS:
        return None
    best, length, first = (0, len(hours) - 1), len(hours) - 1, len(hours) - 1
    for last in range(len(hours) - 1, 0, -1):
        first = min(first, last - _hours_of(fit.lacking_seconds))
        while first >= max(last - length + 1, 0):
            found = beside(first, last)
            if found.fit is Fit.FITS:
                best, length = (first, last), last - first
                break
            first -= _hours_of(found.lacking_seconds)
    return Shift(hours[best[0]], hours[best[1]], 1)


def with_one_more(bench: BenchDay, start: datetime, end: datetime) -> BenchDay:
    return replace(bench, shifts=(*bench.shifts, Shift(start, end, 1)))


def _hours_of(seconds: int) -> int:
    """One hand works so many hours for that, rounded up."""
    return -(-seconds // 3600)


def _whole_hours(fit: BenchFit, bench: BenchDay, zone: ZoneInfo) -> list[datetime]:
    """The clock's full hours around the hands of that day between which a hand could help; none where it is not
    proved that hands are wanting."""
    short = fit.shortage
    started = [shift for shift in bench.shifts if shift.hands and short and shift.start < short.end]
    if short is None or short.gas or fit.fit is not Fit.CANNOT or not started:
        return []
    day = local_day(max(shift.start for shift in started), zone)
    shifts = [shift for shift in bench.shifts if shift.hands and local_day(shift.start, zone) == day]
    first = max(min(shift.start for shift in shifts) - BEFORE_OPENING, short.start)
    last = min(max(shift.end for shift in shifts), short.end)
    hours = (opening_to_utc(day, time(hour), zone) for hour in range(24))
    return [at for at in hours if at >= bench.now and first - HOUR < at < last + HOUR]


def one_more_point(quote: Quote, fit: BenchFit, asking: BenchSearch) -> bool | None:
    """Whether it would do; None where it is not proved that filling points are wanting."""
    gas = fit.shortage.gas if fit.shortage else None
    if gas is None or fit.fit is not Fit.CANNOT:
        return None
    points = asking.bench.points
    return asking.fits(quote, replace(asking.bench, points={**points, gas: points[gas] + 1}))


def _others(quote: Quote, ask: Ask, asking: BenchSearch, shop: Shop) -> Iterator[Alternative]:
    """Treated, or filled at the venue: of each the first that is no less safe, where that one fits."""
    crew = at_venue(quote, shop) if quote.request.hand_over is not HandOver.VENUE else iter(())
    for kind, tries in ((AlternativeKind.TREAT, _all_treated(quote.request, ask)), (AlternativeKind.VENUE, crew)):
        quotes = (quoted(request, ask) for request in tries)
        first = next((one for one in quotes if one and _as_safe(one, quote)), None)
        if first and asking.fits(first):
            yield _alternative(kind, first, quote)


def _alternative(kind: AlternativeKind, better: Quote, quote: Quote) -> Alternative:
    return Alternative(kind, None, better, better.total_minor - quote.total_minor, Fit.FITS)


def _as_safe(other: Quote, quote: Quote) -> bool:
    return WORST_FIRST.index(other.verdict) >= WORST_FIRST.index(quote.verdict)


def _all_treated(request: OrderRequest, ask: Ask) -> Iterator[OrderRequest]:
    """All its lines that can be."""
    coated = request
    for place in range(len(request.lines)):
        coated = next((one for one in treated(coated, place) if quoted(one, ask)), coated)
    if coated != request:
        yield coated
