"""Who is at the bench when."""

from datetime import date, time, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as some

from app.planning.roster import Roster, ShiftHours, with_staff
from app.planning.schedule import Shift
from tests.planning.shops import BERLIN, HOUR, berlin, daily, many

QUARTERS = some.integers(0, 95).map(lambda quarter: time(*divmod(quarter * 15, 60)))
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


def _hands_at(turns, at):
    return sum(turn.staff for turn in turns if turn.start <= at < turn.end)


@many
@given(
    some.lists(some.tuples(QUARTERS, QUARTERS, some.integers(0, 3)), max_size=4),
    QUARTERS,
    QUARTERS,
    some.integers(-2, 2),
)
def test_hands_more_or_fewer_count_exactly_then_and_only_then(drawn, one, other, by):
    turns = [ShiftHours(min(a, b), max(a, b), hands) for a, b, hands in drawn if a != b]
    start, end = min(one, other), max(one, other)
    changed = with_staff(turns, start, end, by)
    for minute in range(0, 24 * 60, 15):
        at = time(*divmod(minute, 60))
        wanted = _hands_at(turns, at) + (by if start <= at < end else 0)
        assert _hands_at(changed, at) == max(wanted, 0)
    assert all(turn.start < turn.end or start == end for turn in changed)
    assert all(one.end <= other.start for one, other in pairwise(changed))


def test_when_the_only_hand_is_ill_nobody_is_there():
    assert with_staff([ShiftHours(time(8), time(18), 1)], time(8), time(18), -1) == [
        ShiftHours(time(8), time(18), 0)
    ]
    assert with_staff([], time(7), time(9), 1) == [ShiftHours(time(7), time(9), 1)]
