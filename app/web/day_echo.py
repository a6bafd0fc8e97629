"""What stands beside a field for a date: the date with its weekday, as it was understood."""

from dataclasses import dataclass
from datetime import date

from flask import render_template, request
from wtforms.validators import ValidationError

from app.web.forms.dates import Near, date_reader, read_day
from app.web.requests import request_context
from app.web.wording.forms import describe_read_date


@dataclass(frozen=True, slots=True)
class DayEcho:
    """A typed date as it was understood. text: what was typed. words: the date in words, or the sentence that says
    what is wrong. day: the date; None if there is none. typed: the date as it stands in a field."""

    text: str
    words: str
    day: date | None = None
    typed: str = ""


def day_echo(text: str | None, near: str = Near.COMING.value) -> DayEcho:
    """Returns how a typed date is understood; its words are empty if nothing was typed. near: which date is meant
    where the year is not typed."""
    text = (text or "").strip()
    if not text:
        return DayEcho("", "")
    likely = Near(near) if near in {one.value for one in Near} else Near.COMING
    try:
        day = read_day(text, near=likely)
    except ValidationError as wrong:
        return DayEcho(text, str(wrong))
    formats = request_context().formats
    days_ahead = (day - date_reader().today).days
    words = describe_read_date(formats.day(day), days_ahead, is_past_usual=likely is not Near.COMING)
    return DayEcho(text, words, day, formats.typed_date(day))


def show_day_echo() -> str:
    """Shows how the date in the named field is understood, while somebody types it."""
    asked = request.args
    text = asked.get(asked.get("field", ""), "")[:80]
    return render_template("_day_echo.html", echo=day_echo(text, asked.get("near", "")))
