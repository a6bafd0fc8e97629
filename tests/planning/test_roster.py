"""Who is at the bench when."""

from datetime import date, time, timedelta

from app.planning.roster import Roster, Turn
from app.planning.schedule import Shift
from tests.planning.shops import BERLIN, HOUR, berlin, daily

SATURDAY = date(2026, 7, 11)
MORNING, LONG = Turn(time(8), time(12), 2), Turn(time(10), time(18), 1)


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
    ill = Turn(time(9), time(12), 1)
    roster = Roster(daily(), {5: (MORNING, LONG)}, {SATURDAY: (ill,)})
    assert _shifts(roster) == [Shift(berlin(2026, 7, 11, 9), berlin(2026, 7, 11, 12), 1)]


def test_a_date_with_no_turns_has_nobody():
    assert _shifts(Roster(daily(), {5: (MORNING,)}, {SATURDAY: ()})) == []


def test_a_shift_over_a_change_of_the_clocks_has_the_hours_that_pass():
    """On 29 March 2026 the clocks of Berlin jump from two to three (IANA time zone database)."""
    night = Roster(daily(), {6: (Turn(time(1), time(5), 1),)})
    assert night.zone is BERLIN
    (shift,) = _shifts(night, date(2026, 3, 29))
    assert shift.end - shift.start == 3 * HOUR
