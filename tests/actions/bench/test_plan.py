"""The plan of the whole bench, worked out from now on and kept for the pages."""

from datetime import timedelta
from itertools import pairwise

import pytest

from app.actions.bench.plan import calculate_plan, read_bench, save_plan
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import save_step, undo_step
from app.actions.records.history import board_version
from app.actions.shop.office import ShiftMinutes, change_day_shifts, change_settings, change_shifts
from app.physics.balloon import Gas
from app.planning.schedule import Batch, Shift, make_plan
from app.quoting.states import HandOverStep
from app.store.models import PlannedStart, Tap
from app.store.queries.bench import batches_of_day
from app.store.queries.order_batches import one_batch
from app.store.queries.plan import load_plan
from tests.actions.builders import CALLED_OFF, FULL_BY_NOON, MORNING, at, ctx, line, order_request, take, tap


@pytest.fixture
def plan(session):
    def now_is(now=MORNING):
        session.flush()
        return save_plan(session, calculate_plan(read_bench(ctx(session, now=now)), now))

    return now_is


def _orders(session, catalogue, *quantities, treated=False, **changes):
    lines = [line(catalogue, quantity=quantity, treated=treated) for quantity in quantities]
    return [
        take(session, order_request(catalogue, one, **(FULL_BY_NOON | changes)), key=f"{lines} {place} {changes}")
        for place, one in enumerate(lines)
    ]


def _starts(session):
    return {row.batch_id: row.starts_at for row in session.query(PlannedStart)}


def test_a_lone_order_begins_as_late_as_it_can(session, catalogue, plan):
    (order,) = _orders(session, catalogue, 24)
    assert plan()
    batch = order.batches[0]
    assert _starts(session) == {batch.id: batch.inflate_by}


def test_orders_due_together_begin_one_after_the_other(session, catalogue, plan):
    """By hand: tails last, one after another; before them the fills, the later key begins first."""
    first, second = _orders(session, catalogue, 24, 24)
    plan()
    work, finishing = timedelta(minutes=first.batches[0].work_minutes), timedelta(minutes=first.finishing_minutes)
    starts = _starts(session)
    found = sorted(starts[order.batches[0].id] for order in (first, second))
    assert found == [at(12) - 2 * finishing - 2 * work, at(12) - 2 * finishing - work]
    assert found == sorted(_calculated_by_hand(work, finishing))
    assert one_batch(session, first.batches[0].key).inflate_by == starts[first.batches[0].id]
    assert one_batch(session, first.batches[0].key).own_inflate_by == at(12) - finishing - work


def _calculated_by_hand(work, finishing):
    """The fills of two orders, the tails laid at the end."""
    finish_starts = [at(12) - finishing, at(12) - 2 * finishing]
    fills = [Batch(f"{n}", "helium", work.total_seconds(), at(8), end) for n, end in enumerate(finish_starts)]
    finishings = [
        Batch(f"tail {n}", None, finishing.total_seconds(), start, at(12)) for n, start in enumerate(finish_starts)
    ]
    starts = make_plan([*fills, *finishings], [Shift(at(8), at(18), 1)], {"helium": 1}).starts
    return [starts["0"], starts["1"]]


def test_a_plan_that_says_nothing_new_is_no_news_to_the_pages(session, catalogue, plan):
    _orders(session, catalogue, 24)
    before = board_version(session)
    assert plan()
    assert board_version(session) == before + 1 == load_plan(session).board_version
    assert not plan()
    assert not plan(MORNING + timedelta(minutes=5))
    assert board_version(session) == before + 1


def test_a_plan_for_an_older_board_does_not_replace_a_newer_one(session, catalogue, plan):
    _orders(session, catalogue, 24)
    old = calculate_plan(read_bench(ctx(session, now=MORNING)), MORNING)
    _orders(session, catalogue, 30)
    plan()
    starts = _starts(session)
    assert not save_plan(session, old)
    assert _starts(session) == starts


def test_what_is_on_the_bench_keeps_the_start_that_was_planned(session, catalogue, plan):
    first, second = _orders(session, catalogue, 24, 24)
    plan()
    starts = _starts(session)
    batch = min((order.batches[0] for order in (first, second)), key=lambda one: starts[one.id])
    tap(session, batch, "start", now=at(8), sure=True)
    plan(at(8))
    tap(session, batch, "finish", now=at(8, 30))
    plan(at(8, 30))
    assert _starts(session)[batch.id] == starts[batch.id]
    assert next(row.key for row in batches_of_day(session, at(0), at(23), is_today=True)) == batch.key


def test_what_is_planned_for_the_evening_before_stands_on_that_day(session, catalogue, plan):
    """Until they must dry there are four hours of one hand, for twice as much; treated ones may wait overnight."""
    tomorrow = {"ready_by": at(14, days=1), "event_start": at(15, days=1), "lasts_until": at(17, days=1)}
    _orders(session, catalogue, 150, 150, **tomorrow, treated=True)
    plan()
    assert len(batches_of_day(session, at(0), at(0, days=1), is_today=False)) == 1
    assert len(batches_of_day(session, at(0, days=1), at(0, days=2), is_today=False)) == 1


def test_orders_that_are_too_much_are_told_with_who_gives_way(session, catalogue, plan):
    orders = _orders(session, catalogue, *[60] * 5)
    plan()
    (delay,) = load_plan(session).delays
    assert delay.order == str(orders[-1].number)
    assert delay.ready_by == at(12)
    assert at(12) < delay.ready_at <= at(13)
    work = [(one.order, one.fill_seconds // 60, one.finish_seconds // 60) for one in delay.work]
    assert sorted(work) == [(f"{one.number}", one.batches[0].work_minutes, one.finishing_minutes) for one in orders]
    assert work[0][0] == delay.order
    assert (delay.gas, delay.proved) == (None, True)
    assert len(_starts(session)) == 5


def test_what_is_tapped_as_ready_is_late_no_longer_before_the_plan_is_made_again(session, catalogue, plan):
    orders = _orders(session, catalogue, *[60] * 5)
    plan()
    save_step(ctx(session), orders[0], HandOverStep.READY, "another")
    assert [delay.number for delay in load_plan(session).delays] == [orders[-1].number]
    save_step(ctx(session), orders[-1], HandOverStep.READY, "ready")
    assert load_plan(session).delays == ()
    undo_step(ctx(session), orders[-1].number, session.query(Tap).filter_by(client_key="ready").one().id)
    assert len(load_plan(session).delays) == 1
    cancel_order(ctx(session), orders[-1].number, orders[-1].version, CALLED_OFF)
    assert load_plan(session).delays == ()


def test_somebody_ill_breaks_an_order_and_the_news_says_so(session, catalogue, plan):
    orders = _orders(session, catalogue, *[60] * 4)
    plan()
    assert load_plan(session).delays == ()
    change_day_shifts(session, at(8).date(), [ShiftMinutes(9 * 60, 18 * 60, 1)])
    plan(at(8))
    saved = load_plan(session)
    (delay,) = saved.delays
    told = [one for one in saved.news if not one.batch]
    assert [(one.order, one.was, one.now) for one in told] == [(str(orders[-1].number), at(12), delay.ready_at)]
    cancel_order(ctx(session, who="Isolde", now=at(8, 5)), orders[0].number, orders[0].version, CALLED_OFF)
    plan(at(8, 5))
    saved = load_plan(session)
    assert saved.delays == ()
    assert next((one.at, one.was, one.now) for one in saved.news if not one.batch) == (
        at(8, 5),
        delay.ready_at,
        at(12),
    )


def test_stuffed_balloons_wait_for_their_machine_and_not_for_the_air_points(session, catalogue, plan):
    """Three hands, three orders alike and due together: three times the work at one machine, half of it at two."""
    change_shifts(session, {weekday: [ShiftMinutes(8 * 60, 18 * 60, 3)] for weekday in range(7)})
    stuffed = line(catalogue, "18 in clear stuffing latex", quantity=12, gas=Gas.AIR)
    orders = [
        take(session, order_request(catalogue, stuffed, **FULL_BY_NOON), key=f"stuffed-{place}")
        for place in range(3)
    ]
    work = timedelta(minutes=orders[0].batches[0].work_minutes)
    plan()
    one = min(_starts(session).values())
    change_settings(session, {"stuffing_points": 2, "air_points": 0})
    plan(at(7, 1))
    assert min(_starts(session).values()) - one == 1.5 * work
    assert {block.gas for block in load_plan(session).blocks} == {"stuffing", None}


def test_a_start_that_moved_much_is_news_for_a_day(session, catalogue, plan):
    (first,) = _orders(session, catalogue, 24)
    plan()
    was = _starts(session)[first.batches[0].id]
    _orders(session, catalogue, 60, 60)
    plan(at(8))
    moved = [one for one in load_plan(session).news if one.batch == first.batches[0].key]
    assert [(one.at, one.was) for one in moved] == [(at(8), was)]
    assert moved[0].now == _starts(session)[first.batches[0].id] < was
    plan(at(8) + timedelta(days=1, minutes=1))
    assert not [one for one in load_plan(session).news if one.at == at(8)]


def test_an_hour_that_drifts_with_the_clock_is_told_only_when_it_moved_much(session, catalogue, plan):
    """Nobody begins: every minute it would be ready later."""
    _orders(session, catalogue, 24)
    plan()
    for minute in range(41):
        plan(at(11, 31) + timedelta(minutes=minute))
    told = [one for one in load_plan(session).news if not one.batch]
    assert 2 <= len(told) <= 4
    assert all(abs(later.now - earlier.now) >= timedelta(minutes=15) for later, earlier in pairwise(told))
    assert told[-1].was == at(12)


def test_a_batch_that_went_while_the_plan_was_worked_out_is_left_out(session, catalogue, plan):
    first, second = _orders(session, catalogue, 24, 24)
    made = calculate_plan(read_bench(ctx(session, now=MORNING)), MORNING)
    gone = second.batches[0].id
    second.batches.clear()
    session.flush()
    assert save_plan(session, made)
    assert _starts(session).keys() == {first.batches[0].id}
    assert gone not in _starts(session)


def test_what_is_late_to_begin_is_replanned_from_now(session, catalogue, plan):
    """Nobody came to the bench until half past eleven: it can be ready at noon no more."""
    (order,) = _orders(session, catalogue, 24)
    plan()
    late = at(11, 50)
    plan(late)
    (delay,) = load_plan(session).delays
    minutes = order.batches[0].work_minutes + order.finishing_minutes
    assert late + timedelta(minutes=minutes) <= delay.ready_at < late + timedelta(minutes=minutes + 5)
