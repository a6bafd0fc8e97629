"""How a phone is sought: by a run of its digits, with or without the country's code."""

from sqlalchemy import ColumnElement, and_, literal, or_
from sqlalchemy.orm import InstrumentedAttribute

from app.store.search_keys import ALIKE_DIGITS, LEAST_DIGITS, digits_of

MOST_OF_A_CODE = 3
"""Digits of a country's code, at most."""


def digits_run(text: str) -> str:
    """The digits by which a phone is sought, '' when the text seeks none. Of a whole number the country's code
    is left aside, as somebody else may have left it out."""
    digits = "" if any(letter.isalpha() for letter in text) else digits_of(text)
    return digits[-ALIKE_DIGITS:] if len(digits) >= LEAST_DIGITS else ""


def without_code(text: str) -> tuple[str, ...]:
    """What may stand after the country's code in a text that begins with one, as in +44 or 0044."""
    digits = digits_of(text)
    if not digits_run(text) or not (text.lstrip(" (").startswith("+") or digits.startswith("00")):
        return ()
    digits = digits.removeprefix("00")
    rests = (digits[code:] for code in range(MOST_OF_A_CODE + 1))
    return tuple(rest for rest in rests if len(rest) >= LEAST_DIGITS)


def holds_phone(digits: InstrumentedAttribute[str], text: str) -> ColumnElement[bool]:
    """Whether one of the phones, whose digits stand between spaces, holds what is sought, or begins with it when
    its country's code, or the 0 in its place, is left aside."""
    held, rests, spaced = digits.contains(digits_run(text)), without_code(text), literal(" ") + digits
    if not rests:
        return held
    begins = [spaced.contains(f" {zero}{rest}") for rest in rests for zero in ("", "0")]
    return or_(held, and_(digits.contains(rests[-1]), or_(*begins)))  # most are ruled out by the shortest rest


def is_held_in(text: str, shown: str) -> bool:
    """The same for one phone."""
    digits, run = digits_of(shown), digits_run(text)
    begins = tuple(f"{zero}{rest}" for rest in without_code(text) for zero in ("", "0"))
    return bool(run) and (run in digits or digits.startswith(begins))
