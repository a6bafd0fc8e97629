"""This module is the rule by which backups stay: all of the last days, then one a week, then one a month."""

from collections.abc import Callable, Iterable
from datetime import date, datetime

DAYS = 7
WEEKS = 4
MONTHS = 12


def moments_to_keep(moments: Iterable[datetime]) -> set[datetime]:
    """Returns the moments whose backups stay.

    These are all of the last DAYS days, before them the last one of each of WEEKS weeks, and before those the last
    one of each of MONTHS months. Only days, weeks and months (of UTC) with a backup count. So a wrong clock or a
    closed shop removes nothing, and the newest always stays.
    """
    rest = sorted(moments, reverse=True)
    kept: set[datetime] = set()
    for most, period_of, all_of_it in ((DAYS, _day, True), (WEEKS, _week, False), (MONTHS, _month, False)):
        periods = _newest_periods(rest, period_of, most)
        for of_period in periods:
            kept |= set(of_period) if all_of_it else {of_period[0]}
        rest = rest[sum(map(len, periods)) :]
    return kept


def _newest_periods(
    newest_first: list[datetime], period_of: Callable[[datetime], date], most: int
) -> list[list[datetime]]:
    """Returns the moments of the newest periods that have any, newest first, at most so many periods."""
    periods: dict[date, list[datetime]] = {}
    for moment in newest_first:
        periods.setdefault(period_of(moment), []).append(moment)
    return list(periods.values())[:most]


def _day(moment: datetime) -> date:
    return moment.date()


def _week(moment: datetime) -> date:
    """Returns the Monday of the moment's week."""
    return date.fromordinal(moment.toordinal() - moment.weekday())


def _month(moment: datetime) -> date:
    return moment.date().replace(day=1)
