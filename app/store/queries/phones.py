"""This module says which phones match what somebody typed, in a query and beside it."""

from sqlalchemy import ColumnElement, and_, literal, or_
from sqlalchemy.orm import InstrumentedAttribute

from app.store.search_keys import MIN_PHONE_DIGITS, PHONE_KEY_DIGITS, digits_of

MAX_COUNTRY_CODE_DIGITS = 3
"""Digits of a country's code, at most."""


def phone_search_digits(text: str) -> str:
    """Returns the digits by which a phone is searched, or '' when the text is no search for a phone.

    Of a whole number it leaves out the code of the country, because somebody else may have left it out too.
    """
    digits = "" if any(letter.isalpha() for letter in text) else digits_of(text)
    return digits[-PHONE_KEY_DIGITS:] if len(digits) >= MIN_PHONE_DIGITS else ""


def without_country_code(text: str) -> tuple[str, ...]:
    """Returns what may follow the code of the country in a text that begins with one, as in +44 or 0044."""
    digits = digits_of(text)
    if not phone_search_digits(text) or not (text.lstrip(" (").startswith("+") or digits.startswith("00")):
        return ()
    digits = digits.removeprefix("00")
    rests = (digits[code:] for code in range(MAX_COUNTRY_CODE_DIGITS + 1))
    return tuple(rest for rest in rests if len(rest) >= MIN_PHONE_DIGITS)


def phone_matches(digits: InstrumentedAttribute[str], text: str) -> ColumnElement[bool]:
    """Returns the condition that one of a customer's phones matches the text.

    digits: the column with all phones as digits, with spaces between them. A phone matches when the text's digits
    are in it. When the text begins with the code of a country, a phone that lacks that code, or has a 0 in its
    place, matches too.
    """
    held, rests, spaced = (
        digits.contains(phone_search_digits(text)),
        without_country_code(text),
        literal(" ") + digits,
    )
    if not rests:
        return held
    begins = [spaced.contains(f" {zero}{rest}") for rest in rests for zero in ("", "0")]
    return or_(
        held, and_(digits.contains(rests[-1]), or_(*begins))
    )  # the shortest rest rules most phones out cheaply


def phone_contains(text: str, shown: str) -> bool:
    """Returns whether a phone matches the text, by the same rule as `phone_matches`."""
    digits, run = digits_of(shown), phone_search_digits(text)
    begins = tuple(f"{zero}{rest}" for rest in without_country_code(text) for zero in ("", "0"))
    return bool(run) and (run in digits or digits.startswith(begins))
