"""A flow that is kept and changed, against one made anew; and the room that it finds for further batches."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, timedelta
from random import Random

import pytest

from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import FlowJob, KeptFlow
from app.planning.room import Room
from app.planning.schedule import Case, find_shortage
from tests.amounts import amount
from tests.planning.old_plan.flow import largest_flow
from tests.planning.test_schedule_random import bench

STEP, MOST = timedelta(minutes=5), 2000


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
    """Beside batches that fit, which change from one question to the next."""
    seen = Counter()
    for seed in _seeds(chunk):
        draw, (_, batches, shifts, points) = Random(seed), bench(seed)
        room = Room.of(Case.of((), shifts, points))
        for _ in range(2):
            more, placed = draw.sample(batches, min(draw.randint(1, 3), len(batches))), []
            for batch in draw.sample(batches, len(batches)):
                if batch not in more and not find_shortage(Case.of([*placed, batch], shifts, points)):
                    placed.append(batch)

            def is_short(steps, more=more, placed=placed, shifts=shifts, points=points):
                later = [replace(one, ready_by=one.ready_by.astimezone(UTC) + steps * STEP) for one in more]
                return find_shortage(Case.of([*placed, *later], shifts, points)) is not None

            steps = room.steps_for(more, placed, STEP.seconds, MOST)
            assert is_short(MOST if steps is None else steps) == (steps is None), seed
            assert not steps or is_short(steps - 1), seed
            seen["never" if steps is None else "later" if steps else "now"] += 1
    assert min(seen["now"], seen["later"], seen["never"]) > 1


def test_work_for_hands_only_is_not_limited_by_points():
    case = Case.of(*bench(0)[1:])
    flow = KeptFlow.empty(case.bench)
    begin, end = int(case.bench.starts[0]), int(case.bench.ends[-1])
    all_hands = int(((case.bench.ends - case.bench.starts) * case.bench.hands).sum())
    assert flow.add("all", FlowJob(HANDS_ONLY, begin, end, all_hands)) == 0
    assert flow.add("more", FlowJob(HANDS_ONLY, begin, end, 1)) == 1
    assert {*flow.met} == {"all", "more"}
