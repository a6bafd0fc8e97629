"""This module words how long a balloon of a type lasts."""

from app.physics.float_time import FloatTime
from app.web.formats import Formats


def float_time_words(float_time: FloatTime, formats: Formats) -> str:
    """Returns “15 h”, or “14 days (limited by light)” if it would float for longer."""
    if not float_time.hours:
        return "Does not float"
    return f"{formats.hours(float_time.hours)}{' (limited by light)' if float_time.by_light else ''}"
