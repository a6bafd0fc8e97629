"""This module words how long a balloon of a type lasts."""

import math

from app.physics.float_time import FloatTime
from app.physics.promise import Promise
from app.web.formats import Formats
from app.web.wording.outcome import promised_words

DAYS_FROM_HOURS = 96.0
WHOLE_FROM_HOURS = 48.0
MINUTE_STEP = 5
"""Hours that are known only roughly are told to so many minutes."""


def float_time_words(float_time: FloatTime, formats: Formats) -> str:
    """Returns “15 h”, or “14 days (limited by light)” if it would float for longer."""
    if not float_time.hours:
        return "Does not float"
    return f"{formats.hours(float_time.hours)}{' (limited by light)' if float_time.by_light else ''}"


def about_hours(hours: float, formats: Formats) -> str:
    """Returns a time that is known only roughly, rounded down: “9 h 55 min”, “58 h”, “6.2 days”."""
    if hours >= DAYS_FROM_HOURS:
        return formats.hours(math.floor(hours / 2.4 + 1e-9) * 2.4)
    if hours >= WHOLE_FROM_HOURS:
        return formats.hours(math.floor(hours + 1e-9))
    return formats.minutes(math.floor(hours * 60 / MINUTE_STEP + 1e-9) * MINUTE_STEP)


def float_curve_words(
    name: str, hours: tuple[float, float], certainty: float, formats: Formats, *, by_light: bool
) -> str:
    """Returns how long one balloon of a type floats. hours: the median, and those with this certainty. by_light:
    whether light ends them."""
    median, safe = hours
    if median <= 0:
        return f"{name} does not float: it is too heavy for its helium."
    then = "light has aged it" if by_light else "it is as likely down as up"
    chance = f"{formats.percent(certainty)} chance that it is still up after {about_hours(safe, formats)}"
    return f"{name} floats {about_hours(median, formats)}; by then {then}. {chance}."


def batch_curve_words(hours: float, promise: Promise, formats: Formats) -> str:
    """Returns for how long the promise of a batch is kept with the certainty that was named before."""
    return (
        f"In a batch, {promised_words(promise)} still up after {about_hours(hours, formats)}, with the same chance."
    )
