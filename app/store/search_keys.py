"""Names and phone numbers as they are searched and compared, alike on every database."""

import re
import unicodedata

ALIKE_DIGITS = 9
"""So many last digits tell a number, with or without its country's code."""


LEAST_DIGITS = 3
"""Fewer are no phone number, and are not sought."""


def fold(text: str) -> str:
    """Letters without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


def digits_of(text: str) -> str:
    return re.sub("[^0-9]", "", text)


def phone_key(shown: str) -> str:
    """The same for numbers that are alike: equal digits, or the last nine equal where both have nine or more."""
    return digits_of(shown)[-ALIKE_DIGITS:]
