"""Opening hours against a scan of the local clock, minute by minute."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.planning.closed_days import ClosedDays
from app.planning.opening import MOST_KEPT, SEARCH_DAYS, Opening
from app.planning.shoptime import day_bounds, local_day
from tests.planning.shops import BERLIN, DAY, EVERY_DAY, HOUR, MINUTE, berlin, daily, many, open_minutes, stated

ZONES = ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Tokyo"]


def _scan_back(opening: Opening, deadline: datetime, minutes: int) -> datetime | None:
    """The latest start in one stretch of open minutes; else where so many open minutes are collected."""
    last_day = _owner(opening, deadline) - (SEARCH_DAYS - 1) * DAY
    first, _ = day_bounds(last_day, opening.zone)
    not_searched = (_begins(opening, last_day) - first) // MINUTE
    scanned = bytes(not_searched) + open_minutes(opening, first, deadline)[not_searched:]
    in_a_row = scanned.rfind(b"\1" * minutes)
    if in_a_row >= 0:
        return first + in_a_row * MINUTE
    collected = [minute for minute, is_open in enumerate(scanned) if is_open][-minutes:]
    return first + collected[0] * MINUTE if len(collected) == minutes else None


def _scan_on(opening: Opening, earliest: datetime, minutes: int) -> datetime | None:
    """When so many open minutes have passed."""
    first, _ = day_bounds(local_day(earliest, opening.zone), opening.zone)
    end = _begins(opening, _owner(opening, earliest) + SEARCH_DAYS * DAY)
    scanned = open_minutes(opening, first, end)
    passed = (earliest - first) // MINUTE
    collected = [minute for minute, is_open in enumerate(scanned) if is_open and minute >= passed]
    return first + (collected[minutes - 1] + 1) * MINUTE if len(collected) >= minutes else None


def _begins(opening: Opening, day: date) -> datetime:
    """When a day of the shop begins, as `zoneinfo` has it: at midnight, or when the evening before has closed."""
    before = stated(opening, day - DAY)
    at = before[1] if before and before[1] <= before[0] else time()
    return datetime.combine(day, at, tzinfo=opening.zone).astimezone(UTC)


def _owner(opening: Opening, moment: datetime) -> date:
    """The day of the shop to which a moment belongs."""
    day = moment.astimezone(opening.zone).date()
    return day if moment >= _begins(opening, day) else day - DAY


def _open(opening: Opening, moment: datetime) -> bool:
    first, end = day_bounds(local_day(moment, opening.zone), opening.zone)
    return bool(open_minutes(opening, first, end)[(moment - first) // MINUTE])


_after_four = st.integers(4 * 60, 24 * 60 - 1).map(lambda minute: time(minute // 60, minute % 60))
_after_midnight = st.integers(0, 59).map(lambda minute: time(0, minute))
_hours = st.tuples(_after_four, _after_four | _after_midnight)
_dates = st.integers(0, 364).map(lambda n: date(2026, 1, 1) + timedelta(days=n))


@st.composite
def _openings(draw) -> tuple[Opening, datetime]:
    """A random week with exceptions near a random moment of 2026; hours clear of the hour that changes. A closing
    time that is not after the opening time is on the next date."""
    day = draw(_dates)
    near = st.integers(-9, 9).map(lambda n: day + timedelta(days=n))
    week = draw(st.dictionaries(st.integers(0, 6), _hours, max_size=7))
    exceptions = draw(st.dictionaries(near, st.none() | _hours, max_size=6))
    moment = datetime.combine(day, time(), tzinfo=UTC) + draw(st.integers(0, 1439)) * MINUTE
    return Opening(ZoneInfo(draw(st.sampled_from(ZONES))), week, exceptions), moment


_minutes = st.integers(1, 300) | st.integers(1, 3000)


@many
@given(_openings(), _minutes)
def test_the_latest_start_is_the_one_that_a_scan_backward_finds(shop, minutes):
    opening, deadline = shop
    assert opening.latest_start(deadline, minutes * MINUTE) == _scan_back(opening, deadline, minutes)


@many
@given(_openings(), _minutes)
def test_the_first_end_is_the_one_that_a_scan_forward_finds(shop, minutes):
    opening, earliest = shop
    assert opening.first_end(earliest, minutes * MINUTE) == _scan_on(opening, earliest, minutes)


@many
@given(_openings(), st.integers(0, 2 * 24 * 60))
def test_open_is_what_the_clock_on_the_wall_says(shop, minutes):
    opening, moment = shop
    at = moment + minutes * MINUTE
    assert opening.is_open(at) == _open(opening, at)


def test_a_shop_is_open_from_its_first_minute_and_closed_at_its_closing_hour():
    day = [daily().is_open(berlin(2026, 7, 11, *at)) for at in ((7, 59), (8, 0), (17, 59), (18, 0))]
    assert day == [False, True, True, False]


@many
@given(_openings(), _minutes)
def test_work_never_begins_while_the_shop_is_closed(shop, minutes):
    opening, deadline = shop
    start = opening.latest_start(deadline, minutes * MINUTE)
    assert start is None or (_open(opening, start) and start + minutes * MINUTE <= deadline)


@many
@given(_openings(), _minutes)
def test_what_starts_at_the_latest_start_ends_by_the_deadline(shop, minutes):
    opening, deadline = shop
    start = opening.latest_start(deadline, minutes * MINUTE)
    assert start is None or opening.first_end(start, minutes * MINUTE) <= deadline


@pytest.mark.parametrize(
    ("deadline", "minutes", "start"),
    [
        ((2026, 7, 11, 9), 30, (2026, 7, 11, 8, 30)),
        ((2026, 7, 11, 8, 30), 30, (2026, 7, 11, 8)),
        ((2026, 7, 11, 8, 29), 30, (2026, 7, 10, 17, 30)),
        ((2026, 7, 11, 6), 30, (2026, 7, 10, 17, 30)),
        ((2026, 7, 11, 23), 30, (2026, 7, 11, 17, 30)),
    ],
)
def test_what_does_not_fit_in_the_morning_is_done_the_evening_before(deadline, minutes, start):
    assert daily().latest_start(berlin(*deadline), minutes * MINUTE) == berlin(*start)


def test_work_longer_than_any_day_is_spread_over_several():
    """25 h by Wednesday noon: 4 h on Wednesday, 10 on Tuesday, 10 on Monday, the last on Sunday evening."""
    assert daily().latest_start(berlin(2026, 7, 8, 12), 25 * HOUR) == berlin(2026, 7, 5, 17)
    assert daily().first_end(berlin(2026, 7, 5, 17), 25 * HOUR) == berlin(2026, 7, 8, 12)


def test_a_whole_day_of_work_is_not_spread():
    assert daily().latest_start(berlin(2026, 7, 8, 12), 10 * HOUR) == berlin(2026, 7, 7, 8)


def test_a_holiday_is_passed_over_and_a_long_day_counts():
    holiday = {date(2026, 7, 10): None, date(2026, 7, 9): (time(6), time(22))}
    opening = Opening(BERLIN, EVERY_DAY, holiday)
    assert opening.latest_start(berlin(2026, 7, 11, 8), HOUR) == berlin(2026, 7, 9, 21)
    assert opening.latest_start(berlin(2026, 7, 11, 8), 16 * HOUR) == berlin(2026, 7, 9, 6)


def _closed(first: date, days: int) -> Opening:
    return Opening(BERLIN, EVERY_DAY, {first + timedelta(days=n): None for n in range(days)})


@pytest.mark.parametrize("search", [Opening.latest_start, Opening.first_end])
def test_a_shop_closed_for_two_months_has_no_answer(search):
    noon = berlin(2026, 7, 1, 12)
    assert search(Opening(BERLIN, {}), noon, MINUTE) is None
    assert search(_closed(date(2026, 5, 1), 123), noon, MINUTE) is None


def test_a_shop_closed_for_a_day_less_has_one():
    noon = berlin(2026, 7, 1, 12)
    closed = SEARCH_DAYS - 1
    first = date(2026, 7, 1) - timedelta(days=closed - 1)
    assert _closed(first, closed).latest_start(noon, HOUR) == berlin(2026, 5, 3, 17)
    assert _closed(date(2026, 7, 1), closed).first_end(noon, HOUR) == berlin(2026, 8, 29, 9)


@pytest.mark.parametrize(("day", "hours"), [((2026, 3, 29), 5), ((2026, 3, 28), 6), ((2026, 10, 25), 7)])
def test_a_night_shift_has_its_real_hours_when_the_clocks_change(day, hours):
    night = daily(BERLIN, time(0), time(6))
    end = berlin(*day, 6)
    assert night.span(date(*day)).length == hours * HOUR
    assert night.latest_start(end, hours * HOUR) == berlin(*day)
    assert night.first_end(berlin(*day), hours * HOUR) == end


def test_a_minute_more_than_the_short_night_holds_goes_to_the_night_before():
    night = daily(BERLIN, time(0), time(6))
    work = 5 * HOUR + MINUTE
    assert night.latest_start(berlin(2026, 3, 29, 6), work) == berlin(2026, 3, 28, 0, 59)


def test_hours_that_fall_into_a_jump_of_the_clocks_are_no_hours():
    assert daily(BERLIN, time(2), time(3)).span(date(2026, 3, 29)) is None
    assert not daily(BERLIN, time(2), time(3)).is_open(berlin(2026, 3, 29, 3))


@many
@given(_openings(), st.integers(0, 3 * 24 * 60), st.integers(1, 2000))
def test_a_day_of_the_shop_goes_on_until_it_closes(shop, minutes, more):
    opening, moment = shop
    at = moment + minutes * MINUTE
    day = opening.day_of(at)
    assert day == _owner(opening, at)
    assert opening.day_bounds(day) == (_begins(opening, day), _begins(opening, day + DAY))
    first, _ = day_bounds(local_day(at, opening.zone), opening.zone)
    passed = (at - first) // MINUTE
    scanned = open_minutes(opening, first, at + more * MINUTE)[passed:]
    assert opening.is_open_throughout(at, at + more * MINUTE) == (0 not in scanned)


LONDON, NEW_YORK, CAIRO = (ZoneInfo(name) for name in ("Europe/London", "America/New_York", "Africa/Cairo"))
NIGHTS = [
    (LONDON, date(2026, 3, 28), 7),
    (LONDON, date(2026, 10, 24), 9),
    (NEW_YORK, date(2026, 3, 7), 7),
    (NEW_YORK, date(2026, 10, 31), 9),
    (CAIRO, date(2026, 4, 23), 7),
    (CAIRO, date(2026, 10, 29), 9),
    (LONDON, date(2026, 7, 10), 8),
]
"""The zone, an evening, and the hours that really pass from 20:00 to 04:00. The clocks of Cairo change at
midnight."""


def _wall(zone: ZoneInfo, *parts: int) -> datetime:
    """A moment by the clocks of a zone, for times that they show once."""
    return datetime(*parts, tzinfo=zone).astimezone(UTC)


@pytest.mark.parametrize(("zone", "evening", "hours"), NIGHTS)
def test_an_evening_shop_is_open_for_the_hours_that_pass(zone, evening, hours):
    opening, next_day = daily(zone, time(20), time(4)), evening + DAY
    span = opening.span(evening)
    opens = _wall(zone, evening.year, evening.month, evening.day, 20)
    closes = _wall(zone, next_day.year, next_day.month, next_day.day, 4)
    assert (span.start, span.end, span.length) == (opens, closes, hours * HOUR)
    assert opening.latest_start(closes, hours * HOUR) == opens
    assert opening.first_end(opens, hours * HOUR) == closes
    for n in range(hours * 60):
        assert opening.day_of(opens + n * MINUTE) == evening
    assert opening.day_of(closes) == next_day


def test_work_over_midnight_is_one_stretch():
    evening = daily(closes=time(2), opens=time(18))
    assert evening.latest_start(berlin(2026, 7, 11, 1), 3 * HOUR) == berlin(2026, 7, 10, 22)
    assert evening.latest_start(berlin(2026, 7, 11, 1), 8 * HOUR) == berlin(2026, 7, 9, 18)
    assert evening.first_open(berlin(2026, 7, 11, 2)) == berlin(2026, 7, 11, 18)
    assert evening.first_open(berlin(2026, 7, 11, 1, 59)) == berlin(2026, 7, 11, 1, 59)


@pytest.mark.parametrize("at", [time(0), time(8)])
@pytest.mark.parametrize("zone", [LONDON, NEW_YORK, CAIRO])
def test_a_shop_that_never_closes_splits_no_work(at, zone):
    opening = daily(zone, at, at)
    deadline = _wall(zone, 2026, 11, 6, 12)
    assert opening.latest_start(deadline, 10 * DAY) == deadline - 10 * DAY
    assert opening.first_end(deadline - 10 * DAY, 10 * DAY) == deadline
    assert opening.is_open_throughout(deadline - 30 * DAY, deadline)


def test_a_day_that_opens_before_the_evening_has_closed_begins_when_it_has():
    early = Opening(BERLIN, EVERY_DAY | {4: (time(18), time(10))})
    assert early.minutes(date(2026, 7, 11)) == (10 * 60, 18 * 60)
    assert early.latest_start(berlin(2026, 7, 11, 12), 10 * HOUR) == berlin(2026, 7, 11, 2)
    covered = Opening(BERLIN, {4: (time(18), time(10)), 5: (time(8), time(9))})
    assert covered.span(date(2026, 7, 11)) is None


def test_a_closed_date_leaves_the_evening_before_alone():
    opening = Opening(BERLIN, dict.fromkeys(range(7), (time(18), time(2))), {date(2026, 7, 11): None})
    assert opening.is_open(berlin(2026, 7, 11, 1))
    assert not opening.is_open(berlin(2026, 7, 11, 19))
    assert opening.day_bounds(date(2026, 7, 11)) == (berlin(2026, 7, 11, 2), berlin(2026, 7, 12))


def test_the_next_turn_is_when_it_opens_or_closes():
    opening = daily()
    turns = [opening.next_turn(berlin(2026, 7, 11, *at)) for at in ((7, 59), (8, 0), (17, 59), (18, 0))]
    assert turns == [berlin(2026, 7, day, hour) for day, hour in ((11, 8), (11, 18), (11, 18), (12, 8))]
    assert Opening(BERLIN, {}).next_turn(berlin(2026, 7, 11, 8)) is None


@pytest.mark.parametrize(
    "change",
    [
        {"zone": ZoneInfo("America/New_York")},
        {"week": EVERY_DAY | {5: (time(6), time(7))}},
        {"exceptions": {date(2026, 7, 11): (time(9), time(10))}},
        {"closed": (ClosedDays(date(2026, 7, 11), date(2026, 7, 11), ""),)},
    ],
)
def test_other_hours_keep_no_days_of_the_ones_before(change):
    day, was = date(2026, 7, 11), Opening(BERLIN, EVERY_DAY)
    seen = was.span(day), was.day_bounds(day)
    now = replace(was, **change)
    assert now.span(day) != seen[0]
    assert (was.span(day), was.day_bounds(day)) == seen
    assert now == Opening(**{"zone": BERLIN, "week": EVERY_DAY, **change})


def test_more_days_than_are_kept_have_the_same_hours():
    opening, first = daily(), date(2026, 1, 1)
    days = [first + timedelta(days=place) for place in range(MOST_KEPT + 2)]
    assert [opening.span(day) for day in days] == [daily().span(day) for day in days]
    assert opening.span(first) == daily().span(first)
