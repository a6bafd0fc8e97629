"""Random benches against networkx, and every plan against a checker that knows only the rules.

A quarter of the benches are made by laying the work first, within hands and points, and widening the windows, so
they fit by the way they were made; the others are drawn anyhow, or laid and then spoilt. About half fit. That one
start a second later breaks the bench is tried on every start of every feasible bench of up to ten batches, and on
four starts of each larger one. The starts of small benches are also found again by halving.
"""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from random import Random
from zoneinfo import ZoneInfo

import pytest

from app.planning.schedule import Batch, Shift, make_plan
from tests.amounts import amount
from tests.planning.schedule_checker import (
    ZERO,
    begun_at,
    check_plan,
    exact,
    hands_at,
    hours,
    latest_by_halving,
    shortfall,
)

CHUNKS, EACH = amount(12, deep=100), 30
SMALL = 10
SECOND = timedelta(seconds=1)
DAYS = [
    ("Europe/Berlin", date(2026, 3, 28)),
    ("Europe/Berlin", date(2026, 10, 24)),
    ("America/New_York", date(2026, 10, 31)),
    ("Australia/Lord_Howe", date(2026, 10, 3)),
    ("Europe/London", date(2026, 6, 12)),
]
CELL = 900


def _shifts(draw: Random) -> list[Shift]:
    zone, first = draw.choice(DAYS)
    shifts = []
    for day in range(draw.randint(1, 4)):
        midnight = datetime.combine(first + timedelta(day), time(), ZoneInfo(zone))
        for _ in range(draw.randint(1, 3)):
            opens = midnight + timedelta(minutes=draw.randint(0, 18 * 60))
            fold = draw.randint(0, 1)
            start = (opens + draw.choice((0, 0, 0.5)) * SECOND).replace(fold=fold)
            end = start + timedelta(minutes=draw.randint(20, 600), microseconds=draw.choice((0, 0, 700_000)))
            shifts.append(Shift(start, end.replace(fold=fold), draw.randint(0, 4)))
    return shifts


def _size(draw: Random) -> int:
    most = draw.choices((5, SMALL, 40), (80, 18, 2))[0]
    return draw.randint(1 if most < 40 else SMALL + 1, most)


def _moment(seconds: float, zone) -> datetime:
    return (ZERO + timedelta(seconds=seconds)).astimezone(zone)


def _laid(draw: Random, shifts: list[Shift], points: dict[str, int]) -> list[Batch]:
    """Work laid into cells of fifteen minutes, hands and points kept; windows round it, more or less wide."""
    zone, span = shifts[0].start.tzinfo, hours(shifts)
    first, last = min(start for start, _, _ in span), max(end for _, end, _ in span)
    edges = sorted({*range(first, last, CELL), *(moment for start, end, _ in span for moment in (start, end))})
    cells = [(start, end) for start, end in pairwise(edges) if hands_at(start, span)]
    left = {start: hands_at(start, span) * (end - start) for start, end in cells}
    at = {(gas, start): number * (end - start) for gas, number in points.items() for start, end in cells}
    batches, wide = [], draw.choice((0, 300, 3600, 40_000))
    for number in range(_size(draw) if cells else 0):
        gas, place = draw.choice((None, *points)), draw.randrange(len(cells))
        mine, work = cells[place : place + draw.randint(1, 6)], 0
        for start, _ in mine:
            most = left[start] if gas is None else min(left[start], at[gas, start])
            part = draw.choice((0, most, draw.randint(0, most)))
            left[start] -= part
            work += part
            if gas is not None:
                at[gas, start] -= part
        not_before = mine[0][0] - draw.randint(0, wide) - draw.choice((0, 0.25))
        ready_by = mine[-1][1] + draw.randint(0, wide) + draw.choice((0, 0.75))
        work_seconds = work - draw.choice((0, 0.5)) if work else 0
        batches.append(Batch(f"{number}", gas, work_seconds, _moment(not_before, zone), _moment(ready_by, zone)))
    return batches


def _anyhow(draw: Random, shifts: list[Shift], points: dict[str, int]) -> list[Batch]:
    zone = shifts[0].start.tzinfo
    first = min(exact(shift.start) for shift in shifts)
    last = max(exact(shift.end) for shift in shifts)
    batches = []
    for number in range(_size(draw)):
        start = draw.uniform(float(first), float(last))
        end = start + draw.choice((0, 60, 3600, 40_000)) + 900 * draw.random()
        work = draw.choice((0, 1, 3600, 9000, 20_000)) + draw.choice((0, 0.1))
        gas = draw.choice((None, *points))
        batches.append(Batch(f"{number}", gas, work, _moment(start, zone), _moment(end, zone)))
    return batches


def bench(seed: int):
    """(whether it fits by the way it was made, batches, shifts, points)"""
    draw = Random(seed)
    shifts = _shifts(draw)
    points = {gas: draw.randint(0 if draw.random() < 0.1 else 1, 3) for gas in draw.choice(("h", "ha", "han"))}
    if seed % 2 == 0 and (seed < 400 or seed % 10 < 4):
        return True, _laid(draw, shifts, points), shifts, points
    if draw.random() < 0.4:
        return False, _anyhow(draw, shifts, points), shifts, points
    batches = _laid(draw, shifts, points)
    more = draw.choice((1, 60, 4000, 15_000))
    spoilt = [replace(one, work_seconds=one.work_seconds + more) for one in batches]
    return False, spoilt, shifts, points


def _check_latest(draw: Random, plan, batches, shifts, points):
    latest = begun_at(batches, plan.starts)
    assert shortfall(latest, shifts, points) == 0
    worked = [place for place, batch in enumerate(batches) if batch.work_seconds]
    for place in worked if len(batches) <= SMALL else draw.sample(worked, min(4, len(worked))):
        later = [*latest]
        later[place] = replace(later[place], not_before=later[place].not_before + SECOND)
        assert shortfall(later, shifts, points) > 0, later[place].key


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_a_random_bench_is_answered_as_networkx_does_and_its_plan_keeps_the_rules(chunk):
    for seed in range(chunk * EACH, (chunk + 1) * EACH):
        made_to_fit, batches, shifts, points = bench(seed)
        plan = make_plan(batches, shifts, points)
        short = shortfall(batches, shifts, points)
        assert (plan.fits, plan.short_seconds) == (short == 0, short), seed
        assert plan.fits or not made_to_fit, seed
        check_plan(plan, batches, shifts, points)
        if plan.fits:
            _check_latest(Random(seed), plan, batches, shifts, points)


@pytest.mark.parametrize("chunk", range(amount(4, deep=15)))
def test_the_starts_are_those_found_by_halving(chunk):
    for seed in range(chunk * 20, (chunk + 1) * 20, 2):
        _, batches, shifts, points = bench(seed)
        some = [batch for batch in batches[:5] if batch.work_seconds]
        assert make_plan(some, shifts, points).starts == latest_by_halving(some, shifts, points), seed


@pytest.mark.parametrize("chunk", range(amount(3, deep=10)))
def test_a_hand_an_hour_or_a_point_more_never_breaks_a_bench_and_a_batch_less_neither(chunk):
    hour = timedelta(hours=1)
    for seed in range(chunk * 40, (chunk + 1) * 40, 2):
        _, batches, shifts, points = bench(seed)
        draw = Random(seed)
        assert make_plan(batches, shifts, points).fits
        one = draw.randrange(len(shifts))
        more = [[*shifts], [*shifts]]
        more[0][one] = replace(shifts[one], hands=shifts[one].hands + 1)
        more[1][one] = replace(shifts[one], end=shifts[one].end + hour)
        assert all(make_plan(batches, given, points).fits for given in more), seed
        assert make_plan(batches, shifts, points | {"h": points["h"] + 1}).fits, seed
        longer = [replace(batch, ready_by=batch.ready_by + hour) for batch in batches]
        assert make_plan(longer, shifts, points).fits, seed
        for place in draw.sample(range(len(batches)), min(3, len(batches))):
            assert make_plan(batches[:place] + batches[place + 1 :], shifts, points).fits, seed
