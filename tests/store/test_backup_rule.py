"""Which backups stay: all of the last seven days, then one of each of four weeks, then of each of twelve months."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from app.store.backup_rule import moments_to_keep

FIRST = datetime(2026, 1, 1, 18, 30, tzinfo=UTC)
DAY = timedelta(days=1)
MOMENTS = st.lists(st.datetimes(datetime(2020, 1, 1), datetime(2030, 1, 1), timezones=st.just(UTC)), max_size=60)


def _after(days, per_day=1, skip=lambda moment: False):
    """What is there after so many days with backups, each day sorted out as it ends."""
    there = set()
    for day in range(days):
        for number in range(per_day):
            moment = FIRST + day * DAY + timedelta(hours=number)
            if not skip(moment):
                there.add(moment)
                there = moments_to_keep(there)
    return sorted(there, reverse=True)


def test_after_two_years_there_are_days_weeks_and_months():
    there = _after(730)
    newest = there[0]
    assert [newest - moment for moment in there[:7]] == [number * DAY for number in range(7)]
    weeks, months = there[7:11], there[11:]
    assert len({moment.isocalendar()[:2] for moment in weeks}) == 4
    assert all(moment.weekday() == 6 for moment in weeks[1:])
    assert len({(moment.year, moment.month) for moment in months}) == len(months) == 12
    assert all(later - earlier < 40 * DAY for later, earlier in pairwise(there))
    assert newest - there[-1] > 360 * DAY


def test_a_year_of_open_days_is_never_without_a_backup_of_each_of_its_periods():
    there = _after(365, skip=lambda moment: moment.weekday() == 6)
    newest = there[0]
    assert sum(newest - moment < 8 * DAY for moment in there) == 7
    assert there[-1] < FIRST + 31 * DAY


def test_all_of_the_last_seven_days_stay_however_many_a_day_has():
    there = _after(30, per_day=3)
    newest = max(there).date()
    recent = [moment for moment in there if newest - moment.date() < timedelta(days=7)]
    assert len(recent) == 21


def test_a_shop_that_was_closed_for_months_loses_none_for_that():
    before = _after(60)
    after = moments_to_keep([*before, before[0] + 200 * DAY])
    assert len(set(before) - after) <= 1


def test_a_clock_that_jumps_ahead_removes_no_more_than_a_day_does():
    before = _after(400)
    assert len(set(before) - moments_to_keep([*before, before[0] + 4000 * DAY])) <= 1


@given(MOMENTS)
def test_the_newest_stays_and_so_many_as_the_rule_says(moments):
    kept = moments_to_keep(moments)
    assert kept <= set(moments)
    assert not moments or max(moments) in kept
    assert len({moment.date() for moment in kept}) <= 7 + 4 + 12
    newest_days = sorted({moment.date() for moment in moments})[-7:]
    assert {moment for moment in moments if moment.date() in newest_days} <= kept


@given(MOMENTS)
def test_to_sort_out_twice_is_to_sort_out_once(moments):
    once = moments_to_keep(moments)
    assert moments_to_keep(once) == once
