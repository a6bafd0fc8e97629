"""What a person types, read as a value: each reader returns the value or raises ValidationError with one sentence
that says what is wrong and what would be right."""

import re
from collections.abc import Sequence
from datetime import time

from flask import has_request_context, request
from wtforms.validators import ValidationError

from app.craft.gas import BAR_PER_PSI, HIGHEST_BAR
from app.planning.shoptime import minutes_from_to
from app.quoting.errors import Problem, Refused
from app.web.forms.separators import AmbiguousNumber, plain_number
from app.web.measures import MPH_M_S, ShownUnit, kept_value, shown_range
from app.web.requests import request_context
from app.web.wording.forms import (
    AMOUNT_TOO_LARGE,
    ENTER_PRESSURE,
    PAGE_OUT_OF_DATE,
    enter_amount,
    enter_both_times_or_none,
    enter_number,
    enter_pressure,
    enter_whole,
    enter_wind,
)

_HOUR = re.compile(r"^(\d{1,2})(?:[:.h ]?(\d{2}))?\s*([ap])?\.?m?\.?$", re.IGNORECASE)
STRONGEST_WIND_M_S = 40.0
MOST_MONEY = 2_000_000_000
"""The most minor units that a whole number of PostgreSQL can hold."""
WIND_UNITS = {
    **dict.fromkeys(("km/h", "kmh", "kph"), 1 / 3.6),
    **dict.fromkeys(("knots", "kts", "kt", "kn"), 1852 / 3600),
    "mph": MPH_M_S,
    "m/s": 1.0,
}
"""The metres per second in one of each unit that forecasts use."""
_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (24, 0)}


def read_hour(text: str) -> tuple[int, int] | None:
    """Returns hour and minute of a typed time: “18:30”, “1830”, “18”, “6.30 pm”, “noon”; None when it is not a
    time.

    24:00 is the end of the day.
    """
    text = text.strip().lower()
    if text in _NAMED:
        return _NAMED[text]
    found = _HOUR.match(text)
    if not found:
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    in_range = (0 <= hour <= 23 and minute <= 59) or (hour, minute) == (24, 0)
    return (hour, minute) if in_range else None


def read_time_range(first: str, last: str, missing: str = "") -> tuple[int, int] | None:
    """Returns two typed times as minutes after midnight; None when both are empty.

    A second time that is not after the first is on the next day, 1440 minutes later: 18:00 to 02:00 are 8 hours,
    and 00:00 to 00:00 are 24, as are 00:00 to 24:00. missing: the sentence for a time that is missing, if both may
    not be empty. Raises ValidationError with a sentence.
    """
    if not first.strip() and not last.strip():
        return None
    hours = read_hour(first), read_hour(last)
    if hours[0] is None or hours[1] is None:
        raise ValidationError(missing or enter_both_times_or_none(8, 18))
    start, end = (time(hour % 24, minute) for hour, minute in (hours[0], hours[1]))
    return minutes_from_to(start, end)


def read_number(text: str, low: float, high: float, unit: str) -> float:
    """Returns a typed number from low to high, with or without its unit. Raises ValidationError with a sentence."""
    plain = read_plain_number(text.strip().removesuffix(unit))
    try:
        number = float(plain)
    except ValueError:
        raise ValidationError(enter_number(low, high, unit)) from None
    if not low <= number <= high:
        raise ValidationError(enter_number(low, high, unit))
    return number


def read_measure(
    text: str, low: float, high: float, units: Sequence[ShownUnit], decimals: int | None = None
) -> float:
    """Returns a typed number in the unit in which it is kept, from low to high. It may have one of the units beside
    it; without one it is in the first. decimals: as in `kept_value`. Raises ValidationError with a
    sentence."""
    typed = text.replace("−", "-").strip()
    unit = next((one for one in units if one.name and typed.endswith(one.name)), units[0])
    wrong = ValidationError(enter_number(*shown_range(low, high, units[0]), units[0].name))
    try:
        value = kept_value(read_plain_number(typed.removesuffix(unit.name)), unit, decimals)
    except AmbiguousNumber:
        raise
    except ValueError:
        raise wrong from None
    if not low <= value <= high:
        raise wrong
    return value


def read_plain_number(text: str) -> str:
    """Returns a typed number as Python reads one, with the decimal mark of the shop's locale; outside a request,
    with a point. Raises AmbiguousNumber with a sentence for a number that can be read in two ways."""
    return plain_number(text, request_context().formats.decimal_mark if has_request_context() else ".")


def read_wind(text: str, usual: str = "m/s") -> float:
    """Returns a typed wind in m/s, to a tenth. It is in the usual unit, unless another is written with it. Raises
    ValidationError with a sentence."""
    text = text.strip().lower()
    unit = next((unit for unit in WIND_UNITS if text.endswith(unit)), usual)
    strongest = int(STRONGEST_WIND_M_S / WIND_UNITS[unit])
    try:
        return round(read_number(text, 0, strongest, unit) * WIND_UNITS[unit], 1)
    except AmbiguousNumber:
        raise
    except ValidationError:
        is_beaufort = bool(re.search(r"\b(bft|beaufort|force)\b|\dbft", text))
        raise ValidationError(enter_wind(strongest, unit, usual=usual, is_beaufort=is_beaufort)) from None


def read_whole(text: str, low: int, high: int, _what: str = "") -> int:
    """Returns a typed whole number from low to high. Raises ValidationError with a sentence."""
    plain = read_plain_number(text)
    if not re.fullmatch(r"-?[0-9]{1,9}", plain):
        raise ValidationError(enter_whole(low, high))
    number = int(plain)
    if not low <= number <= high:
        raise ValidationError(enter_whole(low, high))
    return number


def read_money(text: str, decimals: int) -> int:
    """Returns a typed amount in minor units. Raises ValidationError with a sentence."""
    found = re.fullmatch(r"([0-9]{1,7})(?:\.([0-9]+))?", read_plain_number(text))
    if not found or len(found[2] or "") > decimals:
        raise ValidationError(enter_amount(decimals))
    minor = int(found[1] + (found[2] or "").ljust(decimals, "0"))
    if minor > MOST_MONEY:
        raise ValidationError(AMOUNT_TOO_LARGE)
    return minor


HIGHEST_PSI = 5000.0
_PRESSURE = re.compile(r"([0-9][0-9 ,.]*?)\s*(bar|psi|psig)?", re.IGNORECASE)


def read_pressure(text: str) -> float:
    """Bar above the air. Raises ValidationError with a sentence."""
    found = _PRESSURE.fullmatch(text.strip())
    if not found:
        raise ValidationError(ENTER_PRESSURE)
    in_psi = (found[2] or "bar").lower() != "bar"
    unit, highest = ("psi", HIGHEST_PSI) if in_psi else ("bar", HIGHEST_BAR)
    try:
        return read_number(found[1], 0, highest, unit) * (BAR_PER_PSI if in_psi else 1)
    except AmbiguousNumber:
        raise
    except ValidationError:
        number = read_plain_number(found[1])
        maybe_psi = number if not in_psi and re.fullmatch("[0-9]{3,4}", number) else ""
        raise ValidationError(enter_pressure(highest, unit, maybe_psi=maybe_psi)) from None


def read_id(text: str | None) -> int:
    """Returns a row's number from an address or a hidden field; 0, which no row has, when it is not a number."""
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text) else 0


def sent_client_key() -> str:
    """Returns the key of the form that was sent. Raises Refused without one, because a repeated tap would then
    count twice."""
    key = request.form.get("client_key", "")
    if not 1 <= len(key) <= 64:
        raise Refused(Problem("client_key", PAGE_OUT_OF_DATE))
    return key
