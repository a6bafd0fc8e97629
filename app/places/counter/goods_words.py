"""The words by which goods are found: sizes in each way of typing them, and slips of the keyboard."""

import re
from collections.abc import Iterable
from difflib import get_close_matches

from app.store.search_keys import fold_text

_SIZE = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(?:-\s*)?(?:(?P<inch>inches|inche|inch|inc|in|i|''|′′|[\"”])|(?P<cm>cm|c))(?![^\W\d_])"
)
_WORD = re.compile(r"\d+(?:\.\d+)?(?:in|cm)?|[^\W\d_]+")
_LEADING_NUMBER = re.compile(r"\d+(?:\.\d+)?")
SHORTEST_SLIP = 3
"""Words with fewer letters are not taken for a slip of the keyboard."""
CLOSEST = 0.7
"""How alike two words must be, from 0 to 1, before one is offered for the other. Chosen, no source: a letter that
is missing, doubled or swapped in a word of four stays above it."""


def words_of(text: str) -> list[str]:
    """Returns the words in small letters, each size with its unit as one word: “11in”, “28cm”."""

    def joined(found: re.Match[str]) -> str:
        return f" {found[1].replace(',', '.')}{'in' if found['inch'] else 'cm'} "

    return _WORD.findall(_SIZE.sub(joined, fold_text(text)))


def searchable(text: str) -> list[str]:
    """Returns the words of a name, and the unit of each size as a word of its own."""
    words = words_of(text)
    return [*words, *(word[-2:] for word in words if word[0].isdigit() and word[-1].isalpha())]


def all_begin(typed: list[str], words: Iterable[str]) -> bool:
    """Returns whether each typed word begins one of the words. A number that other words follow must be whole."""
    known = [*words]
    return all(
        any(_begins(start, word, is_last=place == len(typed) - 1) for word in known)
        for place, start in enumerate(typed)
    )


def _begins(start: str, word: str, *, is_last: bool) -> bool:
    if not word.startswith(start):
        return False
    number = _LEADING_NUMBER.match(word)
    return is_last or not start[-1].isdigit() or (number is not None and number[0] == start)


def without_slips(typed: list[str], known: Iterable[str]) -> list[str] | None:
    """Returns the typed words with the closest known word for each that begins none of them; None if one of them
    has no close word, or none was wrong."""
    words = sorted({word for word in known if word.isalpha()})
    everything = {*known}
    mended: list[str] = []
    for start in typed:
        if any(word.startswith(start) for word in everything):
            mended.append(start)
            continue
        close = get_close_matches(start, words, 1, CLOSEST) if len(start) >= SHORTEST_SLIP else []
        if not close or not start.isalpha():
            return None
        mended += close
    return mended if mended != typed else None
