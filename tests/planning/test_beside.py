"""Orders that are asked about beside others whose flow is kept, against all orders answered anew."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from app.planning.beside import BesideOrders, OrdersFlow
from app.planning.finishing import find_finish_starts
from app.planning.order_work import FillJob, OrderWork
from app.planning.schedule import Batch, Case, Shift
from tests.amounts import amount

MONDAY = datetime(2026, 6, 8, 8, tzinfo=UTC)
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
SHIFTS = tuple(
    Shift(MONDAY + day * timedelta(1), MONDAY + day * timedelta(1) + 9 * HOUR, 1 + day % 2) for day in range(3)
)
POINTS = {"air": 2, "helium": 1}


def _order(draw, key):
    ready_by = MONDAY + draw.randrange(3) * timedelta(1) + draw.randrange(1, 12) * HOUR
    earliest = ready_by - draw.randrange(1, 20) * HOUR
    fills = tuple(
        FillJob(
            Batch(f"{key}-{place}", draw.choice([*POINTS, None]), draw.randrange(100) * 60, earliest, ready_by),
            draw.choice([timedelta(), timedelta(), HOUR]),
        )
        for place in range(draw.randrange(4))
    )
    return OrderWork(key, fills, draw.randrange(40) * 60, ready_by)


def _drawn(seed):
    draw = Random(seed)
    orders = [_order(draw, f"{number}") for number in range(draw.randrange(14))]
    return draw, tuple(orders), [_order(draw, f"more {number}") for number in range(draw.randrange(3))]


@pytest.mark.parametrize("chunk", range(amount(4, deep=100)))
def test_further_orders_are_answered_as_if_all_were_asked_about_anew(chunk):
    seen = Counter()
    for seed in range(chunk * 50, (chunk + 1) * 50):
        draw, orders, more = _drawn(seed)
        beside = BesideOrders(Case.of((), SHIFTS, POINTS), orders, MONDAY)
        if draw.random() < 0.5:  # asked about others before, which must leave nothing behind
            beside.with_more([replace(_order(draw, "before"), finish_seconds=36000)])
        found = beside.with_more(more)
        assert found == find_finish_starts([*orders, *more], SHIFTS, POINTS, MONDAY), seed
        assert beside.alone == find_finish_starts(orders, SHIFTS, POINTS, MONDAY), seed
        stay = [order for order in orders if draw.random() < 0.8]
        changed = [replace(order, finish_seconds=draw.randrange(40) * 60) for order in stay[:3]]
        others = (*changed, *stay[3:], _order(draw, "new"))
        later = BesideOrders(Case.of((), SHIFTS, POINTS), others, MONDAY, before=beside.known_flow)
        assert later.with_more(more) == find_finish_starts([*others, *more], SHIFTS, POINTS, MONDAY), seed
        assert later.alone == find_finish_starts(others, SHIFTS, POINTS, MONDAY), seed
        longer, points = (*SHIFTS, Shift(MONDAY + 7 * HOUR, MONDAY + 14 * HOUR, 1)), {**POINTS, "helium": 2}
        larger = BesideOrders(Case.of((), longer, points), orders, MONDAY, like=beside)
        assert larger.with_more(more) == find_finish_starts([*orders, *more], longer, points, MONDAY), seed
        fewer = BesideOrders(Case.of((), SHIFTS[1:], POINTS), orders, MONDAY, doubtful=beside.unfit)
        assert fewer.with_more(more) == find_finish_starts([*orders, *more], SHIFTS[1:], POINTS, MONDAY), seed
        seen[beside.alone.fit, found.fit] += 1
    assert len(seen) >= 2, seen


def test_the_flow_of_another_bench_or_moment_is_not_gone_on_with():
    orders = (_order(Random(1), "one"), _order(Random(2), "two"))
    known = OrdersFlow.on(Case.of((), SHIFTS, POINTS), MONDAY).with_more(orders)
    assert known.is_on(Case.of((), SHIFTS, POINTS), MONDAY)
    assert not known.is_on(Case.of((), SHIFTS, POINTS), MONDAY + MINUTE)
    assert not known.is_on(Case.of((), SHIFTS[:2], POINTS), MONDAY)
    assert not known.is_on(Case.of((), SHIFTS, POINTS | {"air": 3}), MONDAY)
    fewer = BesideOrders(Case.of((), SHIFTS[:1], POINTS), orders, MONDAY, before=known)
    assert fewer.alone == find_finish_starts(orders, SHIFTS[:1], POINTS, MONDAY)
