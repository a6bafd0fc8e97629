"""Whether the bench can make an order beside all the others."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.actions.bench.fit import fit_with_others, load_bench
from app.actions.orders.hand_over import take_step
from app.actions.records.open_work import load_work
from app.actions.records.rebuild_request import commitments_of
from app.actions.records.shop import load_roster, load_shop
from app.actions.shop.office import ShiftMinutes, change_settings, change_shifts
from app.planning.finishing import Fit, find_finish_starts
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep
from tests.actions.builders import ANYWAY, BENCH_REASON, MORNING, at, ctx, line, order_request, take, tap

NOON = {"ready_by": at(12), "event_start": at(15), "lasts_until": at(17)}
"""It may be filled from eight on."""


CREW = {
    "hand_over": HandOver.VENUE,
    "ready_by": at(8),
    "arrives_at": at(8, 30),
    "travel_minutes": 30,
    "set_up_minutes": 10,
    "hanging_minutes": 86,
    "crew": 1,
    "address": "The Corn Hall, 1 High Street",
}
"""For an event at eleven with 44 minutes of filling, one person leaves at eight and is back half an hour after the
event has begun."""


@pytest.fixture
def asked(session, catalogue):
    """The answer of the bench to an order, at seven in the morning unless told."""

    def ask(wanted, now=MORNING, excluding_order=None):
        session.flush()
        shop = load_shop(session)
        quote = make_quote(wanted, shop, catalogue, now)
        return fit_with_others(quote, load_bench(ctx(session, shop=shop, now=now), quote, excluding_order))

    return ask


def _hour(catalogue, quantity=60, **changes):
    """About three quarters of an hour of filling at one helium point."""
    return order_request(catalogue, line(catalogue, quantity=quantity), **(NOON | changes))


def _hands(number):
    return {weekday: [ShiftMinutes(8 * 60, 18 * 60, number)] for weekday in range(7)}


def _take(session, catalogue, count, **changes):
    """More than four clash."""
    wanted = _hour(catalogue, bench_override=BENCH_REASON, **changes)
    return [take(session, wanted, key=f"other-{place}") for place in range(count)]


def test_an_order_alone_fits(asked, catalogue):
    assert asked(_hour(catalogue)).fit is Fit.FITS


def test_orders_that_each_fit_alone_do_not_fit_together(session, asked, catalogue):
    """Four hours until noon: each order takes three quarters of an hour and a tail."""
    others = _take(session, catalogue, 4)
    fit = asked(_hour(catalogue))
    assert fit.fit is Fit.CANNOT
    assert fit.shortage.short_seconds > 0
    assert fit.others == tuple(str(order.number) for order in others)
    assert fit.shortage.gas is None


def test_with_another_hand_the_filling_point_is_what_is_wanting(session, asked, catalogue):
    _take(session, catalogue, 5)
    change_shifts(session, _hands(4))
    assert asked(_hour(catalogue)).shortage.gas == "helium"
    change_settings(session, {"helium_points": 3})
    assert asked(_hour(catalogue)).fit is Fit.FITS


def test_what_is_filled_asks_no_more(session, asked, catalogue):
    first, *_ = _take(session, catalogue, 4)
    tap(session, first.batches[0], "finish", now=at(7, 30), sure=True)
    assert asked(_hour(catalogue)).fit is Fit.FITS


def test_a_begun_batch_is_taken_to_go_on_until_one_balloon_is_left_and_no_longer_than_twice_its_work(
    session, shop, catalogue
):
    """One hand from the last tap on, while somebody is at the bench; what lay over night is as it was left, however
    long the shop waits until it asks."""
    tomorrow = {name: moment + timedelta(days=1) for name, moment in NOON.items()}
    batch = take(session, _hour(catalogue, **tomorrow)).batches[0]
    each = batch.work_minutes * 60 / 60

    def left(now, shop=shop):
        session.flush()
        roster = load_roster(session, shop.opening)
        (order,) = load_work(ctx(session, shop=shop, now=now), roster, [now]).orders
        return order.fills[0].batch.work_seconds

    assert left(at(8)) == pytest.approx(60 * each)
    tap(session, batch, "fill", count=20, now=at(8), sure=True)
    assert left(at(8)) == pytest.approx(40 * each)
    assert left(at(8, 10)) == pytest.approx(40 * each - 600)
    idle = at(8) + timedelta(minutes=2 * batch.work_minutes)
    assert left(idle - timedelta(seconds=1)) == pytest.approx(each)
    assert left(idle) == pytest.approx(40 * each)
    tap(session, batch, "fill", count=20, now=at(17, 50))
    assert left(at(11, 0, days=1)) == pytest.approx(20 * each)
    assert left(at(11, 0, days=1), replace(shop, idle_factor=24.0)) == pytest.approx(20 * each - 600)


def _work(session, now):
    session.flush()
    shop = load_shop(session)
    return load_work(ctx(session, shop=shop, now=now), load_roster(session, shop.opening), [now])


def _left(session, now):
    return {fill.batch.key: fill.batch.work_seconds for order in _work(session, now).orders for fill in order.fills}


def test_a_burst_is_no_progress_and_takes_none_back(session, catalogue):
    batch = take(session, _hour(catalogue)).batches[0]
    tap(session, batch, "start", now=at(8), sure=True)
    before = _left(session, at(8, 21))
    tap(session, batch, "burst", colour="red", now=at(8, 20))
    assert _left(session, at(8, 21)) == before


def test_batches_on_the_bench_share_the_hands_that_are_there(session, catalogue):
    orders = _take(session, catalogue, 4)
    whole = orders[0].batches[0].work_minutes * 60
    for order in orders:
        tap(session, order.batches[0], "start", now=at(8), sure=True)
    assert set(_left(session, at(8, 40)).values()) == {whole - 600}
    change_shifts(session, _hands(2))
    assert set(_left(session, at(8, 40)).values()) == {whole - 1200}


def test_a_lone_batch_goes_as_fast_as_hands_and_points_allow(session, catalogue):
    (order,) = _take(session, catalogue, 1)
    whole = order.batches[0].work_minutes * 60
    tap(session, order.batches[0], "start", now=at(8), sure=True)
    change_shifts(session, _hands(2))
    assert [*_left(session, at(8, 10)).values()] == [whole - 600]
    change_settings(session, {"helium_points": 2})
    assert [*_left(session, at(8, 10)).values()] == [whole - 1200]


def test_a_tail_under_way_goes_on_until_it_stands_ready(session, catalogue):
    (order,) = _take(session, catalogue, 1)
    tap(session, order.batches[0], "finish", now=at(11, 40), sure=True)
    finishings = [_work(session, at(11, minute)).orders[0].finish_seconds for minute in (40, 45, 55)]
    assert finishings == [600, 300, 60]


def test_what_is_treated_must_dry_before_its_tail(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue, treated=True), **NOON))
    tap(session, order.batches[0], "finish", now=at(11), sure=True)
    found = find_finish_starts(*_asked(_work(session, at(11, 1)), at(11, 1)))
    assert found.fit is Fit.CANNOT
    later = take(
        session,
        order_request(catalogue, line(catalogue, treated=True), **(NOON | {"ready_by": at(13, 30)})),
        key="later",
    )
    tap(session, later.batches[0], "finish", now=at(11), sure=True)
    work = _work(session, at(11, 1))
    mine = replace(work, orders=tuple(one for one in work.orders if one.key == str(later.number)))
    found = find_finish_starts(*_asked(mine, at(11, 1)))
    assert found.by_order == {str(later.number): at(13, 20)}


def _asked(work, now):
    return work.orders, work.shifts, work.points, now, work.absences


def test_a_crew_is_away_until_it_is_back_whatever_it_taps(session, catalogue):
    order = take(session, _hour(catalogue, **CREW, event_start=at(11)), key="crew")
    absences = _work(session, at(8)).absences
    for batch in order.batches:
        tap(session, batch, "finish", now=at(9), sure=True)
    for step in ("packed", "assembled", "weighted", "ready", "handed over"):
        take_step(ctx(session, who="Isolde", now=at(9, 30)), order.number, HandOverStep(step), step, sure=ANYWAY)
    assert _work(session, at(9, 31)).absences == absences != ()


def test_an_order_is_planned_until_its_event_is_over(session, catalogue):
    (order,) = _take(session, catalogue, 1)
    assert len(_work(session, order.lasts_until - timedelta(minutes=1)).orders) == 1
    assert _work(session, order.lasts_until).orders == ()


def test_an_order_without_an_end_is_planned_until_it_is_twelve_hours_late(session, catalogue):
    (order,) = _take(session, catalogue, 1)
    order.lasts_until = order.event_start = None
    twelve_hours_late = order.ready_by + timedelta(hours=12)
    assert len(_work(session, twelve_hours_late - timedelta(minutes=1)).orders) == 1
    assert _work(session, twelve_hours_late).orders == ()


def test_what_stands_ready_has_no_tail_any_more(session, asked, catalogue):
    order = take(session, _hour(catalogue, quantity=2))
    tap(session, order.batches[0], "finish", now=at(8), sure=True)
    for step in ("assembled", "weighted", "bagged", "ready"):
        take_step(ctx(session, who="Isolde", now=at(8, 5)), order.number, HandOverStep(step), step, sure=ANYWAY)
    session.flush()
    shop = load_shop(session)
    quote = make_quote(_hour(catalogue), shop, catalogue, MORNING)
    assert load_bench(ctx(session, shop=shop, now=MORNING), quote).orders == ()


def test_the_order_that_is_changed_does_not_stand_in_its_own_way(session, asked, catalogue):
    *_, last = _take(session, catalogue, 4)
    assert asked(_hour(catalogue), excluding_order=last.number).fit is Fit.FITS
    assert asked(_hour(catalogue)).fit is not Fit.FITS


def test_a_crew_takes_its_hands_and_a_helium_point_along(session, asked, catalogue):
    assert asked(_hour(catalogue)).fit is Fit.FITS
    take(session, _hour(catalogue, **CREW, event_start=at(11)), key="crew")
    assert asked(_hour(catalogue)).fit is Fit.CANNOT
    change_shifts(session, _hands(2))
    assert asked(_hour(catalogue)).shortage.gas == "helium"


def test_a_crew_stays_at_the_bench_until_its_filling_demands_that_it_leaves(session, asked, catalogue):
    take(session, _hour(catalogue, **CREW | {"hanging_minutes": 10}, event_start=at(11)), key="crew")
    (absence,) = _work(session, at(8)).absences
    assert (absence.start, absence.end) == (at(9, 16), at(11, 30))
    assert asked(_hour(catalogue)).fit is Fit.FITS


def test_an_order_at_the_venue_asks_the_bench_for_its_crew_only(session, asked, catalogue):
    _take(session, catalogue, 4)
    assert asked(_hour(catalogue, **CREW, event_start=at(11))).fit is Fit.CANNOT
    change_shifts(session, _hands(2))
    assert asked(_hour(catalogue, **CREW, event_start=at(11))).fit is Fit.CANNOT
    change_settings(session, {"helium_points": 2})
    assert asked(_hour(catalogue, **CREW, event_start=at(11))).fit is Fit.FITS


def test_orders_that_do_not_fit_among_themselves_are_not_held_against_another_day(session, asked, catalogue):
    others = _take(session, catalogue, 5)
    later = {name: moment + timedelta(days=3) for name, moment in NOON.items()}
    fit = asked(order_request(catalogue, line(catalogue, quantity=60), **later))
    assert fit.fit is Fit.FITS
    assert set(fit.already_unfit) <= {str(order.number) for order in others}
    assert fit.already_unfit
    assert asked(_hour(catalogue)).fit is Fit.CANNOT


LATER = {name: moment + timedelta(days=3) for name, moment in NOON.items()}


def test_what_is_impossible_on_another_day_does_not_hide_that_nothing_is_found(session, asked, catalogue):
    """Two hands at one helium point: after the fill a minute less than the tail takes is left, though there are
    hands enough for both together."""
    others = [take(session, _hour(catalogue, **LATER), key=f"later-{place}") for place in range(3)]
    quote = make_quote(_hour(catalogue), load_shop(session), catalogue, MORNING)
    minutes = int((quote.batches[0].fill.work + quote.finishing / 2).total_seconds() // 60) - 1
    change_shifts(session, {weekday: [ShiftMinutes(8 * 60, 8 * 60 + minutes, 2)] for weekday in range(7)})
    wanted = _hour(catalogue, ready_by=at(8, minutes), accepted_risk="Only for the photograph.")
    fit = asked(wanted)
    assert (fit.fit, fit.lacking_seconds, fit.others) == (Fit.NOT_FOUND, 1, ())
    assert fit.shortage.end <= at(8, minutes)
    assert fit.already_unfit
    assert set(fit.already_unfit) <= {str(order.number) for order in others}
    with pytest.raises(Refused) as refused:
        take(session, wanted)
    assert [problem.field for problem in refused.value.problems] == ["bench_override"]


def test_what_is_reported_is_the_shortage_of_its_own_day(session, asked, catalogue):
    """Three days before, others do not fit among themselves."""
    before = _take(session, catalogue, 5)
    same_day = [take(session, _hour(catalogue, **LATER), key=f"later-{place}") for place in range(4)]
    fit = asked(_hour(catalogue, **LATER))
    assert fit.fit is Fit.CANNOT
    assert fit.others == tuple(str(order.number) for order in same_day)
    assert fit.shortage.start > at(18)
    assert fit.lacking_seconds == fit.shortage.short_seconds
    assert fit.already_unfit
    assert set(fit.already_unfit) <= {str(order.number) for order in before}


def test_an_order_that_is_late_whatever_is_done_is_named_and_not_counted(session, asked, catalogue):
    late = take(
        session, _hour(catalogue, quantity=100, ready_by=at(9), accepted_risk="Soon.", bench_override=BENCH_REASON)
    )
    fit = asked(_hour(catalogue, ready_by=at(14)), now=at(8, 45))
    assert fit.fit is Fit.FITS
    assert fit.unavoidably_late == (str(late.number),)


def test_a_later_part_is_asked_for_too(session, asked, catalogue):
    _take(session, catalogue, 3)
    parts = line(catalogue, "18 in foil", 1), line(catalogue, quantity=60, later=True)
    assert (
        asked(order_request(catalogue, *parts, **(NOON | {"ready_by": at(8, 30), "later_at": at(12)}))).fit
        is Fit.FITS
    )
    assert (
        asked(order_request(catalogue, *parts, **(NOON | {"ready_by": at(8, 30), "later_at": at(9)}))).fit
        is not Fit.FITS
    )


def test_a_begun_batch_in_a_change_counts_what_is_left_of_it(session, asked, catalogue):
    """Half past eleven, nothing but this order before noon: sixty more would take three quarters of an hour."""
    order = take(session, _hour(catalogue))
    tap(session, order.batches[0], "fill", count=50, now=at(11, 30))
    assert asked(_hour(catalogue), now=at(11, 30), excluding_order=order.number).fit is Fit.FITS
    assert asked(_hour(catalogue), now=at(11, 30)).fit is Fit.CANNOT
    more = order_request(catalogue, line(catalogue, quantity=95), **NOON)
    assert asked(more, now=at(11, 30), excluding_order=order.number).fit is Fit.CANNOT


def test_a_begun_batch_in_a_change_goes_on_at_once(session, asked, catalogue):
    """For an event so late that it would begin at eight in the evening; twenty of it were filled at noon."""
    night = {"ready_by": at(13), "event_start": at(14), "lasts_until": at(7, days=1)}
    said = {"accepted_risk": "Only for the photograph.", "bench_override": BENCH_REASON}
    order = take(session, _hour(catalogue, **night, **said))
    tap(session, order.batches[0], "fill", count=20, now=at(12), sure=True)
    session.flush()
    shop = load_shop(session)
    quote = make_quote(_hour(catalogue, **night), shop, catalogue, at(12), commitments_of(order))
    bench = load_bench(ctx(session, shop=shop, now=at(12)), quote, order.number)
    (work,) = bench.of_quote(quote)
    (fill,) = work.fills
    assert fill.batch.not_before == at(12)
    assert fill.batch.work_seconds == pytest.approx(order.batches[0].work_minutes * 40)


def test_a_change_that_only_leaves_what_is_filled_asks_for_its_tail(session, asked, catalogue):
    order = take(session, _hour(catalogue))
    tap(session, order.batches[0], "finish", now=at(11), sure=True)
    assert asked(_hour(catalogue), now=at(11, 45), excluding_order=order.number).fit is Fit.FITS
    assert asked(_hour(catalogue), now=at(11, 55), excluding_order=order.number).fit is Fit.CANNOT


def test_a_change_of_what_stands_ready_asks_the_bench_nothing(session, asked, catalogue):
    order = take(session, _hour(catalogue))
    tap(session, order.batches[0], "finish", now=at(11), sure=True)
    for step in ("assembled", "weighted", "bagged", "ready"):
        take_step(ctx(session, who="Isolde", now=at(11, 5)), order.number, HandOverStep(step), step, sure=ANYWAY)
    assert asked(_hour(catalogue), now=at(11, 59), excluding_order=order.number).fit is Fit.FITS
    assert (
        asked(
            order_request(catalogue, line(catalogue, quantity=61), **NOON),
            now=at(11, 59),
            excluding_order=order.number,
        ).fit
        is Fit.CANNOT
    )
