"""Office: the dates of the review, the periods with which they are compared, and the steps of its pictures."""

from calendar import monthrange
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import Any

from flask import url_for

from app.planning.opening import Opening

DAY = timedelta(days=1)
YEAR_OF_WEEKS = timedelta(days=364)
MOST_SINGLE_DAYS = 14
MOST_STEPS = 110
"""A longer time has steps of several weeks."""


class PeriodSort(StrEnum):
    """What of the calendar a period is, whole or so far. DAYS: any other days."""

    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    YEAR = "year"
    DAYS = "days"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a picture: its first and last date."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Period:
    """The days from one date to another, both included."""

    first: date
    last: date
    opening: Opening

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1

    @property
    def bounds(self) -> tuple[datetime, datetime]:
        """The moments at which the shop's first day begins and its last one ends."""
        return self.opening.day_bounds(self.first)[0], self.opening.day_bounds(self.last)[1]

    @property
    def sort(self) -> PeriodSort:
        """What it is the whole of, or its beginning: the shortest if there are several."""
        first, last = self.first, self.last
        found = (
            (PeriodSort.DAY, first == last),
            (PeriodSort.WEEK, first.weekday() == 0 and self.days <= 7),
            (PeriodSort.MONTH, first.day == 1 and _month(first) == _month(last)),
            (PeriodSort.YEAR, (first.month, first.day) == (1, 1) and first.year == last.year),
        )
        return next((sort for sort, fits in found if fits), PeriodSort.DAYS)

    @property
    def is_so_far(self) -> bool:
        """Whether its week, month or year goes on after its last day."""
        following = self.last + DAY
        ends = {PeriodSort.WEEK: self.days == 7, PeriodSort.MONTH: following.day == 1}
        ends[PeriodSort.YEAR] = following.year > self.last.year
        return not ends.get(self.sort, True)

    @property
    def before(self) -> "Period":
        """The same days of the month or year before; else the same number of days, directly before or, of a week so
        far, a week before."""
        if self.sort is PeriodSort.YEAR:
            return self._months_earlier(12)
        if self.sort is PeriodSort.MONTH:
            return self._months_earlier(1)
        return self._earlier(7 * DAY if self.sort is PeriodSort.WEEK else self.days * DAY)

    @property
    def year_before(self) -> "Period":
        """The same dates of a month or year, else the same weekdays 52 weeks before."""
        if self.sort in (PeriodSort.MONTH, PeriodSort.YEAR):
            return self._months_earlier(12)
        return self._earlier(YEAR_OF_WEEKS)

    @property
    def compared(self) -> dict[str, "Period"]:
        """The periods with which it is compared, by name: the one before, and the one a year before unless that
        is the same."""
        found = {"before": self.before, "year_before": self.year_before}
        return {"year_before": self.year_before} if self.sort is PeriodSort.YEAR else found

    def _earlier(self, by: timedelta) -> "Period":
        return Period(self.first - by, self.last - by, self.opening)

    def _months_earlier(self, months: int) -> "Period":
        """Returns the same days so many months before. A whole month stays whole; a day that the month does not
        have is its last one."""
        first, end = _months_before(self.first, months), _months_before(self.last.replace(day=1), months)
        length = monthrange(end.year, end.month)[1]
        is_whole = (self.last + DAY).day == 1
        return Period(first, end.replace(day=length if is_whole else min(self.last.day, length)), self.opening)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The days, or else the weeks, counted from the first day."""
        return self.steps_of(self)

    def steps_of(self, other: "Period") -> tuple[Step, ...]:
        """Returns the steps of another period, as long as those of this one and at most as many: the last of them
        has all the rest."""
        most = -(-self.days // (self._length // DAY))
        starts = [other.first + place * self._length for place in range(most)]
        starts = [start for start in starts if start <= other.last]
        return tuple(Step(start, end - DAY) for start, end in pairwise([*starts, other.last + DAY]))

    @property
    def _length(self) -> timedelta:
        weeks = -(-self.days // (7 * MOST_STEPS))
        return DAY if self.days <= MOST_SINGLE_DAYS else 7 * weeks * DAY

    def step_bounds_of(self, other: "Period") -> tuple[datetime, ...]:
        """Returns the moment at which each step of another period begins, and that at which the last one ends."""
        return (*(self.opening.day_bounds(step.first)[0] for step in self.steps_of(other)), other.bounds[1])

    @property
    def arguments(self) -> dict[str, Any]:
        """What stands for it in an address."""
        return {"from": self.first, "to": self.last}


def _month(day: date) -> tuple[int, int]:
    return day.year, day.month


def _months_before(first: date, months: int) -> date:
    """Returns the first of a month so many months before."""
    year, month = divmod(first.year * 12 + first.month - 1 - months, 12)
    return date(year, month + 1, 1)


@dataclass(frozen=True, slots=True)
class Preset:
    """A usual period that ends today. is_shown: whether it is the one on the page."""

    name: PeriodSort
    address: str
    is_shown: bool


def presets_of(period: Period, today: date, endpoint: str) -> list[Preset]:
    """Returns the usual periods up to today, the last seven days being the first."""
    firsts = {
        PeriodSort.DAYS: today - 6 * DAY,
        PeriodSort.DAY: today,
        PeriodSort.WEEK: today - today.weekday() * DAY,
        PeriodSort.MONTH: today.replace(day=1),
        PeriodSort.YEAR: today.replace(month=1, day=1),
    }
    return [
        Preset(
            name,
            url_for(endpoint, **replace(period, first=first, last=today).arguments),
            (period.first, period.last, period.sort) == (first, today, name),
        )
        for name, first in firsts.items()
    ]


def whole_before(period: Period) -> Period:
    """Returns the whole period before: yesterday, the week, month or year before, or as many days."""
    if not period.is_so_far:
        return period.before
    ends = period.first - DAY
    return replace(period.before, last=ends)
