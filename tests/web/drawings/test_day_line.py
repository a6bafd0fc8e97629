"""The time line of a day's pick-ups: every sign at its hour, none over another."""

from datetime import UTC, datetime, timedelta
from itertools import combinations, pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.web.drawings.day_line import MIDDLE, MOST_ROWS, NARROW, SIGN, WIDE, LineEntry, layout_day_line
from app.web.formats import Formats

FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
MIDNIGHT = datetime(2026, 11, 21, tzinfo=UTC)


def _at(hours):
    return MIDNIGHT + timedelta(hours=hours)


def _entries(*hours):
    return [LineEntry(_at(hour), str(1001 + place), "ready") for place, hour in enumerate(hours)]


def _line(entries, now=None, width=WIDE):
    return layout_day_line(entries, now and _at(now), FORMATS, width)


def test_a_day_without_pick_ups_has_no_line():
    assert _line([], now=12) is None


def test_signs_stand_in_the_order_of_their_hours_and_now_between_them():
    line = _line(_entries(9, 14.5, 11), now=12)
    assert [mark.entry.label for mark in line.marks] == ["1001", "1003", "1002"]
    first, second, third = (mark.x for mark in line.marks)
    assert first < second < line.now < third
    assert (second - first) / (third - first) == pytest.approx(2 / 5.5, abs=0.01)


def test_another_day_has_no_now():
    assert _line(_entries(9, 14)).now is None


@pytest.mark.parametrize("width", [WIDE, MIDDLE, NARROW])
def test_written_hours_have_room(width):
    line = _line(_entries(*range(6, 24)), width=width)
    written = [hour.x for hour in line.hours if hour.text]
    assert len(written) >= 3
    assert all(right - left >= 50 for left, right in pairwise(written))


@given(st.lists(st.floats(0, 23.9), min_size=1, max_size=60), st.sampled_from([WIDE, MIDDLE, NARROW]))
def test_no_sign_covers_another_one_and_all_are_within_the_picture(hours, width):
    line = _line(_entries(*hours), width=width)
    assert len(line.marks) == len(hours)
    room = max(SIGN + 8 * len(mark.entry.label) for mark in line.marks)
    for one, other in combinations(line.marks, 2):
        assert one.y != other.y or abs(one.x - other.x) >= room
    assert all(mark.x + room <= width and mark.y + line.row <= line.height for mark in line.marks)
    if any(mark.entry.label for mark in line.marks):
        assert line.row >= 44
        assert len({mark.y for mark in line.marks}) <= MOST_ROWS
