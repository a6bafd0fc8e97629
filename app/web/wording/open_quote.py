"""The sentences of the open quote, for whoever writes a program that asks for one."""

from collections.abc import Sequence
from datetime import datetime

ENTER_OBJECT = "Send an object here."
ENTER_TEXT = "Send a text here."
ENTER_FLAG = "Send true or false."
UNKNOWN_FIELD = "There is no such field. Remove it."
ENTER_TIME = "Send a local time of 2000 to 2100, for example 2027-03-27T18:00."
TIME_SHOWN_TWICE = "The clocks show this time twice. Add the offset, for example 2027-10-31T01:30+01:00."
NAME_ONE = "Name either a kind or a design."
UNKNOWN_KIND = "The shop has no balloon type of this name."
UNKNOWN_DESIGN = "The shop has no design of this name."
ENTER_COLOURS = 'Send the count of each colour by its name, for example {"red": 12, "white": 12}.'
CANNOT_BE_READ = "This cannot be read as JSON."
HELIUM = "helium, litres"


def choose_one(choices: Sequence[str]) -> str:
    """Returns the sentence for a text that is none of the choices."""
    return f"Send one of these: {', '.join(choices)}."


def enter_number(low: float, high: float) -> str:
    """Returns the sentence for what is no number from low to high."""
    return f"Send a number from {low:g} to {high:g}."


def enter_whole(low: int, high: int) -> str:
    """Returns the sentence for what is no whole number from low to high."""
    return f"Send a whole number from {low} to {high}."


def enter_lines(most: int) -> str:
    """Returns the sentence for too few or too many lines."""
    return f"Send a list of 1 to {most} lines."


def too_many_balloons(most: int) -> str:
    """Returns the sentence for too many balloons."""
    return f"Ask for at most {most} balloons."


def count_colours(quantity: int) -> str:
    """Returns the sentence for colours that are more or fewer than the balloons."""
    return f"The counts of the colours must add up to {quantity}."


def time_skipped(after: datetime) -> str:
    """Returns the sentence for a local time that the clocks jump over. after: what they show instead."""
    return f"The clocks jump over this time. They show {after:%H:%M} instead."
