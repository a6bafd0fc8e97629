"""Daylight by the shop's clock, against a look at the clock every minute. The hours are from memory; settings."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.planning.daylight import Daylight
from tests.planning.shops import BERLIN, HOUR, MINUTE, berlin, many

DAYLIGHT = Daylight(BERLIN)
ZONES = ("Europe/Berlin", "America/New_York", "Pacific/Auckland", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC")


def _hours(start, end, daylight=DAYLIGHT):
    """(whether it is day, hours) of each stretch."""
    at, found = start, []
    for stretch_end, is_day in daylight.split(start, end):
        found.append((is_day, (stretch_end - at) / HOUR))
        at = stretch_end
    assert at == end
    return found


@pytest.mark.parametrize(
    ("start", "end", "stretches"),
    [
        (berlin(2026, 7, 11, 10), berlin(2026, 7, 11, 18), [(True, 8.0)]),
        (berlin(2026, 7, 11, 10), berlin(2026, 7, 11, 23), [(True, 10.0), (False, 3.0)]),
        (berlin(2026, 7, 11, 21), berlin(2026, 7, 12, 2), [(False, 5.0)]),
        (berlin(2026, 7, 11, 5), berlin(2026, 7, 12, 8), [(False, 2.0), (True, 13.0), (False, 11.0), (True, 1.0)]),
        (berlin(2026, 7, 11, 7), berlin(2026, 7, 11, 20), [(True, 13.0)]),
        (berlin(2026, 7, 11, 20), berlin(2026, 7, 12, 7), [(False, 11.0)]),
        (berlin(2026, 7, 11, 19, 59), berlin(2026, 7, 11, 20, 1), [(True, 1 / 60), (False, 1 / 60)]),
    ],
)
def test_days_and_nights_take_turns(start, end, stretches):
    assert _hours(start, end) == [(is_day, pytest.approx(hours)) for is_day, hours in stretches]


@pytest.mark.parametrize(("day", "night"), [((2026, 3, 28), 10.0), ((2026, 10, 24), 12.0), ((2026, 7, 11), 11.0)])
def test_the_night_is_shorter_or_longer_when_the_clocks_change(day, night):
    """Berlin goes from 02:00 to 03:00 on 29 March 2026, and back from 03:00 to 02:00 on 25 October."""
    noon = berlin(*day, 12)
    after = berlin(*day[:2], day[2] + 1, 12)
    assert _hours(noon, after) == [(True, 8.0), (False, night), (True, 5.0)]


@pytest.mark.parametrize(("day", "night"), [((2026, 3, 29), 2.0), ((2026, 10, 25), 2.5)])
def test_a_day_that_begins_in_the_hour_that_changes_begins_once(day, night):
    """In the hour that is skipped it begins as the clocks jump; in the hour that is shown twice, the first time."""
    early = Daylight(BERLIN, time(2, 30), time(20))
    midnight = datetime(*day, tzinfo=BERLIN).astimezone(UTC)
    ((_, dark), (is_day, _)) = _hours(midnight, midnight + 6 * HOUR, early)
    assert (is_day, dark) == (True, night)


@many
@given(
    st.sampled_from(ZONES),
    st.sampled_from([(2026, 3, 27), (2026, 10, 3), (2026, 10, 23), (2026, 11, 1), (2026, 4, 3), (2026, 7, 1)]),
    st.integers(0, 3 * 24 * 60),
    st.integers(1, 2 * 24 * 60),
)
def test_each_minute_is_lit_as_its_clock_says(zone, day, begins, lasts):
    daylight = Daylight(ZoneInfo(zone))
    start = datetime(*day, tzinfo=UTC) + begins * MINUTE
    end = start + lasts * MINUTE
    walls = ((start + n * MINUTE).astimezone(daylight.zone).time() for n in range(lasts))
    lit = sum(time(7) <= wall < time(20) for wall in walls)
    stretches = list(daylight.split(start, end))
    ends = [stretch_end for stretch_end, _ in stretches]
    assert ends == sorted(set(ends))
    assert [is_day for _, is_day in stretches[1:]] == [not is_day for _, is_day in stretches[:-1]]
    assert sum(hours for is_day, hours in _hours(start, end, daylight) if is_day) == pytest.approx(lit / 60)


@pytest.mark.parametrize("after", [timedelta(), -HOUR])
def test_no_time_at_all_is_neither(after):
    noon = berlin(2026, 7, 11, 12)
    assert list(DAYLIGHT.split(noon, noon + after)) == []
