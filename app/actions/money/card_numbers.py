"""Card data is never saved: what looks like a card's number in a note is found before the note is saved."""

import re
from itertools import combinations

SHORTEST, LONGEST = 12, 19
"""Digits of a card's number; ISO/IEC 7812-1, from memory."""
_GROUPS = re.compile(r"\d+(?:[\s\-‐‑–—−]+\d+)*")


def holds_card_number(text: str) -> bool:
    """Returns whether whole groups of digits, with spaces or dashes between them, form a number with a valid check
    digit.

    One in ten other numbers of that length has a valid check digit by chance.
    """
    return any(_is_card(number) for run in _GROUPS.findall(text) for number in _numbers(re.findall(r"\d+", run)))


def _numbers(groups: list[str]) -> list[str]:
    """Returns the numbers that neighbouring groups of digits form."""
    ends = range(len(groups) + 1)
    return ["".join(groups[first:last]) for first, last in combinations(ends, 2)]


def _is_card(digits: str) -> bool:
    """Returns whether the digits have a card's length and a valid check digit."""
    return SHORTEST <= len(digits) <= LONGEST and check_sum(digits) % 10 == 0


def check_sum(digits: str) -> int:
    """Returns the Luhn sum: from the right every second digit is doubled, and the digits of all are added up."""
    doubled = (int(digit) * (1 + place % 2) for place, digit in enumerate(reversed(digits)))
    return sum(number // 10 + number % 10 for number in doubled)
