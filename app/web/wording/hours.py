"""This module words hours that may pass midnight: opening hours and shifts."""

from datetime import timedelta

from app.planning.shoptime import DAY_MINUTES, time_of_minute
from app.web.formats import Formats


def hours_words(starts: int, ends: int, formats: Formats) -> str:
    """Returns hours in words, “18:00 to 02:00 the next day”. starts, ends: in minutes after midnight."""
    return f"{formats.time_of_day(time_of_minute(starts))} to {_end_words(ends, formats)}"


def past_midnight_words(starts: int, ends: int, formats: Formats) -> str:
    """Returns how hours that pass midnight were understood, “8 h, until 02:00 the next day”; empty for others."""
    if ends < DAY_MINUTES:
        return ""
    return f"{formats.minutes(ends - starts)}, until {_end_words(ends, formats)}"


def clock_change_words(starts: int, ends: int, length: timedelta, formats: Formats) -> str:
    """Returns how long hours really are on a date on which the clocks change; empty if they are what the clocks
    show."""
    minutes = length // timedelta(minutes=1)
    if minutes == ends - starts:
        return ""
    if not minutes:
        return "no time at all, because the clocks go forward and skip it"
    really = formats.minutes(minutes)
    if minutes < ends - starts:
        return f"only {really}, because the clocks go forward"
    return f"{really}, because the clocks go back"


def _end_words(ends: int, formats: Formats) -> str:
    """Returns the time at which hours end."""
    if ends == DAY_MINUTES:
        return "midnight"
    return f"{formats.time_of_day(time_of_minute(ends))}{' the next day' if ends > DAY_MINUTES else ''}"
