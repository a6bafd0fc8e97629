"""How long work takes, measured by the taps of the bench, and what of it is saved."""

from datetime import timedelta

import pytest
from sqlalchemy import event

from app.actions.orders.quick_sale import make_quick_sale
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_week
from app.actions.shop.work_times import effects_of, measured_work_times, save_work_times
from app.physics.balloon import Gas
from app.planning.work import seconds_per_balloon
from app.planning.work_times import ExclusionReason, Outcome, WorkFigure
from app.quoting.errors import Refused
from app.quoting.request import HandOver
from tests.actions.builders import BENCH_REASON, MORNING, at, ctx, line, order_request, take, tap
from tests.begun import begins_with

TRUTH = 60
FLOW = 11.42 / 3.0
"""Seconds: an 11-inch sphere holds 11.42 L (computed), at 3 L/s."""
PIECES = 24
BATCH_SECONDS = 240 + PIECES * (FLOW + TRUTH)


def fill(session, catalogue, number, starts, seconds=BATCH_SECONDS, last="finish", **changes):
    """An order whose batches are tapped as begun and, so many seconds later, as filled."""
    day = timedelta(days=(starts - MORNING).days)
    hours = {name: at(hour) + day for name, hour in (("ready_by", 17), ("event_start", 18), ("lasts_until", 20))}
    changes.setdefault("lines", (line(catalogue),))
    order = take(
        session,
        order_request(catalogue, bench_override=BENCH_REASON, **hours | changes),
        MORNING + day,
        key=f"key-{number}",
    )
    for batch in order.batches:
        tap(session, batch, "start", starts, sure=True)
        tap(session, batch, last, starts + timedelta(seconds=seconds), sure=True)
    return order


def fill_ten(database):
    with database.writing() as session:
        catalogue = load_catalogue(session)
        for number in range(10):
            starts = at(9) + number * timedelta(minutes=30)
            fill(session, catalogue, number, starts, BATCH_SECONDS + 10 * (number - 5))


template = begins_with("ten", fill_ten)


@pytest.fixture
def ten(database):
    """Ten batches of two dozen, a minute a balloon, each a few seconds off."""


def measured(session, now=None):
    now = now or at(20)
    return measured_work_times(ctx(session, shop=load_shop(session), catalogue=load_catalogue(session), now=now))


def handling(session, now=None):
    return measured(session, now).findings[0]


def save(session, figure="handle_seconds", seconds="60"):
    return save_work_times(
        ctx(session, shop=load_shop(session), catalogue=load_catalogue(session), now=at(20)),
        figure,
        seconds,
    )


def test_ten_batches_offer_what_they_took(session, ten):
    found = handling(session)
    assert (found.figure, found.current_seconds, found.outcome) == (WorkFigure.HANDLE, 36, Outcome.OFFERED)
    assert found.seconds == pytest.approx(TRUTH, abs=0.5)
    assert found.low <= TRUTH <= found.high


def test_nothing_is_saved_until_somebody_saves_it(session, ten):
    measured(session)
    assert load_shop(session).work_times.handle_seconds == 36
    save(session)
    assert load_shop(session).work_times.handle_seconds == 60
    assert handling(session).outcome is Outcome.AGREES


@pytest.mark.parametrize(
    ("figure", "seconds"),
    [("handle_seconds", "59"), ("handle_seconds", ""), ("seal_seconds", "60"), ("name", "60"), ("", "60")],
)
def test_only_what_is_offered_is_saved(session, ten, figure, seconds):
    before = load_shop(session).display
    with pytest.raises(Refused):
        save(session, figure, seconds)
    assert load_shop(session).display == before


def test_it_says_what_would_change(session, ten, shop):
    """24 × (36 or 60 + 3.8) s and 4 min of preparation, in minutes rounded up: by hand."""
    effects = effects_of(handling(session), shop)
    assert [(one.pieces, one.balloon_type, one.before, one.after) for one in effects] == [
        (24, "11 in latex", 20, 30),
        (50, "11 in latex", 38, 58),
    ]


def test_where_nothing_is_offered_nothing_would_change(session, shop):
    assert effects_of(handling(session), shop) == ()


def test_an_undone_tap_does_not_count(session, catalogue):
    order = fill(session, catalogue, 1, at(9))
    assert len(handling(session).evidence) == 1
    tap(session, order.batches[0], "lose", at(12), colour="red")
    assert handling(session).evidence == ()


def test_what_burst_was_handled_too(session, order):
    batch = order.batches[0]
    tap(session, batch, "start", at(9), sure=True)
    tap(session, batch, "burst", at(9, 5), colour="red")
    tap(session, batch, "finish", at(9, 40))
    (each,) = handling(session).evidence
    assert (each.batch.balloons, each.batch.seconds) == (25, 2400)


def test_batches_tapped_all_at_once_or_finished_next_morning_are_left_out(session, catalogue, ten):
    fill(session, catalogue, "once", at(15), seconds=10)
    fill(session, catalogue, "morning", at(16), seconds=17 * 3600)
    found = handling(session)
    assert {each.why for each in found.excluded} == {ExclusionReason.GAS, ExclusionReason.CLOSED}
    assert found.seconds == pytest.approx(TRUTH, abs=0.5)


def test_begun_before_opening_is_no_closing(session, catalogue):
    fill(session, catalogue, 1, at(7, 40))
    assert handling(session).excluded == ()


def test_over_closing_time_is(session, catalogue):
    fill(session, catalogue, 1, at(17, 45))
    assert [each.why for each in handling(session).excluded] == [ExclusionReason.CLOSED]


def test_over_midnight_is_none_while_the_shop_is_open(session, catalogue):
    change_week(session, dict.fromkeys(range(7), (8 * 60, 26 * 60)))
    night = {name: at(hour, days=1) for name, hour in (("ready_by", 1), ("event_start", 2), ("lasts_until", 4))}
    fill(session, catalogue, 1, at(23, 45), **night)
    assert handling(session).excluded == ()


def test_quick_sales_and_batches_at_a_venue_do_not_count(session, shop, catalogue):
    make_quick_sale(ctx(session, who="Noor", shop=shop, catalogue=catalogue, now=at(10)), line(catalogue), "sale")
    at_venue = {"hand_over": HandOver.VENUE, "arrives_at": at(17), "ready_by": at(16), "travel_minutes": 30}
    fill(session, catalogue, 1, at(17), set_up_minutes=20, hanging_minutes=10, crew=2, **at_venue)
    assert all(found.evidence == () for found in measured(session).findings)


def test_ninety_days_count(session, catalogue):
    fill(session, catalogue, 1, at(9))
    assert len(handling(session, at(9, days=90)).evidence) == 1
    assert len(handling(session, at(10, days=90)).evidence) == 0


def test_each_batch_speaks_of_its_own_figure(session, catalogue):
    lines = (
        *(line(catalogue, name, quantity=8) for name in ("11 in latex", "18 in foil", "20 in sphere")),
        line(catalogue, "12 in latex", quantity=8, treated=True),
        line(catalogue, "18 in clear stuffing latex", quantity=2, gas=Gas.AIR),
    )
    fill(session, catalogue, 1, at(9), lines=lines)
    assert [len(found.evidence) for found in measured(session).findings] == [1, 2, 1, 1]


def test_the_flow_is_calculated_for_the_fill_size(session, shop, catalogue):
    """Against the cube of the diameter: 11.42 L is the sphere of 11 in."""
    fill(session, catalogue, 1, at(9), lines=(line(catalogue, gas=Gas.AIR, quantity=20),))
    (each,) = handling(session).evidence
    size = 9.0
    litres = 11.42 * (size / 11) ** 3
    assert each.batch.filling.litres == pytest.approx(litres, rel=0.001)
    assert seconds_per_balloon(each.batch.filling, shop.work_times) == pytest.approx(36 + litres / 5, abs=0.01)


def test_it_is_one_statement(session, catalogue, ten, database):
    """However many batches: their rows carry all that is asked."""
    shop, availability, statements = load_shop(session), load_catalogue(session), []
    event.listen(database.engine, "before_cursor_execute", lambda *told: statements.append(told[2]))
    measured_work_times(ctx(session, shop=shop, catalogue=availability, now=at(20)))
    assert len(statements) == 1
