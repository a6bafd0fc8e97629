"""When a design is sold: days of the year from one to another, over the turn of the year too."""

from collections.abc import Iterable, Sequence
from datetime import date

Season = Sequence[str]
"""First and last day, each MM-DD."""
LEAP_YEAR = 2024
NO_SUCH_DAY = "This day does not exist. Enter a day and a month, for example 14 Feb."


def check_day(day: str) -> str:
    """Returns the day. Raises ValueError if it is no MM-DD of a leap year."""
    try:
        if f"{_in_leap_year(day):%m-%d}" == day:
            return day
    except ValueError:
        pass
    raise ValueError(NO_SUCH_DAY)


def _in_leap_year(day: str) -> date:
    """Returns the day in a leap year, so that 29 Feb exists."""
    return date.fromisoformat(f"{LEAP_YEAR}-{day}")


def in_season(seasons: Iterable[Season], day: date) -> bool:
    """Returns whether the design is sold on that day; without seasons, it is sold on every day."""
    sold, on = list(seasons), f"{day:%m-%d}"
    return not sold or any(_within(on, first, last) for first, last in sold)


def _within(on: str, first: str, last: str) -> bool:
    """Returns whether the day is within a season; one whose last day comes first goes over the turn of the year."""
    return first <= on <= last if first <= last else on >= first or on <= last


def describe_day(day: str) -> str:
    """Returns the day in words: “14 Feb”."""
    shown = _in_leap_year(day)
    return f"{shown.day} {shown:%b}"


def describe_seasons(seasons: Iterable[Season]) -> str:
    """Returns the seasons in words: “1 Feb–14 Feb, 20 Nov–6 Jan”; empty for all year."""
    return ", ".join(f"{describe_day(first)}–{describe_day(last)}" for first, last in seasons)
