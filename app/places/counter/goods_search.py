"""Finds designs and balloon types by a typed name or part: “star”, “bear”, “11 in”."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from app.actions.catalogue.seasons import describe_seasons, in_season
from app.quoting.catalogue import BalloonOffer, Catalogue, Design
from app.quoting.costs import current_design_price
from app.quoting.parts import describe_design
from app.quoting.recipe import recipe_of
from app.quoting.shop import Shop
from app.store.search_keys import fold_text
from app.web.formats import Formats

MAX_MATCHES = 8
SEASON_DATE_FIELDS = ("event_start", "lasts_until", "hand_over_time")
"""The date fields that decide for which season an order is; the first that has a date counts."""


@dataclass(frozen=True, slots=True)
class GoodsMatch:
    """One thing found. what: its value in the line's list. season: when it is sold, if it is a design out of
    season."""

    what: str
    name: str
    price: str
    note: str
    season: str = ""


@dataclass(frozen=True, slots=True)
class GoodsMatches:
    """What was found. text: what was typed. more: how many were left out."""

    text: str
    matches: tuple[GoodsMatch, ...] = ()
    more: int = 0


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A design or balloon type with the words by which it is found."""

    row: Design | BalloonOffer
    parts: str
    seasonal: bool = False
    out_of_season: bool = False


def event_day_of(texts: Iterable[str | None], today: date) -> date:
    """Returns the first of the texts that is a date; today if none is."""
    for text in texts:
        try:
            return date.fromisoformat((text or "").strip())
        except ValueError:
            continue
    return today


def find_goods(text: str, catalogue: Catalogue, shop: Shop, formats: Formats, day: date) -> GoodsMatches:
    """Returns designs and balloon types in whose name or parts each typed word begins a word.

    What is in season comes first, a match in the name before one in the parts; what is out of season comes last.
    Archived ones are not found.
    """
    typed = _words(text)
    graded = [
        (one.out_of_season, not one.seasonal, grade, number, one)
        for number, one in enumerate(_candidates(catalogue, day))
        if typed and (grade := _grade(typed, one)) is not None
    ]
    graded.sort(key=lambda entry: entry[:4])
    matches = tuple(_show(one, catalogue, shop, formats) for *_, one in graded[:MAX_MATCHES])
    return GoodsMatches(" ".join(text.split()), matches, len(graded) - len(matches))


def _candidates(catalogue: Catalogue, day: date) -> Iterator[_Candidate]:
    """Yields everything that can be found."""
    for row in catalogue.designs.values():
        if row.archived_at is None:
            sold = in_season(row.seasons, day)
            yield _Candidate(
                row, _parts(row, catalogue), seasonal=bool(row.seasons) and sold, out_of_season=not sold
            )
    yield from (_Candidate(row, "") for row in catalogue.balloon_types.values() if row.archived_at is None)


def _parts(row: Design, catalogue: Catalogue) -> str:
    """Returns the names of its balloon types, fixed colours and supplies."""
    balloon_types = [catalogue.balloon_types[part.balloon_type_id].name for part in row.parts]
    colours = [str(colour) for part in row.parts for colour, _ in part.colours]
    return " ".join([*balloon_types, *colours, *(one.name for one in recipe_of(row, catalogue).supplies)])


def _words(text: str) -> list[str]:
    """Returns the words in small letters."""
    return re.findall(r"\w+", fold_text(text))


def _grade(typed: list[str], one: _Candidate) -> int | None:
    """Returns how well the candidate matches: 0 if its name begins so, 1 if all words are in the name, 2 if they
    need its parts too, None if it does not match."""
    name, all_words = _words(one.row.name), _words(f"{one.row.name} {one.parts}")
    if not _begin(typed, all_words):
        return None
    if not _begin(typed, name):
        return 2
    return 0 if " ".join(name).startswith(" ".join(typed)) else 1


def _begin(typed: list[str], words: list[str]) -> bool:
    """Returns whether each typed word begins one of the words."""
    return all(any(word.startswith(start) for word in words) for start in typed)


def _show(one: _Candidate, catalogue: Catalogue, shop: Shop, formats: Formats) -> GoodsMatch:
    """Returns the candidate as the page shows it."""
    row = one.row
    if isinstance(row, Design):
        season = describe_seasons(row.seasons) if one.out_of_season else ""
        price = formats.money(current_design_price(row, catalogue, shop))
        return GoodsMatch(f"design:{row.id}", row.name, price, describe_design(row, catalogue), season)
    return GoodsMatch(
        f"balloon_type:{row.id}", row.name, formats.money(row.price_minor), "air only" if row.air_only else ""
    )
