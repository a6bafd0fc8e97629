"""Office: the dates of the review, the periods with which they are compared, and the steps of its pictures."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from flask import url_for

from app.planning.opening import Opening

DAY = timedelta(days=1)
PRESETS = {"day": 1, "week": 7, "month": 28, "year": 364}
"""Whole weeks, so that each period has the same weekdays as the one before."""
YEAR_BEFORE = timedelta(days=364)
MOST_SINGLE_DAYS = 14
MOST_STEPS = 110
"""A longer time has steps of several weeks."""


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
    def before(self) -> "Period":
        """The same number of days directly before."""
        length = self.days * DAY
        return Period(self.first - length, self.last - length, self.opening)

    @property
    def year_before(self) -> "Period":
        """The same weekdays 52 weeks before."""
        return Period(self.first - YEAR_BEFORE, self.last - YEAR_BEFORE, self.opening)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The days, or else the weeks, counted from the first day."""
        return tuple(self._steps())

    def _steps(self) -> Iterator[Step]:
        weeks = -(-self.days // (7 * MOST_STEPS))
        length = DAY if self.days <= MOST_SINGLE_DAYS else 7 * weeks * DAY
        first = self.first
        while first <= self.last:
            yield Step(first, min(first + length - DAY, self.last))
            first += length

    @property
    def step_bounds(self) -> tuple[datetime, ...]:
        """The moment at which each step begins, and that at which the last one ends."""
        return (*(self.opening.day_bounds(step.first)[0] for step in self.steps), self.bounds[1])

    @property
    def arguments(self) -> dict[str, Any]:
        """What stands for it in an address."""
        return {"from": self.first, "to": self.last}


@dataclass(frozen=True, slots=True)
class Preset:
    """A period of a usual length that ends on the same day. is_shown: whether it is the one on the page."""

    name: str
    address: str
    is_shown: bool


def presets_of(period: Period, endpoint: str) -> list[Preset]:
    """Returns the usual periods that end as this one does."""
    usual = {name: replace(period, first=period.last - (days - 1) * DAY) for name, days in PRESETS.items()}
    return [
        Preset(name, url_for(endpoint, **one.arguments), one.first == period.first) for name, one in usual.items()
    ]
