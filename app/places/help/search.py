"""The search over the help: sections that have every word, whatever its case, accents and hyphens."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup

from app.places.help.chapters import Chapter
from app.places.help.sections import Section

MOST_LETTERS = 100
EXCERPT_LETTERS = 220
BEFORE_HIT = 60
HYPHENS = "-‐‑–"


@dataclass(frozen=True, slots=True)
class Hit:
    """A section that was found, with the words marked in its title and in an excerpt of its text."""

    chapter: Chapter
    section: Section
    title: Markup
    excerpt: Markup


def search_words(typed: str) -> list[str]:
    """Returns the words of what was typed, without case and accents."""
    return re.findall(r"[^\W_]+", _fold(typed[:MOST_LETTERS])[0])


def find_sections(typed: str, chapters: Iterable[tuple[Chapter, list[Section]]]) -> list[Hit]:
    """Returns the sections that have every word at the beginning of one of theirs, those with words in their title
    first. Returns none if no word was typed."""
    patterns = [_pattern(word) for word in search_words(typed)]
    if not patterns:
        return []
    found = [
        (sum(bool(pattern.search(_fold(section.title)[0])) for pattern in patterns), chapter, section)
        for chapter, sections in chapters
        for section in sections
        if _has_all(f"{section.title} {section.text} {section.names}", patterns)
    ]
    found.sort(key=lambda one: -one[0])
    return [
        Hit(chapter, section, _mark(section.title, patterns), _excerpt(section.text, patterns))
        for _, chapter, section in found
    ]


def _has_all(text: str, patterns: list[re.Pattern[str]]) -> bool:
    folded, _ = _fold(text)
    return all(pattern.search(folded) for pattern in patterns)


def _pattern(word: str) -> re.Pattern[str]:
    """Returns a pattern for a word at the beginning of a word; “pickups” finds “pick-ups”."""
    return re.compile(r"(?<!\w)" + f"[{HYPHENS}]?".join(map(re.escape, word)))


@lru_cache(maxsize=1024)
def _fold(text: str) -> tuple[str, Sequence[int]]:
    """Returns the text without case and accents, and for each of its letters the place that it has in the text."""
    letters, places = [], []
    for place, letter in enumerate(text):
        for part in unicodedata.normalize("NFKD", letter.casefold()):
            if not unicodedata.combining(part):
                letters.append(part)
                places.append(place)
    return "".join(letters), tuple(places)


def _spans(text: str, patterns: list[re.Pattern[str]]) -> Iterator[tuple[int, int]]:
    """Yields where the words stand in the text, in order and never overlapping."""
    folded, places = _fold(text)
    end = 0
    for found in sorted(match.span() for pattern in patterns for match in pattern.finditer(folded)):
        start = places[found[0]]
        if start >= end:
            end = places[found[1] - 1] + 1
            yield start, end


def _mark(text: str, patterns: list[re.Pattern[str]]) -> Markup:
    """Returns the text as markup, with each word that was found marked."""
    marked, end = Markup(), 0
    for start, stop in _spans(text, patterns):
        marked += Markup("{}<mark>{}</mark>").format(text[end:start], text[start:stop])
        end = stop
    return marked + text[end:]


def _excerpt(text: str, patterns: list[re.Pattern[str]]) -> Markup:
    """Returns the part of the text around its first word that was found, cut between words."""
    first = next((start for start, _ in _spans(text, patterns)), 0)
    begin = 0 if first <= BEFORE_HIT else text.find(" ", first - BEFORE_HIT) + 1
    end = len(text) if len(text) - begin <= EXCERPT_LETTERS else text.rfind(" ", begin, begin + EXCERPT_LETTERS)
    if end <= begin:
        end = begin + EXCERPT_LETTERS
    shown = f"{'… ' if begin else ''}{text[begin:end]}{' …' if end < len(text) else ''}"
    return _mark(shown, patterns)
