"""What the bench will do from now on, when not all of it can be kept."""

import random
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as some

from app.planning.finishing import Fit, find_finish_starts
from app.planning.order_work import FillJob, OrderWork
from app.planning.outlook import WorkShare, look_ahead
from app.planning.placing import STEP
from app.planning.schedule import Batch, Plan, Shift
from tests.amounts import amount
from tests.planning.schedule_checker import check_plan, shortfall
from tests.planning.shops import HOUR, MINUTE, berlin, many

EIGHT = berlin(2026, 7, 11, 8)
DAYS = [Shift(EIGHT + day * 24 * HOUR, EIGHT + (day * 24 + 10) * HOUR, 1) for day in range(3)]
POINTS = {"helium": 1, "air": 1}


def _order(key, due, *minutes, finish=10):
    fills = [
        FillJob(Batch(f"{key}-{place}", "helium", work * 60, EIGHT, due), 0 * HOUR)
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
    assert delay.work == tuple(WorkShare(key, 40 * 60, 10 * 60) for key in "cab")
    assert outlook.finish_starts["c"] == EIGHT + 2.5 * HOUR - 10 * MINUTE


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


def test_a_short_order_that_is_late_goes_into_the_first_gap_that_is_left():
    """From eight to nine nobody is wanted; the fills of the others cannot begin before nine."""
    heavy = _order("a", EIGHT + 4 * HOUR, 85, 85)
    heavy = replace(heavy, fills=tuple(_not_before(fill, EIGHT + HOUR) for fill in heavy.fills))
    (delay,) = _look([heavy, _order("z", EIGHT - 4 * HOUR, 20)]).delays
    assert (delay.key, delay.ready_at) == ("z", EIGHT + HOUR / 2)


def _not_before(fill, moment):
    return replace(fill, batch=replace(fill.batch, not_before=moment))


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


def _as_handed_off(order, finish_start):
    """Fills end by the start of finishing, the tail begins at it."""
    yield from (replace(fill.batch, ready_by=finish_start) for fill in order.fills)
    yield Batch(order.key, None, order.finish_seconds, finish_start, order.ready_by)


@many
@given(some.integers(0, 10**9))
def test_who_gave_way_is_filled_and_finished_as_soon_as_can_be_and_all_else_keeps_its_hour(seed):
    """Order by order, against networkx; and the blocks are checked by the rules alone."""
    orders = {order.key: order for order in _random_orders(random.Random(seed))}
    outlook = _look([*orders.values()])
    late = {delay.key: delay.ready_at for delay in outlook.delays}
    batches = [
        batch
        for key, order in orders.items()
        if key not in late
        for batch in _as_handed_off(order, outlook.finish_starts[key])
    ]
    for key, ready_at in late.items():
        order, finish_start = replace(orders[key], ready_by=ready_at), outlook.finish_starts[key]
        *sooner, _ = _as_handed_off(order, finish_start - STEP)
        assert shortfall([*batches, *sooner], DAYS, POINTS)
        assert ready_at > orders[key].ready_by
        if ready_at - STEP >= finish_start:
            hurried = _as_handed_off(replace(order, ready_by=ready_at - STEP), finish_start)
            assert shortfall([*batches, *hurried], DAYS, POINTS)
        batches.extend(_as_handed_off(order, finish_start))
    check_plan(Plan(True, 0, outlook.starts, outlook.blocks), batches, DAYS, POINTS)


def test_there_is_no_delay_exactly_when_all_fit():
    draw = random.Random(4)
    seen = set()
    for _ in range(amount(25, deep=200)):
        orders = [*_random_orders(draw)]
        fits = find_finish_starts(orders, DAYS, POINTS, EIGHT).fit is Fit.FITS
        assert fits == (not _look(orders).delays)
        seen.add(fits)
    assert seen == {True, False}


def test_one_that_is_lost_anyway_takes_nobody_along():
    """At 8:20 the first, of 71 minutes until nine, is late alone; the second, of 38 until 9:45, is not."""
    now = EIGHT + 20 * MINUTE
    lost, other = _order("a", EIGHT + HOUR, 61), _order("b", EIGHT + 1.75 * HOUR, 28)
    (delay,) = _look([lost, other], now=now).delays
    assert (delay.key, delay.ready_at) == ("a", EIGHT + 130 * MINUTE)
    assert _look([other], now=now).delays == ()


def test_who_gave_way_for_one_that_is_lost_comes_back_in_time():
    """Two that fit beside each other, and a third in the same cut that no hour saves."""
    now = EIGHT + 30 * MINUTE
    lost = _order("a", EIGHT + HOUR, 34)
    (delay,) = _look([lost, _order("b", EIGHT + 80 * MINUTE, 8), _order("c", EIGHT + 2 * HOUR, 20)], now=now).delays
    assert delay.key == "a"


def test_the_search_for_those_that_are_kept_goes_on_however_many_give_way():
    """Three of seven fit until noon of the second day, if what is due at ten is finished on the day before."""
    noon, early = EIGHT + 28 * HOUR, _order("a", EIGHT + 26 * HOUR, 54, finish=60)
    seven = [_order(f"b{number}", noon, 44) for number in range(7)]
    seven = [
        replace(one, fills=tuple(_not_before(fill, EIGHT + 25 * HOUR + 4 * MINUTE) for fill in one.fills))
        for one in seven
    ]
    assert [delay.key for delay in _look([early, *seven]).delays] == ["b3", "b4", "b5", "b6"]
