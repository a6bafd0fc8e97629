"""What stands beside two times that pass midnight: how long they are, and that the second is on the next day."""

from flask import request
from wtforms.validators import ValidationError

from app.web.forms.reading import read_time_range
from app.web.requests import request_context
from app.web.wording.hours import past_midnight_words

MOST_LETTERS = 20
"""Longer text is no time."""


def hours_echo(first: str | None, last: str | None) -> str:
    """Returns how two typed times are understood if they pass midnight; empty if they do not, or are no times."""
    try:
        minutes = read_time_range(first or "", last or "")
    except ValidationError:
        return ""
    return past_midnight_words(*minutes, request_context().formats) if minutes else ""


def show_hours_echo() -> str:
    """Shows how the times in the two named fields are understood, while somebody types them."""
    asked = request.args
    first, last = (asked.get(asked.get(name, ""), "")[:MOST_LETTERS] for name in ("first", "last"))
    return hours_echo(first, last)
