"""This module says how full the coming days are."""

from app.planning.day_load import DayLoad
from app.web.formats import Formats


def free_words(load: DayLoad, formats: Formats, *, is_closed: bool, is_today: bool) -> str:
    """Returns what is still free of a day: “5 h 20 min free”, “Nothing free”, “Closed”."""
    if not load.available:
        nobody = "Nobody on shift any more" if is_today else "Nobody on shift"
        return "Closed" if is_closed else nobody
    free = f"{formats.minutes(load.free)} free" if load.free else "Nothing free"
    return f"Closed, {free[0].lower()}{free[1:]}" if is_closed else free


def load_words(load: DayLoad, formats: Formats) -> str:
    """Returns how much work is planned, and how much the staff can do: “2 h 30 min of 8 h planned”,
    “Nothing planned”."""
    if not load.planned:
        return "Nothing planned"
    return f"{formats.minutes(load.planned)} of {formats.minutes(load.available)} planned"


def away_words(minutes: int, formats: Formats) -> str:
    """Returns how much of the staff's time crews are away: “1 h 30 min: crew away”."""
    return f"{formats.minutes(minutes)}: crew away"


def count_words(count: int, one: str, more: str) -> str:
    """Returns a number of things: “1 delivery”, “2 deliveries”."""
    return f"{count} {one if count == 1 else more}"
