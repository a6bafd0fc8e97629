"""This module has fields that several forms use, and puts each problem at its field."""

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Any

from flask import request
from wtforms import Form, StringField
from wtforms.validators import ValidationError

from app.planning.shoptime import Fold, TimeShownTwice, TimeSkipped, to_utc
from app.quoting.errors import Problem, Refused
from app.web.formats import Formats

_HOUR = re.compile(r"^(\d{1,2})(?:[:.h ]?(\d{2}))?\s*([ap])?\.?m?\.?$", re.IGNORECASE)
STRONGEST_WIND_M_S = 40.0
MOST_MONEY = 2_000_000_000
"""The most minor units that a whole number of PostgreSQL can hold."""
WIND_UNITS = {
    **dict.fromkeys(("km/h", "kmh", "kph"), 1 / 3.6),
    **dict.fromkeys(("knots", "kts", "kt", "kn"), 1852 / 3600),
    "mph": 0.44704,
    "m/s": 1.0,
}
"""The metres per second in one of each unit that forecasts use."""
_WIND_HINT = "Without a unit it is m/s; km/h, mph and knots are written with it, as in 20 km/h."
_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (24, 0)}


class MomentForm(Form):
    """A date and a time as people write them. turn: asked only when the clocks show that time twice."""

    day = StringField()
    hour = StringField()
    turn = StringField()

    twice = False

    @property
    def is_empty(self) -> bool:
        """Whether neither date nor time is typed."""
        return not (self.day.data or "").strip() and not (self.hour.data or "").strip()

    def fill_in(self, moment: datetime | None, formats: Formats) -> None:
        """Fills the fields with a moment; leaves them empty for None."""
        if moment is None:
            return
        local = formats.local(moment)
        self.day.data = f"{local:%Y-%m-%d}"
        self.hour.data = f"{local:%H:%M}"
        other = local.replace(fold=1 - local.fold)
        if other.utcoffset() != local.utcoffset():
            self.turn.data = Fold.SECOND if local.fold else Fold.FIRST

    def read(self, formats: Formats, day_if_none: date | None = None) -> datetime | None:
        """Returns the moment in UTC; None, with a sentence at its field, when it cannot be read."""
        day = self._day(day_if_none)
        hour = self._hour()
        if day is None or hour is None:
            return None
        local = datetime.combine(day, time.min) + timedelta(hours=hour[0], minutes=hour[1])
        turn = Fold(self.turn.data) if self.turn.data in {*Fold} else None
        try:
            return to_utc(local, formats.zone, turn)
        except TimeSkipped as skipped:
            self._add_problem(
                "hour", f"The clocks skip {local:%H:%M} that night: it would be {skipped.after:%H:%M}."
            )
        except TimeShownTwice:
            self.twice = True
            self._add_problem("turn", f"The clocks show {local:%H:%M} twice that night: which one is meant?")
        except OverflowError:
            self._add_problem("day", "That date is out of range: check the year.")
        return None

    def _day(self, day_if_none: date | None) -> date | None:
        text = (self.day.data or "").strip()
        if not text:
            if day_if_none is None:
                self._add_problem("day", "Which day? A date, please.")
            return day_if_none
        try:
            day = date.fromisoformat(text)
        except ValueError:
            self._add_problem("day", f"“{text}” is not a date: write year-month-day, as in 2026-11-28.")
            return None
        if not 2000 <= day.year <= 2100:
            self._add_problem("day", "Check the year.")
            return None
        return day

    def _hour(self) -> tuple[int, int] | None:
        text = (self.hour.data or "").strip()
        if not text:
            self._add_problem("hour", "At what hour? As in 18:30, 6:30 pm or 18.")
            return None
        hour = read_hour(text)
        if hour is None:
            self._add_problem("hour", f"“{text}” is not an hour: write it as in 18:30, 6:30 pm or 18.")
        return hour

    def _add_problem(self, field: str, sentence: str) -> None:
        bound = self[field]
        bound.errors = [*bound.errors, sentence]


def at_most(letters: int, what: str) -> Any:
    """Returns a validator of a text's length. what: how its sentence begins, as in “A name takes”."""

    def check(_form: Form, field: Any) -> None:
        if len(field.data or "") > letters:
            raise ValidationError(f"{what} at most {letters:,} letters; this has {len(field.data):,}.")

    return check


def read_id(text: str | None) -> int:
    """Returns a row's number from an address or a hidden field; 0, which no row has, when it is not a number."""
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text) else 0


def tap_key() -> str:
    """Returns the key of the form that was sent. Raises Refused without one, because a repeated tap would then
    count twice."""
    key = request.form.get("client_key", "")
    if not 1 <= len(key) <= 64:
        raise Refused(Problem("client_key", "That tap came without its key: reload the page and tap again."))
    return key


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


BACKWARDS = "It must close after it opens."


def read_span(first: str, last: str, backwards: str = BACKWARDS) -> tuple[int, int] | None:
    """Returns two typed times as minutes after midnight; None when both are empty.

    backwards: the sentence for a second time that is not after the first. Raises ValidationError with a sentence.
    """
    if not first.strip() and not last.strip():
        return None
    hours = read_hour(first), read_hour(last)
    if hours[0] is None or hours[1] is None:
        raise ValidationError("Two hours, as in 08:00 and 18:00, or leave both empty when closed.")
    start, end = hours[0][0] * 60 + hours[0][1], min(hours[1][0] * 60 + hours[1][1], 24 * 60 - 1)
    if start >= end:
        raise ValidationError(backwards)
    return start, end


def read_number(text: str, low: float, high: float, unit: str) -> float:
    """Returns a typed number from low to high, with or without its unit. Raises ValidationError with a sentence."""
    try:
        number = float(text.replace(",", ".").replace("−", "-").removesuffix(unit).strip())
    except ValueError:
        raise ValidationError(f"“{text}” is not a number: {low:g} to {high:g} {unit}.") from None
    if not low <= number <= high:
        raise ValidationError(f"{text} is out of range: {low:g} to {high:g} {unit}.")
    return number


def read_wind(text: str) -> float:
    """Returns a typed wind in m/s, to a tenth, unless another unit is written with it. Raises ValidationError
    with a sentence."""
    text = text.strip().lower()
    unit = next((unit for unit in WIND_UNITS if text.endswith(unit)), "m/s")
    strongest = int(STRONGEST_WIND_M_S / WIND_UNITS[unit])
    try:
        return round(read_number(text, 0, strongest, unit) * WIND_UNITS[unit], 1)
    except ValidationError as wrong:
        beaufort = re.search(r"\b(bft|beaufort|force)\b|\dbft", text)
        refusal = "Beaufort is not taken: ask for the speed. " if beaufort else ""
        raise ValidationError(f"{wrong} {refusal}{_WIND_HINT}") from None


def read_whole(text: str, low: int, high: int, what: str) -> int:
    """Returns a typed whole number from low to high. Raises ValidationError with a sentence."""
    plain = re.sub(r"(?<=[0-9])[ ,](?=[0-9]{3}\b)", "", text.strip())
    if not re.fullmatch(r"[-−]?[0-9]{1,9}", plain):
        raise ValidationError(f"{what}: a whole number from {low} to {high}, please.")
    number = int(plain.replace("−", "-"))
    if not low <= number <= high:
        raise ValidationError(f"{what}: from {low} to {high}, please; {text} is out of range.")
    return number


def read_money(text: str, decimals: int) -> int:
    """Returns a typed amount in minor units. Raises ValidationError with a sentence."""
    found = re.fullmatch(r"(\d{1,7})(?:[.,](\d+))?", text.strip())
    if not found or len(found[2] or "") > decimals:
        raise ValidationError(f"An amount with at most {decimals} digits after the point, as in 4.50, please.")
    minor = int(found[1] + (found[2] or "").ljust(decimals, "0"))
    if minor > MOST_MONEY:
        raise ValidationError("That is more than the shop's books can hold: check the amount.")
    return minor


def show_problems(form: Form, problems: Iterable[Problem], places: dict[str, str]) -> None:
    """Puts each problem at its field; `places` names the form's field if it is called differently.

    A field inside another is written with a dot. A problem without a field stands at the form.
    """
    for problem in problems:
        name = places.get(problem.field, problem.field)
        path = f"lines.{problem.line}.{name}" if problem.line is not None else name
        field = _field_at(form, path)
        if field is None:
            form.form_errors.append(problem.sentence)
        else:
            field.errors = [*field.errors, problem.sentence]


def _field_at(form: Form, path: str) -> Any:
    """Returns the field at a path with dots; None when the form has no such field."""
    found: Any = form
    for name in path.split("."):
        inner = getattr(found, "form", found)
        try:
            found = inner[int(name)] if name.isdigit() else inner[name]
        except (KeyError, IndexError, TypeError):
            return None
    return found
