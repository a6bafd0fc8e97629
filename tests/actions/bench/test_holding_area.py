"""What waits in the holding area: of all open orders, and of one before it is promised."""

from datetime import timedelta

import pytest

from app.actions.bench.holding_area import fit_in_holding_area, load_holding_area, stays_of
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import take_step
from app.planning.holding_area import Stay
from app.quoting.quote import make_quote
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep
from app.store.models import PlannedStart
from tests.actions.builders import (
    ANYWAY,
    BENCH_REASON,
    CALLED_OFF,
    MORNING,
    WHO,
    at,
    ctx,
    line,
    order_request,
    take,
    tap,
)

ROOM = 40
ALL_STEPS = [step for step in HandOverStep if step not in (HandOverStep.PACKED, HandOverStep.DRY)]


def stays(session, now=MORNING):
    return load_holding_area(ctx(session, now=now), ROOM).stays


def asked(session, shop, catalogue, holding_area=None, now=MORNING, **changes):
    quote = make_quote(order_request(catalogue, **changes), shop, catalogue, now)
    return fit_in_holding_area(quote, holding_area or load_holding_area(ctx(session, now=now), ROOM))


def hand_over(session, order, now):
    for step in ALL_STEPS:
        take_step(ctx(session, who=WHO, now=now), order.number, step, f"{order.number} {step}", sure=ANYWAY)


def test_nobody_said_how_much_room_there_is(session, order):
    assert load_holding_area(ctx(session, now=MORNING), 0) is None


def test_it_waits_from_its_own_start_until_a_plan_gives_another(session, order):
    batch = order.batches[0]
    assert stays(session) == (Stay(batch.inflate_by, at(14), 24),)
    session.add(PlannedStart(batch_id=batch.id, starts_at=at(11)))
    session.flush()
    assert stays(session) == (Stay(at(11), at(14), 24),)


def test_once_begun_it_waits_from_then_on(session, order):
    tap(session, order.batches[0], "start", at(12, 50))
    assert stays(session, at(13)) == (Stay(at(12, 50), at(14), 24),)


def test_what_should_have_been_begun_comes_now_at_the_earliest(session, order):
    assert stays(session, at(13, 55)) == (Stay(at(13, 55), at(14), 24),)


def test_what_is_overdue_stays_until_it_is_handed_over(session, order):
    tap(session, order.batches[0], "finish", at(13), sure=True)
    late = at(16)
    assert stays(session, late) == (Stay(at(13), late + timedelta(hours=12), 24),)
    assert stays(session, at(16, days=3))[0].end > at(16, days=3)
    hand_over(session, order, late)
    assert stays(session, late) == ()


def test_what_was_never_begun_is_forgotten_after_half_a_day(session, order):
    assert len(stays(session, at(14, 30))) == 1
    assert stays(session, at(3, days=1)) == ()


def test_a_cancelled_order_takes_no_room(session, order):
    cancel_order(ctx(session, who=WHO, now=MORNING), order.number, order.version, CALLED_OFF)
    assert stays(session) == ()


def test_what_is_filled_at_the_venue_takes_no_room(session, shop, catalogue):
    at_venue = {"hand_over": HandOver.VENUE, "arrives_at": at(12), "ready_by": at(11), "travel_minutes": 30}
    take(
        session,
        order_request(
            catalogue, **at_venue, set_up_minutes=20, hanging_minutes=30, crew=2, bench_override=BENCH_REASON
        ),
    )
    assert stays(session) == ()
    empty = load_holding_area(ctx(session, now=MORNING), ROOM)
    quote = make_quote(
        order_request(catalogue, **at_venue, set_up_minutes=20, hanging_minutes=30, crew=2),
        shop,
        catalogue,
        MORNING,
    )
    assert stays_of(quote, empty) == ()
    assert fit_in_holding_area(quote, empty) is None


def test_a_later_part_waits_for_its_own_hour(session, catalogue):
    lines = (line(catalogue), line(catalogue, "16 in latex", quantity=2, later=True))
    order = take(session, order_request(catalogue, *lines, later_at=at(15), bench_override=BENCH_REASON))
    assert sorted(stay.end for stay in stays(session)) == [at(14), at(15)]
    for batch in order.batches:
        tap(session, batch, "finish", at(13), sure=True)
    hand_over(session, order, at(14))
    (left,) = stays(session, at(14))
    assert (left.end, left.room) == (at(15), pytest.approx(2 * (16 / 11) ** 2))


def test_foil_takes_the_room_of_its_nominal_size_and_drying_is_within(session, catalogue):
    lines = (line(catalogue, "22 in foil", quantity=5), line(catalogue, quantity=10, treated=True))
    take(session, order_request(catalogue, *lines, ready_by=at(17), event_start=at(18), lasts_until=at(20)))
    foil, treated = sorted(stays(session), key=lambda stay: -stay.room)
    assert (foil.room, treated.room) == (20, 10)
    assert treated.end - treated.start > timedelta(hours=2)
    assert foil.end == treated.end == at(17)


def test_two_orders_at_once_are_too_much_and_one_is_not(session, shop, catalogue):
    alone = asked(session, shop, catalogue)
    assert (alone.over, alone.fullest.room) == (None, 24)
    first = take(session, order_request(catalogue))
    both = asked(session, shop, catalogue)
    assert (both.over.room, both.over.end, both.already_overfull) == (48, at(14), False)
    assert both.over.start == first.batches[0].inflate_by


def test_one_that_comes_after_the_other_has_left_is_not(session, shop, catalogue, order):
    later = asked(session, shop, catalogue, ready_by=at(17), event_start=at(18), lasts_until=at(20))
    assert later.over is None


def test_too_full_without_it_is_said(session, shop, catalogue):
    for number in range(2):
        take(session, order_request(catalogue, bench_override=BENCH_REASON), key=f"key-{number}")
    assert asked(session, shop, catalogue).already_overfull is True


def test_an_order_asked_about_anew_is_not_counted_twice(session, shop, catalogue, order):
    holding_area = load_holding_area(ctx(session, now=MORNING), ROOM, excluding_order=order.number)
    assert holding_area.stays == ()
    assert asked(session, shop, catalogue, holding_area).fullest.room == 24


def test_what_is_begun_of_it_is_there_already(session, shop, catalogue, order):
    tap(session, order.batches[0], "start", at(12, 30), sure=True)
    holding_area = load_holding_area(ctx(session, now=at(12, 30)), ROOM, excluding_order=order.number)
    assert asked(session, shop, catalogue, holding_area, at(12, 30)).fullest.start == at(12, 30)


def test_what_has_left_of_it_waits_no_more(session, shop, catalogue):
    lines = (line(catalogue), line(catalogue, "16 in latex", quantity=2, later=True))
    wanted = order_request(catalogue, *lines, later_at=at(15), bench_override=BENCH_REASON)
    order = take(session, wanted)
    for batch in order.batches:
        tap(session, batch, "finish", at(13), sure=True)
    hand_over(session, order, at(14))
    holding_area = load_holding_area(ctx(session, now=at(14)), ROOM, excluding_order=order.number)
    assert {stay.end for stay in stays_of(make_quote(wanted, shop, catalogue, MORNING), holding_area)} == {at(15)}
