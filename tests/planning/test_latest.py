"""Latest starts on busy benches, word for word and against networkx: with those chosen before it at their starts
and the others at their own not-before, each start fits and one second later does not."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from app.planning import latest
from app.planning.schedule import Batch, Case, Shift, find_shortage, make_plan
from tests.planning.schedule_checker import begun_at, check_plan, shortfall, windows

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


def test_a_bench_with_room_is_asked_about_as_a_whole_only_once(monkeypatch):
    sizes, largest_flow = [], latest.largest_flow

    def counted(bench, load, begins):
        sizes.append(len(begins))
        return largest_flow(bench, load, begins)

    monkeypatch.setattr(latest, "largest_flow", counted)
    batches, shifts = _busy(0)
    roomy = [replace(one, not_before=MONDAY, work_seconds=one.work_seconds // 4) for one in batches]
    roomy = [one for one in roomy if one.ready_by < MONDAY + timedelta(1)]
    assert make_plan(roomy, shifts, POINTS).fits
    assert sizes.count(len(roomy)) == 1
