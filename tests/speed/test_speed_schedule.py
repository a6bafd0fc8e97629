"""How the plan of the bench grows, and how it compares with networkx on the same graph in the same run.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Ratios and exponents are printed at the end;
nothing is asserted about time, for a busy machine would fail for no reason. The issue aims at 50 times networkx
(whose graph is built beforehand, while ours is built within the time), at an exponent of 1.0 for more days and of
1.5 for more hands.
"""

import math
from datetime import UTC, datetime, timedelta
from random import Random

import networkx as nx
import pytest

from app.planning.schedule import Batch, Case, Shift, make_plan
from app.planning.too_much import find_shortage
from tests.planning.schedule_checker import graph_of

MONDAY = datetime(2026, 6, 8, 6, tzinfo=UTC)
PER_DAY, PER_HAND = 30, 15
SIZES = (60, 120, 240, 480, 960)
GASES = ("helium", "air", None)


def _day(draw, first, opens, hands, batches):
    """A day of twelve hours, at most two thirds full; due on a quarter of an hour, not before any minute."""
    mean = 12 * 3600 * hands * 2 // 3 // batches
    for number in range(batches):
        ready = opens + timedelta(minutes=15 * draw.randint(16, 48))
        early = ready - timedelta(minutes=draw.randint(180, 480))
        yield Batch(f"{first + number:04}", GASES[number % 3], draw.randint(mean // 2, mean), early, ready)


def more_days(batches):
    draw, days = Random(batches), batches // PER_DAY
    opens = [MONDAY + timedelta(day) for day in range(days)]
    made = [batch for day in range(days) for batch in _day(draw, day * PER_DAY, opens[day], 3, PER_DAY)]
    return made, [Shift(at, at + timedelta(hours=12), 3) for at in opens], {"helium": 2, "air": 2}


def more_hands(batches):
    hands = batches // PER_HAND
    shifts = [Shift(MONDAY, MONDAY + timedelta(hours=12), hands)]
    points = {"helium": hands // 2, "air": hands // 2}
    return [*_day(Random(batches), 0, MONDAY, hands, batches)], shifts, points


MAKERS = {"more days": more_days, "more hands": more_hands}


def can_all_be_ready(bench):
    return find_shortage(Case.of(*bench)) is None


@pytest.fixture(scope="module")
def medians(request):
    saved = {}
    yield saved
    plugins = request.config.pluginmanager
    with plugins.getplugin("capturemanager").global_and_fixture_disabled():
        _write_history(plugins.getplugin("terminalreporter").write_line, saved)


def _write_history(write, saved):
    for way in MAKERS:
        ours, theirs = saved.get((way, "ours")), saved.get((way, "networkx"))
        if ours and theirs:
            write(f"\n{way}: feasibility of 240 batches is {theirs / ours:.0f} × as fast as networkx")
        for what in ("feasibility", "plan"):
            known = [(size, saved[way, what, size]) for size in SIZES if (way, what, size) in saved]
            if len(known) > 1:
                seconds = ", ".join(f"{size}: {1000 * median:.1f} ms" for size, median in known)
                write(f"{way}: {what} grows with exponent {_slope(known):.2f} ({seconds})")


def _slope(known):
    """Of the straight line through the logarithms, by least squares."""
    across, up = ([math.log(value) for value in values] for values in zip(*known, strict=True))
    middle, height = sum(across) / len(across), sum(up) / len(up)
    over = sum((x - middle) * (y - height) for x, y in zip(across, up, strict=True))
    return over / sum((x - middle) ** 2 for x in across)


@pytest.mark.parametrize("way", MAKERS)
def test_feasibility_beside_networkx(benchmark, medians, way):
    bench = MAKERS[way](240)
    graph, work = graph_of(*bench), sum(batch.work_seconds for batch in bench[0])
    assert can_all_be_ready(bench) == (nx.maximum_flow_value(graph, "source", "sink") == work)
    benchmark.pedantic(nx.maximum_flow_value, (graph, "source", "sink"), rounds=3)
    medians[way, "networkx"] = benchmark.stats.stats.median


@pytest.mark.parametrize("way", MAKERS)
def test_feasibility_of_the_same_bench(benchmark, medians, way):
    bench = MAKERS[way](240)
    benchmark.pedantic(can_all_be_ready, (bench,), rounds=15, warmup_rounds=1)
    medians[way, "ours"] = benchmark.stats.stats.median


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("way", MAKERS)
def test_feasibility_of_a_growing_bench(benchmark, medians, way, size):
    bench = MAKERS[way](size)
    benchmark.pedantic(can_all_be_ready, (bench,), rounds=7, warmup_rounds=1)
    medians[way, "feasibility", size] = benchmark.stats.stats.median


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("way", MAKERS)
def test_a_plan_of_a_growing_bench(benchmark, medians, way, size):
    bench = MAKERS[way](size)
    assert can_all_be_ready(bench), "a bench that does not fit is planned too quickly"
    benchmark.pedantic(make_plan, bench, rounds=2, warmup_rounds=1)
    medians[way, "plan", size] = benchmark.stats.stats.median
