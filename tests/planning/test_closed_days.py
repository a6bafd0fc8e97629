"""Closed days, once and in every year: against each date of several years, counted apart."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.planning.closed_days import ClosedDays, in_year
from app.planning.opening import Opening
from app.planning.roster import Roster, ShiftHours

WINTER = ClosedDays(date(2026, 12, 24), date(2027, 1, 1), "Winter", yearly=True)
LEAP = ClosedDays(date(2028, 2, 29), date(2028, 2, 29), "Leap day", yearly=True)
LONDON = ZoneInfo("Europe/London")
WEEK = {day: (time(9), time(17)) for day in range(7)}


def _covered(days, first, last):
    every = (first + timedelta(days=number) for number in range((last - first).days + 1))
    return [day for day in every if days.covers(day)]


def test_a_range_covers_its_days_and_no_others():
    once = replace(WINTER, yearly=False)
    covered = _covered(once, date(2026, 1, 1), date(2029, 1, 31))
    assert covered == [date(2026, 12, 24) + timedelta(days=number) for number in range(9)]
    assert once.days == 9


def test_every_year_goes_on_over_new_year_and_does_not_begin_before_its_first():
    covered = _covered(WINTER, date(2025, 1, 1), date(2029, 1, 31))
    starts = [date(year, 12, 24) for year in (2026, 2027, 2028)]
    assert covered == [start + timedelta(days=number) for start in starts for number in range(9)]


def test_29_february_is_28_february_where_there_is_none():
    covered = _covered(LEAP, date(2027, 1, 1), date(2032, 12, 31))
    assert covered == [
        date(2028, 2, 29),
        date(2029, 2, 28),
        date(2030, 2, 28),
        date(2031, 2, 28),
        date(2032, 2, 29),
    ]
    until_leap = replace(LEAP, first=date(2028, 2, 27))
    assert _covered(until_leap, date(2029, 1, 1), date(2029, 12, 31)) == [date(2029, 2, 27), date(2029, 2, 28)]


@pytest.mark.parametrize(("year", "day"), [(2028, 29), (2029, 28), (2100, 28)])
def test_a_date_of_another_year(year, day):
    assert in_year(date(2024, 2, 29), year) == date(year, 2, day)


def test_the_shop_is_closed_on_them_and_a_date_with_hours_of_its_own_is_not():
    christmas, boxing = date(2027, 12, 25), date(2027, 12, 26)
    opening = Opening(LONDON, WEEK, {boxing: (time(10), time(12))}, (WINTER,))
    assert opening.hours(christmas) is None
    assert opening.closed_for(christmas) == WINTER
    assert opening.hours(boxing) == (time(10), time(12))
    assert opening.closed_for(boxing) is None
    assert opening.first_open(datetime(2027, 12, 27, tzinfo=UTC)) == datetime(2028, 1, 2, 9, tzinfo=UTC)


def test_nobody_works_on_them_unless_the_date_has_a_shift():
    opening = Opening(LONDON, WEEK, {}, (WINTER,))
    shift = (ShiftHours(time(9), time(12), 2),)
    roster = Roster(opening, dict.fromkeys(range(7), shift), {date(2026, 12, 31): shift})
    assert roster.shift_hours_on(date(2026, 12, 23)) == shift
    assert roster.shift_hours_on(date(2026, 12, 24)) == ()
    assert roster.shift_hours_on(date(2026, 12, 31)) == shift
