"""This module has the one rule by which a phone is searched: by its digits, with or without the code of its
country."""

from sqlalchemy import ColumnElement, and_, literal, or_
from sqlalchemy.orm import InstrumentedAttribute

from app.store.search_keys import ALIKE_DIGITS, LEAST_DIGITS, digits_of

MOST_OF_A_CODE = 3
"""Digits of a country's code, at most."""


def digits_run(text: str) -> str:
    """Returns the digits by which a phone is searched, or '' when the text is no search for a phone.

    Of a whole number it leaves out the code of the country, because somebody else may have left it out too.
    """
    digits = "" if any(letter.isalpha() for letter in text) else digits_of(text)
    return digits[-ALIKE_DIGITS:] if len(digits) >= LEAST_DIGITS else ""


def without_code(text: str) -> tuple[str, ...]:
    """Returns what may follow the code of the country in a text that begins with one, as in +44 or 0044."""
    digits = digits_of(text)
    if not digits_run(text) or not (text.lstrip(" (").startswith("+") or digits.startswith("00")):
        return ()
    digits = digits.removeprefix("00")
    rests = (digits[code:] for code in range(MOST_OF_A_CODE + 1))
    return tuple(rest for rest in rests if len(rest) >= LEAST_DIGITS)


def holds_phone(digits: InstrumentedAttribute[str], text: str) -> ColumnElement[bool]:
    """Returns the condition that one of a customer's phones matches the text.

    digits: the column with all phones as digits, with spaces between them. A phone matches when the text's digits
    are in it. When the text begins with the code of a country, a phone that lacks that code, or has a 0 in its
    place, matches too.
    """
    held, rests, spaced = digits.contains(digits_run(text)), without_code(text), literal(" ") + digits
    if not rests:
        return held
    begins = [spaced.contains(f" {zero}{rest}") for rest in rests for zero in ("", "0")]
    return or_(
        held, and_(digits.contains(rests[-1]), or_(*begins))
    )  # the shortest rest rules most phones out cheaply


def is_held_in(text: str, shown: str) -> bool:
    """Returns whether a phone matches the text, by the same rule as `holds_phone`."""
    digits, run = digits_of(shown), digits_run(text)
    begins = tuple(f"{zero}{rest}" for rest in without_code(text) for zero in ("", "0"))
    return bool(run) and (run in digits or digits.startswith(begins))
