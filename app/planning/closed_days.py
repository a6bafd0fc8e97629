"""Days on which the shop is closed: a range of dates with its reason, once or in every year."""

from dataclasses import dataclass
from datetime import date

LAST_OF_FEBRUARY = 28
MOST_DAYS = 60
"""A shop that is closed for longer has no open hour that the search for one would find."""


@dataclass(frozen=True, slots=True)
class ClosedDays:
    """The shop is closed from the first date to the last, both included. yearly: so it is in every later year; 29
    February is then 28 February in years that have none."""

    first: date
    last: date
    reason: str = ""
    yearly: bool = False

    @property
    def days(self) -> int:
        """How many days it is closed."""
        return (self.last - self.first).days + 1

    def covers(self, day: date) -> bool:
        """Returns whether the shop is closed on this date."""
        if not self.yearly:
            return self.first <= day <= self.last
        ends_later = self.last.year - self.first.year
        years = [year for year in range(day.year - ends_later, day.year + 1) if year >= self.first.year]
        return any(in_year(self.first, year) <= day <= in_year(self.last, year + ends_later) for year in years)


def in_year(day: date, year: int) -> date:
    """Returns the same date of another year; 28 February for 29 February in a year without one."""
    try:
        return day.replace(year=year)
    except ValueError:
        return date(year, day.month, LAST_OF_FEBRUARY)
