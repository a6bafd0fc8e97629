"""What the bench will do from now on, when not all of it can be kept."""

import random
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as some

from app.planning.handoff import Fill, Fit, OrderWork, find_hand_offs, fit_laid_last
from app.planning.outlook import STEP, look_ahead
from app.planning.schedule import Batch, Plan, Shift
from tests.planning.schedule_checker import check_plan
from tests.planning.shops import HOUR, MINUTE, berlin

EIGHT = berlin(2026, 7, 11, 8)
DAYS = [Shift(EIGHT + day * 24 * HOUR, EIGHT + (day * 24 + 10) * HOUR, 1) for day in range(3)]
POINTS = {"helium": 1, "air": 1}


def _order(key, due, *minutes, finish=10):
    fills = [
        Fill(Batch(f"{key}-{place}", "helium", work * 60, EIGHT, due), 0 * HOUR)
        for place, work in enumerate(minutes, 1)
    ]
    return OrderWork(key, tuple(fills), finish * 60, due)


def _look(orders, shifts=DAYS, points=POINTS, now=EIGHT):
    return look_ahead(orders, shifts, points, now)


def test_what_fits_is_planned_and_nobody_waits():
    outlook = _look([_order("a", EIGHT + 2 * HOUR, 30), _order("b", EIGHT + 2 * HOUR, 30)])
    assert outlook.delays == ()
    assert outlook.starts["b-1"] == EIGHT + 40 * MINUTE
    assert {block.key for block in outlook.blocks} == {"a", "a-1", "b", "b-1"}


def test_the_one_due_last_gives_way_and_says_when_it_would_be_ready():
    """Three times fifty minutes of work by one hand, from eight on: all of it is done by half past ten."""
    orders = [_order(key, EIGHT + 2 * HOUR, 40) for key in "ab"]
    outlook = _look([*orders, _order("c", EIGHT + 2.25 * HOUR, 40)])
    (delay,) = outlook.delays
    assert (delay.key, delay.ready_at, delay.proved) == ("c", EIGHT + 2.5 * HOUR, True)
    assert delay.shortage.short_seconds == 15 * 60
    assert outlook.hand_offs["c"] == EIGHT + 2.5 * HOUR - 10 * MINUTE


def test_of_two_due_at_once_the_one_taken_last_gives_way():
    outlook = _look([_order(key, EIGHT + HOUR, 40) for key in ("1001", "1002")])
    assert [(delay.key, delay.ready_at) for delay in outlook.delays] == [("1002", EIGHT + 100 * MINUTE)]


def test_what_no_longer_fits_today_is_ready_tomorrow():
    whole_day = _order("a", EIGHT + 10 * HOUR, 590)
    outlook = _look([whole_day, _order("b", EIGHT + 10 * HOUR, 50)])
    assert outlook.delays[0].ready_at == EIGHT + 25 * HOUR


def test_an_hour_that_has_passed_is_answered_from_now_on():
    outlook = _look([_order("a", EIGHT + HOUR, 20)], now=EIGHT + 3 * HOUR + 2 * MINUTE)
    assert outlook.delays[0].ready_at == EIGHT + 3.5 * HOUR + 5 * MINUTE


def test_what_can_never_be_made_is_told_and_the_rest_is_planned():
    orders = [_order("a", EIGHT + HOUR, 20), _order("b", EIGHT + 4 * HOUR, 20)]
    heavy = replace(
        orders[1], fills=(replace(orders[1].fills[0], batch=replace(orders[1].fills[0].batch, gas="air")),)
    )
    outlook = _look([orders[0], heavy], points={"helium": 1, "air": 0})
    assert [(delay.key, delay.ready_at) for delay in outlook.delays] == [("b", None)]
    assert outlook.delays[0].shortage.gas == "air"
    assert {*outlook.starts} == {"a", "a-1"}


def _random_orders(draw):
    for number in range(draw.randint(2, 6)):
        due = EIGHT + 5 * MINUTE * draw.randint(6, 60)
        works = [draw.choice((5, 15, 35, 60)) for _ in range(draw.randint(1, 3))]
        yield _order(f"{number}", due, *works, finish=draw.choice((0, 10)))


def _as_handed_off(order, hand_off):
    """Fills end by the hand-off, the tail begins at it."""
    yield from (replace(fill.batch, ready_by=hand_off) for fill in order.fills)
    yield Batch(order.key, None, order.finish_seconds, hand_off, order.ready_by)


@settings(deadline=None, max_examples=60)
@given(some.integers(0, 10**9))
def test_every_delay_is_the_shortest_beside_the_others_and_all_else_keeps_its_hour(seed):
    """By definition, order by order; and the blocks are checked by the rules alone."""
    orders = [*_random_orders(random.Random(seed))]
    outlook = _look(orders)
    moved = {delay.key: delay.ready_at for delay in outlook.delays}
    kept = [order for order in orders if order.key not in moved]
    assert find_hand_offs(kept, DAYS, POINTS, EIGHT).fit is Fit.FITS
    for delay in outlook.delays:
        order = next(order for order in orders if order.key == delay.key)
        sooner = replace(order, ready_by=delay.ready_at - STEP)
        assert not fit_laid_last([*kept, sooner], DAYS, POINTS, EIGHT)
        kept.append(replace(order, ready_by=delay.ready_at))
    handed_off = [batch for order in kept for batch in _as_handed_off(order, outlook.hand_offs[order.key])]
    check_plan(Plan(True, 0, outlook.starts, outlook.blocks), handed_off, DAYS, POINTS)


def test_there_is_no_delay_exactly_when_all_fit():
    draw = random.Random(4)
    seen = set()
    for _ in range(60):
        orders = [*_random_orders(draw)]
        fits = find_hand_offs(orders, DAYS, POINTS, EIGHT).fit is Fit.FITS
        assert fits == (not _look(orders).delays)
        seen.add(fits)
    assert seen == {True, False}
