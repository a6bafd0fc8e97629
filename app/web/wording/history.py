"""This module words what was written when an order was saved: its measures in the shop's units."""

import re

from app.web.formats import NO_BREAK_SPACE, Formats

_NUMBER = r"[-−]?[0-9]+(?:\.[0-9]+)?"
_VENUE = re.compile(rf"(, {_NUMBER}) (?=°C)|(, altitude {_NUMBER}) (?=m\b)|(, wind {_NUMBER}) (?=m/s)")
_LINE = re.compile(rf"(, {_NUMBER}) (?=g on each\b)")
_BATCH = re.compile(rf"(, {_NUMBER}) (?=in(?:,|$))|(, weight {_NUMBER}) (?=g each$)")
_RATED = re.compile(rf"(\brated {_NUMBER}) (?=in\b)")
"""The plain blank before a unit in what the program itself wrote before it marked its measures."""
_TYPED = frozenset(
    {
        *("reason for cancelling", "customer", "phone", "address", "notes", "customer accepted"),
        *("reason for accepting it anyway (bench)", "reason for accepting it anyway (stock)"),
    }
)
"""What people typed: it stays as it is."""


def history_words(what: str, entry: str, formats: Formats) -> str:
    """Returns what an entry of an order's history says of one thing, with its measures in the shop's units. Entries
    that were written before measures were marked by a no-break space are read too."""
    if what in _TYPED:
        return entry
    return formats.in_shop_units(_marked(what, entry))


def fill_reason_words(why: str, formats: Formats) -> str:
    """Returns the saved reason for a fill size with its measures in the shop's units, marked or not."""
    return formats.in_shop_units(_with_marks(_RATED, why))


def _marked(what: str, entry: str) -> str:
    """Returns an entry with a no-break space before each unit that belongs to a measure."""
    if what == "venue":
        phrases = _VENUE
    elif what.startswith("line "):
        phrases = _LINE
    elif entry.startswith("inflate by "):
        phrases = _BATCH
    else:
        return entry
    return _with_marks(phrases, entry)


def _with_marks(phrases: re.Pattern[str], text: str) -> str:
    return phrases.sub(lambda found: f"{found[0][:-1]}{NO_BREAK_SPACE}", text)
