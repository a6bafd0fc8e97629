"""What waits in the holding area, against a count of every minute."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.planning.holding_area import (
    RoomTaken,
    Stay,
    fullest,
    hour_by_hour,
    overfull_times,
    room_of,
    room_over_time,
)
from tests.amounts import amount

FIRST = datetime(2026, 11, 21, 7, tzinfo=UTC)
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
DAY = 10 * 60


def at(minute):
    return FIRST + minute * MINUTE


@st.composite
def stays(draw):
    """Rooms in quarters, so that a count by the minute adds up without a trace."""
    start = draw(st.integers(-120, DAY + 60))
    return Stay(at(start), at(start + draw(st.integers(0, 300))), draw(st.integers(1, 200)) / 4)


def by_the_minute(found):
    return [sum(one.room for one in found if one.start <= at(m) < one.end) for m in range(DAY)]


many = st.lists(stays(), max_size=12)


@settings(max_examples=amount(30, deep=60), deadline=None)
@given(many)
def test_each_hour_has_the_most_of_its_minutes(found):
    minutes = by_the_minute(found)
    hours = hour_by_hour(found, FIRST, at(DAY))
    assert [hour.room for hour in hours] == [max(minutes[m : m + 60]) for m in range(0, DAY, 60)]
    assert [hour.start for hour in hours] == [at(m) for m in range(0, DAY, 60)]


@settings(max_examples=amount(30, deep=60), deadline=None)
@given(many)
def test_the_fullest_is_the_first_longest_stretch_of_the_fullest_minutes(found):
    minutes = by_the_minute(found)
    first = minutes.index(max(minutes))
    rest = [m for m in range(first, DAY) if minutes[m] < max(minutes)]
    assert fullest(found, FIRST, at(DAY)) == RoomTaken(at(first), at(rest[0] if rest else DAY), max(minutes))


@settings(max_examples=amount(30, deep=60), deadline=None)
@given(many, st.integers(0, 200))
def test_overfull_is_each_run_of_minutes_above_the_room(found, room):
    minutes, runs = by_the_minute(found), []
    for m, waits in enumerate(minutes):
        if waits <= room:
            continue
        if runs and runs[-1][1] == m:
            runs[-1] = (runs[-1][0], m + 1, max(runs[-1][2], waits))
        else:
            runs.append((m, m + 1, waits))
    told = [RoomTaken(at(start), at(end), most) for start, end, most in runs]
    assert overfull_times(found, FIRST, at(DAY), room) == told


@settings(max_examples=amount(30, deep=60), deadline=None)
@given(many)
def test_the_stretches_have_no_gap_and_keep_all_balloon_hours(found):
    cut = room_over_time(found, FIRST, at(DAY))
    assert (cut[0].start, cut[-1].end) == (FIRST, at(DAY))
    assert all(left.end == right.start for left, right in pairwise(cut))
    spent = sum(one.room * ((one.end - one.start) / MINUTE) for one in cut)
    assert spent == pytest.approx(sum(by_the_minute(found)))


def test_one_that_leaves_makes_room_for_one_that_comes_in_that_moment():
    found = [Stay(at(0), at(60), 100), Stay(at(60), at(120), 100)]
    assert fullest(found, FIRST, at(DAY)) == RoomTaken(at(0), at(120), 100)
    assert overfull_times(found, FIRST, at(DAY), 100) == []


def test_hours_that_begin_between_two_hours_and_end_short():
    hours = hour_by_hour([Stay(at(70), at(90), 24)], at(30), at(100))
    assert hours == [RoomTaken(at(30), at(90), 24), RoomTaken(at(90), at(100), 0)]


def test_many_of_a_size_that_is_no_round_share_leave_no_trace():
    """Sums of (9/11)² err in their last digit; the room must not."""
    nine = room_of(7, 9)
    found = [Stay(at(3 * n), at(400 - n), nine) for n in range(40)]
    assert room_over_time(found, FIRST, at(DAY))[-1].room == 0
    elevens = [Stay(at(n), at(300), room_of(16, 11)) for n in range(10)]
    assert overfull_times(elevens, FIRST, at(DAY), 160) == []


def test_no_time_is_no_stretch():
    assert fullest([Stay(at(0), at(60), 1)], at(30), at(30)) is None
    assert hour_by_hour([], at(30), at(30)) == []


def test_room_grows_with_the_square_of_the_size():
    """Common practice, no source: balloons stand beside one another, one layer deep."""
    assert room_of(24, 11) == 24
    assert room_of(1, 22) == 4
    assert room_of(10, 5.5) == 2.5
