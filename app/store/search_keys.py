"""This module turns names and phone numbers into the form in which they are searched and compared, on every
database."""

import re
import unicodedata

PHONE_KEY_DIGITS = 9
"""This many last digits identify a phone number, with or without the code of its country."""


MIN_PHONE_DIGITS = 3
"""Fewer digits are not searched for as a phone number."""


def fold_text(text: str) -> str:
    """Returns the text without accents, in a form that ignores upper and lower case."""
    if text.isascii():
        return text.lower()
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


def digits_of(text: str) -> str:
    """Returns only the digits of the text."""
    return re.sub("[^0-9]", "", text)


def phone_key(shown: str) -> str:
    """Returns a key that is the same for two ways of writing one phone number.

    Two numbers have the same key if all their digits are equal, or if both have nine or more and the last nine are
    equal.
    """
    return digits_of(shown)[-PHONE_KEY_DIGITS:]
