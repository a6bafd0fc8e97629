"""This module words what the history of an order says: its measures in the shop's units."""

import re

from app.web.formats import NO_BREAK_SPACE, Formats

_NUMBER = r"[-−]?[0-9]+(?:\.[0-9]+)?"
_VENUE = re.compile(rf"(, {_NUMBER}) (?=°C)|(, altitude {_NUMBER}) (?=m\b)|(, wind {_NUMBER}) (?=m/s)")
_LINE = re.compile(rf"(, {_NUMBER}) (?=g on each\b)")
_BATCH = re.compile(rf"(, {_NUMBER}) (?=in(?:,|$))|(, weight {_NUMBER}) (?=g each$)")
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
    return phrases.sub(lambda found: f"{found[0][:-1]}{NO_BREAK_SPACE}", entry)
