"""What would make an order fit on the bench: a later hour, one more person or filling point, or another way to make
it."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.actions.bench.bench_day import BenchDay
from app.actions.bench.bottleneck import earliest_possible_hour
from app.actions.bench.fit import BenchFit, fit_with_others, share_bench
from app.planning.finishing import Fit
from app.planning.moments import EPOCH
from app.planning.opening import Opening
from app.planning.schedule import Shift
from app.planning.shoptime import minute_to_utc
from app.planning.window import Certainty, Verdict
from app.quoting.allergy import avoids_latex
from app.quoting.alternatives import Alternative
from app.quoting.errors import Refused
from app.quoting.later_times import requests_at_all_later_times
from app.quoting.quote import Quote
from app.quoting.request import HandOver, OrderRequest
from app.quoting.shop import Shop
from app.quoting.way_search import QuoteFunction
from app.quoting.ways import AlternativeChange, requests_at_venue, with_treatment

HOUR = timedelta(hours=1)
BEFORE_OPENING = 2 * HOUR
"""One more person is asked for no earlier than this before the first shift."""
HOURS_SEARCHED = 48
"""A shift may go on until the end of the next date."""
MOST_STEPS = 4
"""How many later hours are tried one after another before the search goes on by halving the rest."""
MAX_FAILED_SEARCHES = 2
NOT_FOUND = BenchFit(Fit.NOT_FOUND, lacking_seconds=1)


@dataclass(frozen=True, slots=True)
class BenchAlternatives:
    """What would make an order fit on the bench.

    later_quote: the same order at the first later hour at which it fits; None if none was found. search_complete:
    whether all later hours were checked, so that no hour before later_quote fits. extra_person: the shortest shift
    of one more person that would make it fit. extra_point_fits: whether one more filling point would make it fit;
    None if points are not what is short. others: other ways to make the order, each of which fits.
    """

    later_quote: Quote | None = None
    search_complete: bool = True
    extra_person: Shift | None = None
    extra_point_fits: bool | None = None
    others: tuple[Alternative, ...] = ()


@dataclass(slots=True)
class BenchSearch:
    """The bench and how often it may still be searched for one page.

    A search that finds no plan takes long. After a few of them, every further question counts as not found.
    """

    bench: BenchDay
    searches_left: int = MAX_FAILED_SEARCHES

    def fit(self, quote: Quote | None, bench: BenchDay | None = None) -> BenchFit:
        """Returns whether the quote fits. bench: a bench with more staff or points, to ask instead of the own
        one."""
        if quote is None or not self.searches_left:
            return NOT_FOUND
        found = fit_with_others(quote, bench or self.bench)
        self.searches_left -= found.fit is Fit.NOT_FOUND
        return found

    def fits(self, quote: Quote | None, bench: BenchDay | None = None) -> bool:
        """Returns whether the quote is known to fit."""
        return self.fit(quote, bench).fit is Fit.FITS


def find_bench_alternatives(
    quote: Quote, fit: BenchFit, quote_for: QuoteFunction, bench_search: BenchSearch, shop: Shop
) -> BenchAlternatives:
    """Returns what would make the order fit; empty if it fits as it is."""
    if fit.fit is Fit.FITS:
        return BenchAlternatives()
    others = tuple(_others(quote, quote_for, bench_search, shop))
    later_quote = first_later_quote(quote, fit, quote_for, bench_search, shop)
    search_complete = bench_search.searches_left > 0
    if later_quote and _is_safe_enough(later_quote, quote):
        others = (_alternative(AlternativeChange.LATER, later_quote, quote), *others)
    extra_person, extra_point_fits = (
        one_more_person(quote, fit, bench_search, shop.opening),
        one_more_point(quote, fit, bench_search),
    )
    return BenchAlternatives(later_quote, search_complete, extra_person, extra_point_fits, others)


def check_alternatives(
    found: Sequence[Alternative], bench_search: BenchSearch, certainty: Certainty
) -> list[Alternative]:
    """Returns each alternative with the bench's answer and the starts that it allows, as long as the search may go
    on.

    Among the alternatives of one line, those that fit come first.
    """
    checked = [_checked(one, bench_search, certainty) if bench_search.searches_left else one for one in found]
    return sorted(checked, key=lambda one: (one.line or 0, one.fit is not Fit.FITS))


def _checked(alternative: Alternative, bench_search: BenchSearch, certainty: Certainty) -> Alternative:
    fit = Fit.CANNOT if alternative.quote.crew_is_late else bench_search.fit(alternative.quote).fit
    if fit is not Fit.FITS:
        return replace(alternative, fit=fit)
    return replace(alternative, fit=fit, quote=share_bench(alternative.quote, bench_search.bench, certainty))


def first_later_quote(
    quote: Quote, fit: BenchFit, quote_for: QuoteFunction, bench_search: BenchSearch, shop: Shop
) -> Quote | None:
    """Returns the same order at the first later hour at which it fits; None when it never does, or none was found.

    From an hour that is proved not to fit, the search goes on to the first hour that this proof leaves open. It
    halves the remaining hours when that takes many steps, or when nothing is proved.
    """
    requests, place = requests_at_all_later_times(quote, shop, bench_search.bench.now), 0
    for _ in range(MOST_STEPS):
        if fit.fit is not Fit.CANNOT:
            break
        until = earliest_possible_hour(quote, fit, bench_search.bench)
        place = bisect_left(requests, until, lo=place, key=_due) if until else len(requests)
        later = quoted(requests[place], quote_for) if place < len(requests) else None
        if later is None:
            return None
        quote, fit, place = later, bench_search.fit(later), place + 1
        if fit.fit is Fit.FITS:
            return later
    return _first_by_halving(requests[place:], quote_for, bench_search)


def _due(request: OrderRequest) -> datetime:
    """Returns by when the order must be ready, as a sort key."""
    return request.ready_by or EPOCH


def _first_by_halving(
    requests: Sequence[OrderRequest], quote_for: QuoteFunction, bench_search: BenchSearch
) -> Quote | None:
    """Returns the quote for the earliest of the requests that fits, found by halving; None when none is found."""
    low, high, best = 0, len(requests), None
    while low < high and bench_search.searches_left:
        middle = (low + high) // 2
        later = quoted(requests[middle], quote_for)
        low, high, best = (low, middle, later) if bench_search.fits(later) else (middle + 1, high, best)
    return best


def quoted(request: OrderRequest, quote_for: QuoteFunction) -> Quote | None:
    """Returns the quote for the request; None if the request is refused."""
    try:
        return quote_for(request)
    except Refused:
        return None


def one_more_person(quote: Quote, fit: BenchFit, bench_search: BenchSearch, opening: Opening) -> Shift | None:
    """Returns the shortest stretch of whole hours in which one more person would make the order fit.

    Of equally short stretches it is the last, on the day by whose end the work must be done. Returns None if not
    even the whole day would do, or if it is not proved that staff are short.

    Ends go back hour by hour, and the start with them: what does not fit with an earlier start or a later end does
    not fit without.
    """
    hours = _whole_hours(fit, bench_search.bench, opening)

    def with_person(first: int, last: int) -> BenchFit:
        return bench_search.fit(quote, bench_search.bench.with_one_more(hours[first], hours[last]))

    if len(hours) < 2 or with_person(0, -1).fit is not Fit.FITS:
        return None
    best, length, first = (0, len(hours) - 1), len(hours) - 1, len(hours) - 1
    for last in range(len(hours) - 1, 0, -1):
        first = min(first, last - _hours_of(fit.lacking_seconds))
        while first >= max(last - length + 1, 0):
            found = with_person(first, last)
            if found.fit is Fit.FITS:
                best, length = (first, last), last - first
                break
            first -= _hours_of(found.lacking_seconds)
    return Shift(hours[best[0]], hours[best[1]], 1)


def _hours_of(seconds: int) -> int:
    """Returns the hours that one person needs for so many seconds of work, rounded up."""
    return -(-seconds // 3600)


def _whole_hours(fit: BenchFit, bench: BenchDay, opening: Opening) -> list[datetime]:
    """Returns the full hours of the local clock, around the shifts of that day, between which one more person could
    help.

    Returns none if it is not proved that staff are short.
    """
    short = fit.shortage
    started = [shift for shift in bench.shifts if shift.hands and short and shift.start < short.end]
    if short is None or short.gas or fit.fit is not Fit.CANNOT or not started:
        return []
    day = opening.day_of(max(shift.start for shift in started))
    shifts = [shift for shift in bench.shifts if shift.hands and opening.day_of(shift.start) == day]
    first = max(min(shift.start for shift in shifts) - BEFORE_OPENING, short.start)
    last = min(max(shift.end for shift in shifts), short.end)
    hours = (minute_to_utc(day, hour * 60, opening.zone) for hour in range(HOURS_SEARCHED))
    return [at for at in hours if at >= bench.now and first - HOUR < at < last + HOUR]


def one_more_point(quote: Quote, fit: BenchFit, bench_search: BenchSearch) -> bool | None:
    """Returns whether one more filling point would make it fit; None if it is not proved that points are short."""
    gas = fit.shortage.gas if fit.shortage else None
    if gas is None or fit.fit is not Fit.CANNOT:
        return None
    return bench_search.fits(quote, bench_search.bench.with_one_more_point(gas))


def _others(quote: Quote, quote_for: QuoteFunction, bench_search: BenchSearch, shop: Shop) -> Iterator[Alternative]:
    """Yields the order with treated balloons and the order filled at the venue, of each the first quote that is no
    less safe, if it fits.

    Yields nothing if the order has latex and a latex allergy, because both ways would keep the latex.
    """
    if any(avoids_latex(quote, place) for place in range(len(quote.lines))):
        return
    crew = requests_at_venue(quote, shop) if quote.request.hand_over is not HandOver.VENUE else iter(())
    for change, tries in (
        (AlternativeChange.TREAT, _all_treated(quote.request, quote_for)),
        (AlternativeChange.VENUE, crew),
    ):
        quotes = (quoted(request, quote_for) for request in tries)
        first = next((one for one in quotes if one and _is_safe_enough(one, quote)), None)
        if first and bench_search.fits(first):
            yield _alternative(change, first, quote)


def _alternative(change: AlternativeChange, better: Quote, quote: Quote) -> Alternative:
    """Returns a better quote as an alternative that fits, with the difference in price."""
    return Alternative((change,), None, better, better.total_minor - quote.total_minor, Fit.FITS)


def _is_safe_enough(other: Quote, quote: Quote) -> bool:
    """Returns whether the other quote is at least as safe, and at least risky: what won't last helps nobody."""
    is_worse = other.float_verdict.rank > quote.float_verdict.rank
    return not is_worse and other.float_verdict is not Verdict.WONT_LAST


def _all_treated(request: OrderRequest, quote_for: QuoteFunction) -> Iterator[OrderRequest]:
    """Yields the order with every line treated that can be; nothing if no line can."""
    coated = request
    for place in range(len(request.lines)):
        coated = next((one for one in with_treatment(coated, place) if quoted(one, quote_for)), coated)
    if coated != request:
        yield coated
