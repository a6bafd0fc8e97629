"""Latest starts on busy benches, word for word and against networkx: with those chosen before it at their starts
and the others at their own not-before, each start fits and one second later does not."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import numpy as np
import pytest

from app.planning.kept_flow import KeptFlow
from app.planning.latest import due_last_first, latest_starts
from app.planning.schedule import Batch, Case, Shift, make_plan
from app.planning.too_much import find_shortage
from tests.amounts import amount
from tests.planning.old_plan import latest as old_latest
from tests.planning.schedule_checker import begun_at, check_plan, shortfall, windows
from tests.planning.test_schedule_random import bench

SECOND = timedelta(seconds=1)
MONDAY = datetime(2026, 6, 8, 6, tzinfo=UTC)
POINTS = {"helium": 2, "air": 1}


def _busy(seed: int) -> tuple[list[Batch], list[Shift]]:
    """As much work as fits two half days with three hands, in windows that are often hardly longer than it."""
    draw, batches = Random(seed), []
    shifts = [Shift(MONDAY + timedelta(day), MONDAY + timedelta(day, 4 * 3600), 3) for day in range(2)]
    for number in range(40):
        ready = MONDAY + timedelta(draw.randrange(2), 900 * draw.randint(4, 16))
        early = ready - timedelta(seconds=draw.choice((1800, 3600, 7200)) + draw.randint(0, 900))
        gas = draw.choice(("helium", "air", None))
        batch = Batch(f"{number:02}", gas, draw.randint(60, 3600), early, ready)
        if not find_shortage(Case.of([*batches, batch], shifts, POINTS)):
            batches.append(batch)
    return batches, shifts


@pytest.mark.parametrize("seed", range(6))
def test_each_start_is_the_latest_while_those_after_it_keep_their_own(seed):
    batches, shifts = _busy(seed)
    plan = make_plan(batches, shifts, POINTS)
    check_plan(plan, batches, shifts, POINTS)
    when, starts = windows(batches), {}
    for batch in sorted(batches, key=lambda one: (-when[one.key][1], one.key)):
        starts[batch.key] = plan.starts[batch.key]
        assert starts[batch.key] >= batch.not_before
        later = starts | {batch.key: starts[batch.key] + SECOND}
        assert shortfall(begun_at(batches, later), shifts, POINTS) > 0, batch.key
    assert shortfall(begun_at(batches, starts), shifts, POINTS) == 0


@pytest.fixture
def searches(monkeypatch):
    """The batches for which room was sought that others must make."""
    found, way_from = [], KeptFlow._way_from
    monkeypatch.setattr(KeptFlow, "_way_from", lambda flow, batch: found.append(batch) or way_from(flow, batch))
    return found


def test_room_is_sought_at_most_twenty_times_a_batch_and_never_where_none_meets_another(searches):
    batches, shifts = _busy(0)
    assert make_plan(batches, shifts, POINTS).fits
    assert 0 < len(searches) < 20 * len(batches)
    searches.clear()
    spread = [
        replace(one, not_before=MONDAY, ready_by=MONDAY + timedelta(minutes=30 * place), work_seconds=1800)
        for place, one in enumerate(batches[:8], 1)
    ]
    assert make_plan(spread, shifts, POINTS).fits
    assert not searches


@pytest.mark.parametrize("chunk", range(amount(8, deep=200)))
def test_the_starts_are_those_of_a_flow_for_every_guess(chunk):
    """Of all batches, those that are due last first, and of some of them in any order."""
    compared = 0
    for seed in range(chunk * 40, (chunk + 1) * 40):
        _, *drawn = bench(seed)
        case = Case.of(*drawn)
        if find_shortage(case):
            continue
        some = Random(seed).sample(range(len(case.batches)), Random(seed).randint(0, len(case.batches)))
        for order in (due_last_first(case.load), np.array(some, np.int64)):
            given = case.bench, case.load, case.begins, order
            assert latest_starts(*given)[0].tolist() == old_latest.latest_starts(*given)[0].tolist(), seed
            compared += 1
    assert compared > 20
