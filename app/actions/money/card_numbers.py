"""Card data is never kept: what looks like a card's number in a note is found before it is saved."""

import re
from itertools import combinations

SHORTEST, LONGEST = 12, 19
"""Digits of a card's number; ISO/IEC 7812-1, from memory."""
_GROUPS = re.compile(r"\d+(?:[\s\-‐‑–—−]+\d+)*")


def holds_card_number(text: str) -> bool:
    """Whether whole groups of digits, with spaces or dashes between them, make a number whose check digit is right.

    One in ten other numbers of that length has it right by chance.
    """
    return any(_is_card(number) for run in _GROUPS.findall(text) for number in _numbers(re.findall(r"\d+", run)))


def _numbers(groups: list[str]) -> list[str]:
    ends = range(len(groups) + 1)
    return ["".join(groups[first:last]) for first, last in combinations(ends, 2)]


def _is_card(digits: str) -> bool:
    return SHORTEST <= len(digits) <= LONGEST and check_sum(digits) % 10 == 0


def check_sum(digits: str) -> int:
    """Luhn's: from the right every second digit is doubled, and the digits of all are added up."""
    doubled = (int(digit) * (1 + place % 2) for place, digit in enumerate(reversed(digits)))
    return sum(number // 10 + number % 10 for number in doubled)
