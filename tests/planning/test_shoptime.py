"""Local time and UTC, against the tz database walked forward, minute by minute.

The changes of 2026 are the tz database's (published by IANA); the tests read them through `zoneinfo`.
"""

from collections import defaultdict
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.planning.shoptime import (
    Fold,
    TimeShownTwice,
    TimeSkipped,
    day_bounds,
    local_day,
    minute_down,
    minute_up,
    opening_to_utc,
    step_up,
    to_utc,
)
from app.planning.window import Leg, chance_at_end, not_before
from tests.physics.kinds import latex
from tests.planning.shops import BERLIN, HOUR, MINUTE, berlin, many, owns

CHANGING = {
    "Europe/Berlin": (date(2026, 3, 29), date(2026, 10, 25)),
    "America/New_York": (date(2026, 3, 8), date(2026, 11, 1)),
    "America/St_Johns": (date(2026, 3, 8), date(2026, 11, 1)),
    "Australia/Lord_Howe": (date(2026, 10, 4), date(2026, 4, 5)),
    "Africa/Casablanca": (date(2026, 3, 22), date(2026, 2, 15)),
    "Asia/Beirut": (date(2026, 3, 29), date(2026, 10, 24)),
}
"""Zone: the day that is short, the day that is long."""

STEADY = "Asia/Tokyo"
ZONES = [*CHANGING, STEADY]
CHANGE_DAYS = [(name, day) for name, days in CHANGING.items() for day in days]
SKIPPED = [
    ("Europe/Berlin", (2026, 3, 29, 2, 30), (3, 30)),
    ("America/New_York", (2026, 3, 8, 2, 0), (3, 0)),
    ("America/St_Johns", (2026, 3, 8, 2, 59), (3, 59)),
    ("Australia/Lord_Howe", (2026, 10, 4, 2, 15), (2, 45)),
    ("Africa/Casablanca", (2026, 3, 22, 2, 1), (3, 1)),
    ("Asia/Beirut", (2026, 3, 29, 0, 0), (1, 0)),
]
TWICE = [
    ("Europe/Berlin", (2026, 10, 25, 2, 30), (0, 30), (1, 30)),
    ("America/New_York", (2026, 11, 1, 1, 0), (5, 0), (6, 0)),
    ("America/St_Johns", (2026, 11, 1, 1, 59), (4, 29), (5, 29)),
    ("Australia/Lord_Howe", (2026, 4, 5, 1, 45), (14, 45), (15, 15)),
    ("Africa/Casablanca", (2026, 2, 15, 2, 1), (1, 1), (2, 1)),
    ("Asia/Beirut", (2026, 10, 24, 23, 30), (20, 30), (21, 30)),
]
"""Zone, the local time shown twice, and both moments in UTC on that day or the day before."""


def _minutes_around(day: date) -> list[datetime]:
    """Every minute from a day and a half before noon UTC to as much after: the whole local day, anywhere."""
    noon = datetime.combine(day, time(12), tzinfo=UTC)
    return [noon + minute * MINUTE for minute in range(-36 * 60, 36 * 60)]


def _shown(zone: ZoneInfo, day: date) -> dict[datetime, list[datetime]]:
    """Local minute: the moments at which the clocks show it, found by walking forward in UTC."""
    shown = defaultdict(list)
    for moment in _minutes_around(day):
        shown[moment.astimezone(zone).replace(tzinfo=None, fold=0)].append(moment)
    return shown


def _minutes_of(day: date) -> list[datetime]:
    return [datetime.combine(day, time()) + minute * MINUTE for minute in range(24 * 60)]


@pytest.mark.parametrize(("name", "local", "after"), SKIPPED)
def test_a_time_that_the_clocks_jump_over_is_an_error_that_says_what_they_show(name, local, after):
    with pytest.raises(TimeSkipped) as error:
        to_utc(datetime(*local), ZoneInfo(name))
    assert error.value.after == datetime(*local[:3], *after)
    assert f"{datetime(*local):%H:%M}" in str(error.value)


@pytest.mark.parametrize(("name", "local", "first", "second"), TWICE)
def test_a_time_shown_twice_is_an_error_until_somebody_says_which(name, local, first, second):
    zone, shown = ZoneInfo(name), datetime(*local)
    with pytest.raises(TimeShownTwice):
        to_utc(shown, zone)
    moments = [to_utc(shown, zone, turn) for turn in (Fold.FIRST, Fold.SECOND)]
    assert [(at.hour, at.minute) for at in moments] == [first, second]
    assert [at.astimezone(zone).replace(tzinfo=None, fold=0) for at in moments] == [shown, shown]


@pytest.mark.parametrize(("name", "day"), [*CHANGE_DAYS, (STEADY, date(2026, 3, 29))])
def test_every_minute_of_a_change_day_comes_out_as_the_clocks_show_it(name, day):
    zone = ZoneInfo(name)
    shown = _shown(zone, day)
    for local in _minutes_of(day):
        moments = shown.get(local, [])
        if not moments:
            with pytest.raises(TimeSkipped):
                to_utc(local, zone, Fold.FIRST)
        elif len(moments) == 1:
            assert [to_utc(local, zone)] == moments
        else:
            with pytest.raises(TimeShownTwice):
                to_utc(local, zone)
            assert [to_utc(local, zone, turn) for turn in (Fold.FIRST, Fold.SECOND)] == moments


@many
@given(st.sampled_from(ZONES), st.integers(0, 3 * 365 * 24 * 60))
def test_any_minute_goes_to_the_shops_clock_and_back(name, minute):
    zone = ZoneInfo(name)
    moment = datetime(2025, 1, 1, tzinfo=UTC) + minute * MINUTE
    local = moment.astimezone(zone)
    turn = Fold.SECOND if local.fold else Fold.FIRST
    assert to_utc(local.replace(tzinfo=None, fold=0), zone, turn) == moment


def test_a_turn_changes_nothing_for_a_time_shown_once():
    noon = datetime(2026, 10, 25, 12)
    assert to_utc(noon, BERLIN, Fold.FIRST) == to_utc(noon, BERLIN, Fold.SECOND) == to_utc(noon, BERLIN)


def test_a_time_that_brings_its_zone_is_refused():
    with pytest.raises(ValueError, match="zone"):
        to_utc(datetime(2026, 7, 11, 12, tzinfo=UTC), BERLIN)


@pytest.mark.parametrize(("name", "days"), CHANGING.items())
def test_a_year_has_one_short_day_and_one_long_day(name, days):
    zone = ZoneInfo(name)
    change = HOUR / 2 if name == "Australia/Lord_Howe" else HOUR
    odd = {days[0]: 24 * HOUR - change, days[1]: 24 * HOUR + change}
    for day in (date(2026, 1, 1) + timedelta(days=n) for n in range(365)):
        start, end = day_bounds(day, zone)
        assert end - start == odd.get(day, 24 * HOUR)


@pytest.mark.parametrize("name", ZONES)
def test_days_follow_each_other_without_a_gap(name):
    zone = ZoneInfo(name)
    bounds = [day_bounds(date(2026, 1, 1) + timedelta(days=n), zone) for n in range(365)]
    assert all(left[1] == right[0] for left, right in pairwise(bounds))


@pytest.mark.parametrize(("name", "day"), [*CHANGE_DAYS, (STEADY, date(2026, 3, 29))])
def test_the_minutes_between_its_bounds_are_the_minutes_of_a_day(name, day):
    zone = ZoneInfo(name)
    start, end = day_bounds(day, zone)
    for moment in _minutes_around(day):
        assert (local_day(moment, zone) == day) == (start <= moment < end)


def test_a_door_in_a_skipped_hour_opens_when_the_hour_is_over():
    assert opening_to_utc(date(2026, 3, 29), time(2), BERLIN) == berlin(2026, 3, 29, 3)


@pytest.mark.parametrize(("name", "local", "_"), SKIPPED)
def test_a_door_in_the_middle_of_a_skipped_hour_opens_at_the_jump(name, local, _):
    """The jump is the first moment of that day, walked by `zoneinfo`, at which the clocks show a later time."""
    zone, skipped = ZoneInfo(name), datetime(*local)
    moments = _minutes_around(skipped.date())
    jump = next(at for at in moments if at.astimezone(zone).replace(tzinfo=None) >= skipped)
    assert opening_to_utc(skipped.date(), skipped.time(), zone) == jump


def test_a_door_at_a_time_shown_twice_opens_the_first_time():
    assert opening_to_utc(date(2026, 10, 25), time(2, 30), BERLIN) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_minutes_round_down_and_up():
    moment = datetime(2026, 7, 11, 14, 3, 59, 999_999, tzinfo=UTC)
    assert minute_down(moment) == datetime(2026, 7, 11, 14, 3, tzinfo=UTC)
    assert minute_up(moment) == datetime(2026, 7, 11, 14, 4, tzinfo=UTC)
    assert minute_up(minute_down(moment)) == minute_down(moment)


def _walk_to_step(moment: datetime, step: int, zone: ZoneInfo) -> datetime:
    at = moment.replace(second=0, microsecond=0)
    while at < moment or (at.astimezone(zone).hour * 60 + at.astimezone(zone).minute) % step:
        at += MINUTE
    return at


@pytest.mark.parametrize(("name", "day"), [*CHANGE_DAYS, (STEADY, date(2026, 3, 29))])
@pytest.mark.parametrize("step", [5, 15, 30])
def test_the_shops_step_is_met_on_the_local_clock(name, day, step):
    zone = ZoneInfo(name)
    start, end = day_bounds(day, zone)
    moment = start
    while moment < end:
        assert step_up(moment, step, zone) == _walk_to_step(moment, step, zone)
        moment += timedelta(minutes=3, seconds=7)


@pytest.mark.parametrize(
    ("name", "day"),
    [(name, day) for name, day in CHANGE_DAYS],
)
def test_the_full_hour_is_met_also_where_the_clocks_change_by_half_of_one(name, day):
    zone = ZoneInfo(name)
    start, end = day_bounds(day, zone)
    moment = start
    while moment < end:
        assert step_up(moment, 60, zone) == _walk_to_step(moment, 60, zone)
        moment += timedelta(minutes=7)


@pytest.mark.parametrize(
    ("day", "hours", "start"),
    [((2026, 10, 25), 14, "18:04"), ((2026, 10, 24), 13, "17:04"), ((2026, 3, 29), 12, "16:04")],
)
def test_a_night_with_a_clock_change_counts_its_real_hours(day, hours, start):
    """From 14:00 to 03:00 are 13 hours by the clocks; 9 h 56 min is what 95 % leaves an 11-inch balloon."""
    end = berlin(*day, 3)
    legs, eleven = [Leg(end, 1.0)], owns(latex(11))
    filled = berlin(day[0], day[1], day[2] - 1, 14)
    assert chance_at_end(filled, legs, eleven) == eleven.chance([(hours, 1.0)])
    assert f"{not_before(legs, eleven, 0.95).astimezone(BERLIN):%H:%M}" == start
