"""The load of a day: minutes of work against minutes of staff. Worked by hand; no source."""

from dataclasses import dataclass
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.planning.day_load import DayLoad, load_between
from app.planning.schedule import Absence, Shift


def at(hour, minute=0):
    return datetime(2026, 11, 21, hour, minute, tzinfo=UTC)


@dataclass(frozen=True)
class Block:
    start: datetime
    end: datetime
    staff: int = 1


DAY = at(0), at(23)
MORNING = Shift(at(8), at(12), 2)
AFTERNOON = Shift(at(12), at(16), 1)


@pytest.mark.parametrize(
    ("blocks", "shifts", "absences", "load"),
    [
        ([], [], [], DayLoad(0, 0, 0)),
        ([], [MORNING, AFTERNOON], [], DayLoad(720, 0, 720)),
        ([Block(at(9), at(10))], [MORNING], [], DayLoad(480, 60, 420)),
        ([Block(at(9), at(10), 2)], [MORNING], [], DayLoad(480, 120, 360)),
        ([Block(at(9), at(10), 3)], [MORNING], [], DayLoad(480, 180, 360)),
        ([Block(at(11), at(13))], [MORNING, AFTERNOON], [], DayLoad(720, 120, 600)),
        ([], [MORNING], [Absence(at(10), at(14), 1, {})], DayLoad(360, 0, 360)),
        ([Block(at(10), at(11))], [MORNING], [Absence(at(10), at(11), 2, {})], DayLoad(360, 60, 360)),
        ([Block(at(20), at(21))], [MORNING], [], DayLoad(480, 60, 480)),
    ],
)
def test_load_counts_staff_who_are_there_and_work_that_is_planned(blocks, shifts, absences, load):
    assert load_between(blocks, shifts, absences, *DAY) == load


def test_only_what_lies_between_the_two_moments_counts():
    load = load_between([Block(at(8), at(16))], [MORNING, AFTERNOON], [], at(11), at(13))
    assert load == DayLoad(180, 120, 60)


@pytest.mark.parametrize(
    ("load", "share"),
    [
        (DayLoad(480, 120, 360), 0.25),
        (DayLoad(60, 90, 0), 1.5),
        (DayLoad(0, 0, 0), 0.0),
        (DayLoad(0, 5, 0), 1.0),
    ],
)
def test_the_share_is_what_is_planned_of_what_can_be_done(load, share):
    assert load.share == share


HOURS = st.tuples(st.integers(0, 22), st.integers(1, 23), st.integers(1, 3)).filter(lambda one: one[0] < one[1])


@given(st.lists(HOURS, max_size=4), st.lists(HOURS, max_size=3))
def test_two_halves_of_a_day_make_the_whole_and_free_time_is_what_work_leaves(works, shifts):
    blocks = [Block(at(start), at(end), staff) for start, end, staff in works]
    staff = [Shift(at(start), at(end), hands) for start, end, hands in shifts]
    whole = load_between(blocks, staff, [], *DAY)
    halves = [load_between(blocks, staff, [], *span) for span in ((at(0), at(12)), (at(12), at(23)))]
    for what in ("available", "planned", "free"):
        assert getattr(whole, what) == sum(getattr(half, what) for half in halves)
    assert max(whole.available - whole.planned, 0) <= whole.free <= whole.available
