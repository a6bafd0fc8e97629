"""What would make an order fit on the bench: whatever is offered fits, and nothing sooner or shorter would."""

from collections import Counter
from dataclasses import replace
from datetime import timedelta
from random import Random

import pytest

from app.actions.bench import alternatives
from app.actions.bench.alternatives import (
    HOUR,
    BenchSearch,
    check_alternatives,
    find_bench_alternatives,
    first_later_quote,
    one_more_person,
)
from app.actions.bench.bench_day import BenchDay
from app.actions.bench.fit import BenchFit, fit_with_others, load_bench
from app.actions.records.shop import load_shop
from app.actions.shop.office import ShiftMinutes, change_settings, change_shifts
from app.places.counter.shown_alternatives import BENCH_FIT_SENTENCES
from app.planning.finishing import Fit
from app.planning.order_work import FillJob, OrderWork
from app.planning.schedule import Batch, Shift
from app.quoting.alternatives import find_alternatives
from app.quoting.checks import check_hours
from app.quoting.later_times import requests_at_all_later_times
from app.quoting.quote import make_quote
from app.quoting.request import HandOver
from app.quoting.ways import AlternativeChange
from tests.actions.builders import BENCH_REASON, MORNING, USUAL_TRIP, at, ctx, line, order_request, take
from tests.amounts import amount

EVENT = {"event_start": at(17), "lasts_until": at(19, 30)}
BENCHES = amount(18, deep=50)


DAY_BEFORE = MORNING - timedelta(days=1)


def _ask(shop, catalogue, now=DAY_BEFORE):
    def ask(wanted):
        check_hours(wanted, now)
        return make_quote(wanted, shop, catalogue, now)

    return ask


def _other(draw, key):
    """An order due between nine and five, with one or two batches that may begin up to six hours before."""
    due = at(9) + timedelta(minutes=15 * draw.randrange(33))
    fills = [
        FillJob(
            Batch(
                f"{key}-{place}",
                draw.choice(["helium", "helium", "air"]),
                60.0 * draw.randrange(10, 45),
                due - timedelta(minutes=draw.randrange(90, 360)),
                due,
            )
        )
        for place in range(draw.randrange(1, 3))
    ]
    return OrderWork(key, tuple(fills), 60.0 * draw.randrange(5, 20), due)


def _bench(draw):
    """One to three hands from eight to six, the day before too, and as many orders as nearly fill the day; alone
    they fit."""
    staff = draw.randrange(1, 4)
    points = {"helium": draw.randrange(1, 3), "air": 1}
    shifts = tuple(Shift(at(8, days=days), at(18, days=days), staff) for days in (-1, 0))
    bench = BenchDay((), shifts, points, (), DAY_BEFORE, USUAL_TRIP)
    for key in range(draw.randrange(6, 8 + 10 * staff)):
        more = replace(bench, orders=(*bench.orders, _other(draw, f"{key + 1}")))
        bench = more if more.finish_without_order.fit is Fit.FITS else bench
    return bench


@pytest.fixture(scope="module")
def drawn():
    draw = Random(20261121)
    return [(_bench(draw), draw.randrange(60, 150), at(10) + draw.randrange(17) * HOUR / 4) for _ in range(BENCHES)]


def _not_fitting(drawn, ask, catalogue):
    """The benches with which an order does not fit, with its answer and what the bench says."""
    for bench, quantity, ready_by in drawn:
        quote = ask(order_request(catalogue, line(catalogue, quantity=quantity), ready_by=ready_by, **EVENT))
        fit = fit_with_others(quote, bench)
        if fit.fit is not Fit.FITS:
            yield bench, quote, fit


@pytest.fixture
def flows(monkeypatch):
    """How often the bench is asked."""
    asked = Counter()

    def counted(*told):
        asked["flows"] += 1
        return fit_with_others(*told)

    monkeypatch.setattr(alternatives, "fit_with_others", counted)
    return asked


def test_no_hour_before_the_first_free_one_fits_and_few_are_tried(drawn, shop, catalogue, flows):
    """Every hour before it is tried too. For four of five of these benches at most four are tried to find it."""
    ask, tries = _ask(shop, catalogue), []
    for bench, quote, fit in _not_fitting(drawn, ask, catalogue):
        flows.clear()
        free = first_later_quote(quote, fit, ask, BenchSearch(bench), shop)
        tries.append(flows["flows"])
        later = [ask(wanted) for wanted in requests_at_all_later_times(quote, shop, DAY_BEFORE)]
        sooner = [one for one in later if free is None or one.ready_by < free.ready_by]
        assert not any(fit_with_others(one, bench).fit is Fit.FITS for one in sooner)
        assert free is None or fit_with_others(free, bench).fit is Fit.FITS
    assert len(tries) > amount(3, deep=15)
    assert sum(number <= 4 for number in tries) >= 0.8 * len(tries)
    assert max(tries) <= 9


def test_one_more_hand_fits_and_no_shorter_stretch_would(drawn, shop, catalogue):
    """Every stretch an hour shorter is tried between six in the morning and seven in the evening; what fits in a
    part of a stretch fits in all of it."""
    ask, found = _ask(shop, catalogue), Counter()
    hours = [at(hour) for hour in range(6, 19)]
    for bench, quote, fit in _not_fitting(drawn, ask, catalogue):
        extra_person = one_more_person(quote, fit, BenchSearch(bench, searches_left=99), shop.opening)
        wanting = fit.fit is Fit.CANNOT and fit.shortage.gas is None
        assert extra_person is None or wanting
        if extra_person is None:
            day = bench.with_one_more(at(6), at(19))
            assert not wanting or fit_with_others(quote, day).fit is not Fit.FITS
            continue
        length = (extra_person.end - extra_person.start) // HOUR
        found[length] += 1
        assert fit_with_others(quote, bench.with_one_more(extra_person.start, extra_person.end)).fit is Fit.FITS
        shorter = [bench.with_one_more(start, start + (length - 1) * HOUR) for start in hours]
        assert length == 1 or not any(fit_with_others(quote, one).fit is Fit.FITS for one in shorter)
    assert len(found) > 1


def test_whatever_is_offered_fits_and_is_no_less_safe(drawn, shop, catalogue):
    ask, offered = _ask(shop, catalogue), Counter()
    for bench, quote, fit in _not_fitting(drawn, ask, catalogue):
        ways = find_bench_alternatives(quote, fit, ask, BenchSearch(bench, searches_left=99), shop)
        for way in ways.others:
            offered[way.change] += 1
            assert fit_with_others(ask(way.quote.request), bench).fit is Fit.FITS
            assert way.quote.float_verdict.rank <= quote.float_verdict.rank
            assert way.quote.late_run is None
            assert way.costs_minor == way.quote.total_minor - quote.total_minor
        if AlternativeChange.TREAT not in {way.change for way in ways.others}:
            treated = replace(quote.request, lines=tuple(replace(one, treated=True) for one in quote.request.lines))
            assert fit_with_others(ask(treated), bench).fit is not Fit.FITS or ask(treated).late_run
    assert set(offered) == {AlternativeChange.LATER, AlternativeChange.TREAT, AlternativeChange.VENUE}


NOON = {"ready_by": at(12), "event_start": at(15), "lasts_until": at(16, 30)}


@pytest.fixture
def bench_of(session, catalogue):
    """The answer to an order, what the bench says to it, and what would make it fit; beside four that fill the
    bench until noon."""
    for place in range(4):
        take(session, _noon(catalogue), key=f"other-{place}")

    def ask_for(wanted, now=MORNING):
        session.flush()
        shop = load_shop(session)
        ask = _ask(shop, catalogue, now)
        quote = ask(wanted)
        bench_search = BenchSearch(load_bench(ctx(session, shop=shop, now=now), quote))
        fit = bench_search.fit(quote)
        return quote, fit, find_bench_alternatives(quote, fit, ask, bench_search, shop)

    return ask_for


def _noon(catalogue, **changes):
    return order_request(catalogue, line(catalogue, quantity=60), **(NOON | changes))


def test_what_fits_is_offered_nothing(bench_of, catalogue):
    assert bench_of(_noon(catalogue, ready_by=at(14)))[2] == alternatives.BenchAlternatives()


def test_with_the_hand_it_names_the_order_is_taken_without_a_reason(session, bench_of, catalogue):
    extra_person = bench_of(_noon(catalogue))[2].extra_person
    local = [moment.hour * 60 for moment in (extra_person.start, extra_person.end)]
    usual = ShiftMinutes(8 * 60, 18 * 60, 1)
    change_shifts(session, {weekday: [usual, ShiftMinutes(*local, 1)] for weekday in range(7)})
    assert take(session, _noon(catalogue)).bench_override == ""


def test_where_the_one_helium_point_is_busy_the_hand_comes_before_opening(session, bench_of, catalogue):
    """Two hands at one point from eight on: only an hour before that can fill more."""
    take(
        session,
        order_request(catalogue, line(catalogue, quantity=30), **NOON, bench_override=BENCH_REASON),
        key="fifth",
    )
    extra_person = bench_of(_noon(catalogue, bench_override=BENCH_REASON))[2].extra_person
    assert (extra_person.start, extra_person.end) == (at(7), at(9))


def test_a_hand_is_not_asked_for_in_an_hour_that_has_begun(session, bench_of, catalogue):
    take(
        session,
        order_request(catalogue, line(catalogue, quantity=30), **NOON, bench_override=BENCH_REASON),
        key="fifth",
    )
    assert bench_of(_noon(catalogue), now=at(7, 15))[2].extra_person is None
    assert bench_of(order_request(catalogue, line(catalogue, quantity=20), **NOON), now=at(8, 15))[
        2
    ].extra_person.start >= at(9)


def test_where_points_are_wanting_it_says_whether_one_more_would_do(session, bench_of, catalogue):
    for place in range(2):
        take(session, _noon(catalogue, bench_override=BENCH_REASON), key=f"more-{place}")
    change_shifts(session, {weekday: [ShiftMinutes(8 * 60, 18 * 60, 4)] for weekday in range(7)})
    _, fit, ways = bench_of(_noon(catalogue))
    assert (fit.shortage.gas, ways.extra_point_fits, ways.extra_person) == ("helium", True, None)
    change_settings(session, {"helium_points": 2})
    assert bench_of(_noon(catalogue))[2].extra_point_fits is None


def test_treated_it_may_be_filled_the_day_before(bench_of, shop, catalogue):
    _, _, ways = bench_of(_noon(catalogue), now=MORNING - timedelta(days=2))
    (treated,) = [way for way in ways.others if way.change is AlternativeChange.TREAT]
    assert treated.costs_minor == 60 * shop.treat_minor
    assert all(one.treated for one in treated.quote.request.lines)


def test_with_a_latex_allergy_no_way_of_making_latex_is_offered(bench_of, catalogue):
    now = MORNING - timedelta(days=2)
    made_otherwise = {AlternativeChange.TREAT, AlternativeChange.VENUE}
    offered = [
        {way.change for way in bench_of(_noon(catalogue, latex_allergy=said), now=now)[2].others}
        for said in (False, True)
    ]
    assert offered[0] & made_otherwise
    assert not offered[1] & made_otherwise


def test_what_is_filled_at_the_venue_already_is_not_offered_that(session, bench_of, catalogue):
    crew = {
        "hand_over": HandOver.VENUE,
        "ready_by": at(8),
        "arrives_at": at(8, 30),
        "travel_minutes": 30,
        "crew": 1,
        "address": "The Corn Hall, 1 High Street",
        "event_start": at(11, 30),
    }
    _, fit, ways = bench_of(_noon(catalogue, **crew))
    assert fit.fit is Fit.CANNOT
    assert [way for way in ways.others if way.change is AlternativeChange.VENUE] == []


def test_an_alternative_that_the_bench_cannot_make_stands_after_those_that_it_can(session, bench_of, catalogue):
    """A party until five in the morning: sixty are no longer up at its end, whatever the bench can do."""
    now, shop = MORNING - timedelta(days=2), load_shop(session)
    ask = _ask(shop, catalogue, now)
    quote = ask(_noon(catalogue, lasts_until=at(5, days=1)))
    bench = load_bench(ctx(session, shop=shop, now=now), quote)
    found = check_alternatives(
        find_alternatives(quote, ask, shop, catalogue, now), BenchSearch(bench), shop.certainty
    )
    fits = [alternative.fit is Fit.FITS for alternative in found]
    assert fits == sorted(fits, reverse=True)
    assert set(fits) == {True, False}
    for alternative in found:
        assert fit_with_others(alternative.quote, bench).fit is alternative.fit


def test_nothing_is_said_against_an_alternative_that_was_not_asked_about(monkeypatch, session, bench_of, catalogue):
    now, shop = MORNING - timedelta(days=2), load_shop(session)
    ask = _ask(shop, catalogue, now)
    quote = ask(_noon(catalogue, lasts_until=at(5, days=1)))
    found = find_alternatives(quote, ask, shop, catalogue, now)
    assert len(found) > 3
    fits = iter([Fit.NOT_FOUND, Fit.FITS, Fit.NOT_FOUND])
    monkeypatch.setattr(alternatives, "fit_with_others", lambda *_: BenchFit(next(fits)))
    monkeypatch.setattr(alternatives, "share_bench", lambda quote, *_: quote)
    search = BenchSearch(BenchDay((), (), {}, (), now, USUAL_TRIP), searches_left=2)
    checked = check_alternatives(found, search, shop.certainty)
    assert [one.fit for one in checked] == [Fit.FITS, Fit.NOT_FOUND, Fit.NOT_FOUND, *[None] * (len(found) - 3)]
    assert [one.change for one in checked] == [found[place].change for place in (1, 0, *range(2, len(found)))]
    assert {BENCH_FIT_SENTENCES[one.fit] for one in checked[3:]} == {""}


def test_a_search_that_finds_nothing_is_not_repeated_for_ever(monkeypatch, bench_of, catalogue):
    monkeypatch.setattr(alternatives, "fit_with_others", lambda *_: alternatives.NOT_FOUND)
    bench_search = BenchSearch(BenchDay((), (), {}, (), MORNING, USUAL_TRIP))
    quote = bench_of(_noon(catalogue))[0]
    assert [bench_search.fit(quote).fit for _ in range(5)] == [Fit.NOT_FOUND] * 5
    assert bench_search.searches_left == 0
