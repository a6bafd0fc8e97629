"""The sequence in which many late orders follow, and the set that gives way before it, against both found anew:
each order is placed by halving, with a flow for every guess."""

import random
from dataclasses import replace
from datetime import timedelta

import pytest

from app.planning.finishing import find_finish_starts
from app.planning.following import EXACT_UP_TO, best_following
from app.planning.giving_way import due_last
from app.planning.kept_load import KeptLoad
from app.planning.order_work import FillJob, OrderWork, without_precedence
from app.planning.placing import BenchAhead, PlacedOrders
from app.planning.schedule import Batch, Shift
from tests.amounts import amount
from tests.planning.due_last_rule import Placing
from tests.planning.shops import HOUR, MINUTE, berlin

EIGHT = berlin(2026, 7, 11, 8)
WEEK = timedelta(days=7)


def _bench(dice):
    staff, days = dice.choice((1, 2, 2, 3)), dice.choice((1, 9))
    shifts = [Shift(EIGHT + day * 24 * HOUR, EIGHT + (day * 24 + 9) * HOUR, staff) for day in range(days)]
    points = {"helium": dice.randint(1, 2), "air": dice.randint(1, staff)}
    return shifts, points, EIGHT + dice.choice((0, 47)) * MINUTE


def _order(dice, key):
    """Some may be filled from now on, some not before an hour, some must dry."""
    due = EIGHT + dice.choice((2, 5)) * dice.randint(10, 60) * MINUTE
    fills = []
    for place in range(dice.randint(0, 3)):
        begins = EIGHT + dice.choice((-60, -60, 60, 150)) * MINUTE
        batch = Batch(
            f"{key}-{place}", dice.choice(("helium", "air")), 60 * dice.choice((2, 11, 11, 30, 50)), begins, due
        )
        fills.append(FillJob(batch, dice.choice((0, 0, 0, 30, 120)) * MINUTE))
    starts = due + dice.choice((0, 20, 60)) * MINUTE if dice.random() < 0.8 else None
    return OrderWork(key, tuple(fills), 60 * dice.choice((0, 5, 10)), due, starts)


def _too_many(seed):
    """Orders of which far from all can be in time, and those that give way when that is found anew."""
    dice = random.Random(seed)
    shifts, points, now = _bench(dice)
    orders = [_order(dice, f"{key:02}") for key in range(dice.randint(12, 18))]
    given = shifts, points, now
    late = {one.key for one in orders if find_finish_starts([one], *given, (), 400).shortage}
    unavoidable, failures_left = frozenset(late), 3
    while short := (
        found := find_finish_starts(
            [one for one in orders if one.key not in late], *given, (), 400 * (failures_left > 0)
        )
    ).shortage:
        failures_left -= found.fit.value == "not found"
        named = {*short.keys}
        competing = [
            one
            for one in orders
            if one.key not in late and named & {one.key, *(fill.batch.key for fill in one.fills)}
        ]
        late.add(max(competing, key=lambda one: (one.ready_by, one.key)).key)
    return orders, given, unavoidable, late, found.by_order


def _work(order):
    return sum(fill.batch.work_seconds for fill in order.fills) + order.finish_seconds


def _starts(order):
    return order.latest_for_start or order.ready_by


def _best_of_three(batches, orders, given):
    """The loss of the best sequence, and when each order is ready."""
    now, due = given[-1], sorted(orders, key=lambda one: (one.ready_by, one.key))
    first = Placing([*batches], *given)
    saved = {one.key: at for one in due if (at := first.add(one, 0)) is not None}
    others = [one for one in due if one.key not in saved]
    ways = []
    for sequence in (others, sorted(others, key=_starts), sorted(others, key=_work)):
        placing, ready_at = Placing([*first.batches], *given), dict(saved)
        for one in sequence:
            most = (WEEK + max(now - one.ready_by, timedelta())) // (5 * MINUTE)
            ready_at[one.key] = placing.add(one, most)
        lateness = {one.key: ready_at[one.key] - one.ready_by if ready_at[one.key] else WEEK for one in orders}
        missed = sum(ready_at[one.key] is None or one.misses_start(ready_at[one.key]) for one in orders)
        late = sum(more > timedelta() for more in lateness.values())
        ways.append(((late, missed, sum(lateness.values(), timedelta())), ready_at))
    return min(ways, key=lambda way: way[0])


@pytest.mark.parametrize("chunk", range(amount(2, deep=100)))
def test_many_follow_as_when_each_is_placed_anew(chunk):
    compared = 0
    for seed in range(2 * chunk, 2 * chunk + 2):
        orders, given, unavoidable, late, by_order = _too_many(seed)
        shifts, points, now = given
        bench = BenchAhead(shifts, points, now, ())
        load = KeptLoad.of(bench.empty, {one.key: without_precedence(one, now) for one in orders})
        found = due_last(bench, load, orders, unavoidable)
        assert (found.late, found.in_time.finish_starts) == (late, by_order), seed
        giving_way = [one for one in orders if one.key in late]
        if len(giving_way) <= EXACT_UP_TO:
            continue
        loss, ready_at = _best_of_three(found.in_time.batches, giving_way, given)
        best = best_following(found.in_time, giving_way)
        assert (best.late, best.loss.missed, best.loss.lateness) == loss, seed
        for placed in best.placements:
            moment = placed.ready_at and max(placed.ready_at, placed.order.ready_by)
            assert moment == ready_at[placed.order.key], seed
        compared += 1
    assert compared


def test_a_sequence_above_the_limit_is_none():
    dice = random.Random(0)
    orders = [_order(dice, f"{key:02}") for key in range(EXACT_UP_TO + 4)]
    none = PlacedOrders.of(BenchAhead(*_bench(dice), ()), (), {})
    best = best_following(none, orders)
    assert best_following(none, orders, best.loss) is None
    assert best_following(none, orders, replace(best.loss, missed=best.loss.missed + 1)).loss == best.loss
