"""How long the plan of a week takes when some orders must give way, as a multiple of a week in which none must, and
when thirty are lost.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Nothing is asserted about time.
"""

import time
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from app.planning.order_work import FillJob, OrderWork
from app.planning.outlook import look_ahead
from app.planning.schedule import Batch, Shift
from tests.planning.due_last_rule import due_last_rule

MONDAY, MINUTE, DAY = datetime(2026, 6, 8, 8, tzinfo=UTC), timedelta(minutes=1), timedelta(days=1)
SHIFTS = [Shift(MONDAY + day * DAY, MONDAY + day * DAY + 600 * MINUTE, 2) for day in range(14)]
POINTS = {"helium": 2, "air": 1}


def _order(draw, key, opens, minutes):
    """Some batches may be filled from now on, the others on the day itself."""
    due = opens + 15 * draw.randint(8, 36) * MINUTE
    fills = [
        FillJob(
            Batch(
                f"{key}-{place}",
                draw.choice(("helium", "helium", "air")),
                60 * draw.uniform(0.3, 0.7) * minutes,
                draw.choice((MONDAY, opens)),
                due,
            ),
            draw.choice((0, 0, 0, 120)) * MINUTE,
        )
        for place in range(draw.randint(1, 2))
    ]
    return OrderWork(key, tuple(fills), 600, due, due + 30 * MINUTE)


def _week(minutes):
    """Eight orders a day; those of Monday take so many minutes each."""
    draw = Random(3)
    return [
        _order(draw, f"{1000 + 10 * day + place}", MONDAY + day * DAY, 40 if day else minutes)
        for day in range(6)
        for place in range(8)
    ]


@pytest.fixture(scope="module")
def medians():
    return {}


@pytest.mark.parametrize("minutes", [60, 220, 260, 300])
def test_who_gives_way(benchmark, request, medians, minutes):
    orders = _week(minutes)
    late = len(look_ahead(orders, SHIFTS, POINTS, MONDAY).delays)
    assert late <= len(due_last_rule(orders, SHIFTS, POINTS, MONDAY))
    benchmark.pedantic(look_ahead, (orders, SHIFTS, POINTS, MONDAY), rounds=3)
    medians[late] = benchmark.stats.stats.median
    ratio = medians[late] / medians[min(medians)]
    plugins = request.config.pluginmanager
    with plugins.getplugin("capturemanager").global_and_fixture_disabled():
        write = plugins.getplugin("terminalreporter").write_line
        write(
            f"\n{late} late: {1000 * medians[late]:.0f} ms, {ratio:.1f} times the plan of a week with fewest late"
        )


def test_thirty_lost_orders(note):
    """Orders that were due yesterday, beside a week that fits."""
    draw = Random(4)
    lost = [_order(draw, f"{2000 + place}", MONDAY - DAY, 20) for place in range(30)]
    began = time.process_time()
    found = look_ahead([*_week(40), *lost], SHIFTS, POINTS, MONDAY)
    note("look-ahead with 30 lost orders", time.process_time() - began, "s", 0.3)
    assert {one.key for one in lost} <= {delay.key for delay in found.delays}
