"""A flow that is kept and changed, against one made anew; and the room that it finds for further batches."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from random import Random

import pytest

from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import KeptFlow
from app.planning.room import Room
from app.planning.schedule import Batch, Case, Shift
from app.planning.slot import FlowJob
from app.planning.too_much import find_shortage
from tests.amounts import amount
from tests.planning.old_plan.flow import largest_flow
from tests.planning.shops import DAY, HOUR, MINUTE
from tests.planning.test_schedule_random import bench

STEP, MOST = timedelta(minutes=5), 2000
TOO_LONG = 20
"""So many times the work of a batch fits into hardly any bench."""


def _seeds(chunk):
    return range(chunk * 25, (chunk + 1) * 25)


def _check_by_the_rules(flow, work):
    """No slot gives more than it has, and only within the hours of each batch."""
    done = Counter()
    for slot in flow.slots:
        length, given = slot.end - slot.start, Counter()
        for batch, seconds in slot.users.items():
            job = flow.jobs[batch]
            assert seconds > 0
            assert job.begin <= slot.start < slot.end <= job.end
            given[job.gas] += seconds
            done[batch] += seconds
        assert given.total() <= slot.hands * length
        assert all(given[gas] <= number * length for gas, number in enumerate(slot.points))
        assert slot.free == slot.hands * length - given.total()
    assert all(done[batch] + job.left == work[batch] for batch, job in flow.jobs.items())


def _short(case, numbers):
    flow = largest_flow(case.bench, case.load.only(numbers), case.begins[numbers])
    return flow.short, {number for number, is_in in zip(numbers, flow.cut, strict=True) if is_in}


@pytest.mark.parametrize("chunk", range(amount(6, deep=200)))
def test_as_much_fits_as_in_a_flow_made_anew_and_the_same_batches_are_too_much(chunk):
    seen = Counter()
    for seed in _seeds(chunk):
        draw = Random(seed)
        case = Case.of(*bench(seed)[1:])
        rows = zip(case.load.gas, case.begins, case.load.ends, case.load.work, strict=True)
        jobs = [[*map(int, row)] for row in rows]
        work, flow, met = [job[-1] for job in jobs], KeptFlow.empty(case.bench), set()
        for number in draw.sample(range(len(jobs)), len(jobs)):
            if flow.add(number, FlowJob(*jobs[number])):
                met |= {*flow.met}
        _check_by_the_rules(flow, work)
        assert (sum(job.left for job in flow.jobs.values()), met) == _short(case, [*range(len(jobs))]), seed
        seen[bool(met)] += 1
        left = sorted(draw.sample(range(len(jobs)), len(jobs) // 2))
        for number in flow.jobs.keys() - {*left}:
            flow.remove(number)
        for number in left:
            flow.begin_at(number, jobs[number][1])
        _check_by_the_rules(flow, work)
        assert sum(job.left for job in flow.jobs.values()) == _short(case, left)[0], seed
    assert min(seen.values()) > 2


@pytest.mark.parametrize("chunk", range(amount(4, deep=100)))
def test_further_batches_have_room_so_many_steps_later_and_not_a_step_sooner(chunk):
    """Beside batches that fit, which change from one question to the next. Now and then one is far too long, since
    hardly a bench that is drawn by chance has no room for good."""
    seen = Counter()
    for seed in _seeds(chunk):
        draw, (_, batches, shifts, points) = Random(seed), bench(seed)
        room = Room.of(Case.of((), shifts, points))
        for _ in range(2):
            chosen, placed = draw.sample(batches, min(draw.randint(1, 3), len(batches))), []
            times = TOO_LONG if draw.random() < 0.3 else 1
            more = [replace(one, work_seconds=times * one.work_seconds) for one in chosen]
            for batch in draw.sample(batches, len(batches)):
                if batch not in chosen and not find_shortage(Case.of([*placed, batch], shifts, points)):
                    placed.append(batch)

            def is_short(steps, more=more, placed=placed, shifts=shifts, points=points):
                later = [replace(one, ready_by=one.ready_by.astimezone(UTC) + steps * STEP) for one in more]
                return find_shortage(Case.of([*placed, *later], shifts, points)) is not None

            steps = room.steps_for(more, tuple(placed), (), STEP.seconds, MOST)
            assert is_short(MOST if steps is None else steps) == (steps is None), seed
            assert not steps or is_short(steps - 1), seed
            seen["never" if steps is None else "later" if steps else "now"] += 1
    assert min(seen["now"], seen["later"], seen["never"]) > 1


def _crowd(draw):
    """Twelve batches that want the same few hours."""
    opens, staff = datetime(2026, 6, 8, 6, tzinfo=UTC), draw.choice((1, 2))
    shifts = [Shift(opens + day * DAY, opens + day * DAY + 3 * HOUR, staff) for day in range(2)]
    batches = []
    for number in range(12):
        begin, work = opens + draw.choice((0, 0, 0.5, 1)) * HOUR, 60 * draw.choice((5, 17, 17, 40))
        due = begin + 15 * draw.randint(1, 7) * MINUTE
        batches.append(Batch(f"{number}", draw.choice(("helium", "air", None)), work, begin, due))
    return batches, Case.of((), shifts, {"helium": staff, "air": 1})


@pytest.mark.parametrize("chunk", range(amount(2, deep=100)))
def test_what_found_room_may_stay_there_and_what_found_none_leaves_nothing(chunk):
    """Batches come one after another; after each, the next is asked about beside it alone."""
    seen = Counter()
    for seed in _seeds(chunk):
        draw = Random(seed)
        batches, empty = _crowd(draw)
        room, placed = Room.of(empty), []

        def first_fit(batch, beside, most, empty=empty):
            fits = (
                not find_shortage(empty.with_batches([*beside, _later(batch, steps)])) for steps in range(most + 1)
            )
            return next((steps for steps, fit in enumerate(fits) if fit), None)

        for batch, other in pairwise(batches):
            most = draw.choice((0, 3, 24))
            steps = room.steps_for([batch], tuple(placed), (), STEP.seconds, most)
            assert steps == first_fit(batch, placed, most), seed
            _check_by_the_rules(room.flow, {key: row.left for key, row in {**room.rows, **room.others}.items()})
            if first_fit(batch, [], 0) == 0 and draw.random() < 0.5:
                assert room.steps_for([other], (), [batch], STEP.seconds, 24) == first_fit(other, [batch], 24), seed
            if steps is not None:
                placed.append(_later(batch, steps))
            seen["never" if steps is None else "later" if steps else "now"] += 1
    assert min(seen["now"], seen["later"], seen["never"]) > 10


def _later(batch, steps):
    return replace(batch, ready_by=batch.ready_by.astimezone(UTC) + steps * STEP)


def test_work_for_hands_only_is_not_limited_by_points():
    case = Case.of(*bench(0)[1:])
    flow = KeptFlow.empty(case.bench)
    begin, end = int(case.bench.starts[0]), int(case.bench.ends[-1])
    all_hands = int(((case.bench.ends - case.bench.starts) * case.bench.hands).sum())
    assert flow.add("all", FlowJob(HANDS_ONLY, begin, end, all_hands)) == 0
    assert flow.add("more", FlowJob(HANDS_ONLY, begin, end, 1)) == 1
    assert {*flow.met} == {"all", "more"}
