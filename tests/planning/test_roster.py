"""Who is at the bench when."""

from datetime import date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as some

from app.planning.opening import Opening
from app.planning.roster import Roster, ShiftHours, minutes_in_day, with_staff
from app.planning.schedule import Shift
from tests.planning.shops import BERLIN, EVERY_DAY, HOUR, berlin, daily, many

DAY = 24 * 60
QUARTERS = some.integers(0, 95).map(lambda quarter: quarter * 15)
SATURDAY = date(2026, 7, 11)
MORNING, LONG = ShiftHours(time(8), time(12), 2), ShiftHours(time(10), time(18), 1)


def _shifts(roster, day=SATURDAY, days=1):
    first = berlin(day.year, day.month, day.day, 7)
    return roster.shifts(first, first + timedelta(days=days - 1))


def test_a_weekday_without_shifts_has_one_hand_while_the_shop_is_open():
    assert _shifts(Roster(daily())) == [Shift(berlin(2026, 7, 11, 8), berlin(2026, 7, 11, 18), 1)]


def test_a_weekday_has_its_own_shifts():
    roster = Roster(daily(), {5: (MORNING, LONG)})
    assert [(shift.hands, shift.end - shift.start) for shift in _shifts(roster)] == [(2, 4 * HOUR), (1, 8 * HOUR)]
    assert [shift.hands for shift in _shifts(roster, days=2)] == [2, 1, 1]


def test_a_date_stands_in_place_of_its_weekday():
    ill = ShiftHours(time(9), time(12), 1)
    roster = Roster(daily(), {5: (MORNING, LONG)}, {SATURDAY: (ill,)})
    assert _shifts(roster) == [Shift(berlin(2026, 7, 11, 9), berlin(2026, 7, 11, 12), 1)]


def test_a_date_with_no_turns_has_nobody():
    assert _shifts(Roster(daily(), {5: (MORNING,)}, {SATURDAY: ()})) == []


def test_a_shift_over_a_change_of_the_clocks_has_the_hours_that_pass():
    """On 29 March 2026 the clocks of Berlin jump from two to three (IANA time zone database)."""
    night = Roster(daily(), {6: (ShiftHours(time(1), time(5), 1),)})
    assert night.zone is BERLIN
    (shift,) = _shifts(night, date(2026, 3, 29))
    assert shift.end - shift.start == 3 * HOUR


LONDON, NEW_YORK, CAIRO = (ZoneInfo(name) for name in ("Europe/London", "America/New_York", "Africa/Cairo"))


@pytest.mark.parametrize(
    ("zone", "day", "start", "end", "minutes"),
    [
        (LONDON, date(2026, 3, 29), time(1), time(4), 120),
        (LONDON, date(2026, 3, 29), time(1, 15), time(1, 45), 0),
        (LONDON, date(2026, 3, 29), time(1), time(2), 0),
        (LONDON, date(2026, 3, 29), time(0, 30), time(1, 30), 30),
        (LONDON, date(2026, 3, 28), time(22), time(1, 30), 180),
        (NEW_YORK, date(2026, 3, 8), time(2, 30), time(3, 30), 30),
        (CAIRO, date(2026, 4, 24), time(0, 15), time(0, 45), 0),
        (CAIRO, date(2026, 4, 23), time(23), time(0, 30), 60),
        (LONDON, date(2026, 10, 25), time(1), time(2), 120),
        (LONDON, date(2026, 10, 25), time(1, 15), time(1, 45), 30),
        (NEW_YORK, date(2026, 11, 1), time(0), time(0), 25 * 60),
        (CAIRO, date(2026, 10, 29), time(22), time(0), 180),
    ],
)
def test_a_shift_lasts_as_long_as_it_really_is(zone, day, start, end, minutes):
    """Clock changes of the IANA time zone database. Of times that are shown twice, the first counts."""
    shift, opening = ShiftHours(start, end, 1), daily(zone)
    roster = Roster(opening, {}, {day: (shift,), day + timedelta(days=1): ()})
    assert roster.length(day, shift) == timedelta(minutes=minutes)
    noon = datetime.combine(day, time(12), tzinfo=zone)
    found = [one.end - one.start for one in roster.shifts(noon, noon)]
    assert sum(found, timedelta()) == timedelta(minutes=minutes)


def test_the_shift_of_the_evening_before_goes_on_after_midnight():
    night = Roster(daily(), {4: (ShiftHours(time(18), time(2), 2),)})
    assert _shifts(night)[0] == Shift(berlin(2026, 7, 10, 18), berlin(2026, 7, 11, 2), 2)
    assert _shifts(night, date(2026, 7, 12)) == [Shift(berlin(2026, 7, 12, 8), berlin(2026, 7, 12, 18), 1)]


def test_one_person_works_once_where_two_days_overlap():
    """Friday is open until Saturday at ten; Saturday opens at eight."""
    opening = Opening(BERLIN, EVERY_DAY | {4: (time(18), time(10))})
    friday, saturday = _shifts(Roster(opening))
    assert (friday.end, saturday.start) == (berlin(2026, 7, 11, 10), berlin(2026, 7, 11, 10))


@pytest.mark.parametrize(
    ("typed", "shifts", "meant"),
    [
        ((30, 120), [(18 * 60, 26 * 60)], (DAY + 30, DAY + 120)),
        ((20 * 60, DAY), [(18 * 60, 26 * 60)], (20 * 60, DAY)),
        ((3 * 60, 4 * 60), [(18 * 60, 26 * 60)], (3 * 60, 4 * 60)),
        ((30, 120), [(8 * 60, 18 * 60)], (30, 120)),
        ((30, 120), [], (30, 120)),
    ],
)
def test_half_past_midnight_of_an_evening_is_on_the_next_date(typed, shifts, meant):
    assert minutes_in_day(*typed, [ShiftHours.from_minutes(*one, 1) for one in shifts]) == meant


def _hands_at(turns, at):
    return sum(turn.staff for turn in turns if turn.minutes[0] <= at < turn.minutes[1])


@many
@given(
    some.lists(some.tuples(QUARTERS, QUARTERS, some.integers(0, 3)), max_size=4),
    QUARTERS,
    QUARTERS,
    some.integers(-2, 2),
)
def test_hands_more_or_fewer_count_exactly_then_and_only_then(drawn, one, other, by):
    """Also where a shift, or the change, passes midnight: a second time that is not later is on the next day."""
    turns = [ShiftHours.from_minutes(a, b if b > a else b + DAY, hands) for a, b, hands in drawn]
    start, end = one, other if other > one else other + DAY
    changed = with_staff(turns, start, end, by)
    for at in range(0, 2 * DAY, 15):
        wanted = _hands_at(turns, at) + (by if start <= at < end else 0)
        assert _hands_at(changed, at) == max(wanted, 0)
    assert all(one.minutes[1] <= other.minutes[0] for one, other in pairwise(changed))
    assert all(ShiftHours.from_minutes(*turn.minutes, turn.staff) == turn for turn in changed)


def test_when_the_only_hand_is_ill_nobody_is_there():
    assert with_staff([ShiftHours(time(8), time(18), 1)], 8 * 60, 18 * 60, -1) == [ShiftHours(time(8), time(18), 0)]
    assert with_staff([], 7 * 60, 9 * 60, 1) == [ShiftHours(time(7), time(9), 1)]
