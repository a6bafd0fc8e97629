"""Finds designs and balloon types by a typed name or part: “star”, “bear”, “11 in”, “loose latex”."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from wtforms.validators import ValidationError

from app.actions.catalogue.seasons import describe_seasons, in_season
from app.places.counter.goods_words import all_begin, searchable, without_slips, words_of
from app.quoting.catalogue import BalloonOffer, Catalogue, Design
from app.quoting.costs import current_design_price
from app.quoting.parts import describe_design
from app.quoting.recipe import recipe_of
from app.quoting.shop import Shop
from app.web.formats import Formats
from app.web.forms.dates import read_day
from app.web.measures import INCH_CM

MAX_MATCHES = 8
SEASON_DATE_FIELDS = ("event_start", "lasts_until", "hand_over_time")
"""The date fields that decide for which season an order is; the first that has a date counts."""
OUT_OF_SEASON_RANK = 2
LOOSE = "loose single plain balloons"
"""What counter staff call a balloon that is part of no design."""


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
    """What was found. text: what was typed. more: how many were left out. meant: the words that were searched for
    instead, because nothing has the typed ones; what was found is then only a suggestion."""

    text: str
    matches: tuple[GoodsMatch, ...] = ()
    more: int = 0
    meant: str = ""

    @property
    def certain(self) -> GoodsMatch | None:
        """What was typed for sure: the only thing found, or the only one that is called exactly so."""
        called_so = [one for one in self.matches if sorted(words_of(one.name)) == sorted(words_of(self.text))]
        found = called_so if called_so or self.more else self.matches
        return found[0] if len(found) == 1 and not self.meant else None


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A design or balloon type with the words by which it is found.

    name: the words of its name. words: those, and all others by which it is found. rank: its place among those that
    match equally well, the lowest first: first balloon types, those in most designs first, then designs in season.
    """

    row: Design | BalloonOffer
    name: tuple[str, ...]
    words: tuple[str, ...]
    rank: int


def event_day_of(texts: Iterable[str | None], today: date) -> date:
    """Returns the first of the texts that is a date; today if none is."""
    for text in texts:
        try:
            return read_day(text or "")
        except ValidationError:
            continue
    return today


def find_goods(text: str, catalogue: Catalogue, shop: Shop, formats: Formats, day: date) -> GoodsMatches:
    """Returns designs and balloon types in whose name or parts each typed word begins a word.

    What has exactly the typed name comes first, then balloon types, then designs: those in season, those that are
    always sold, those out of season; a match in the name before one in the parts. If nothing is found, the words
    that are most like the typed ones are searched for, and `meant` names them. Archived ones are not found.
    """
    typed, meant = words_of(text), ""
    candidates = [*_candidates(catalogue, formats, day)]
    graded = _graded(typed, candidates)
    if typed and not graded:
        mended = without_slips(typed, {word for one in candidates for word in one.words})
        graded = _graded(mended or [], candidates)
        meant = " ".join(mended or []) if graded else ""
    matches = tuple(_show(one, catalogue, shop, formats) for one in graded[:MAX_MATCHES])
    return GoodsMatches(" ".join(text.split()), matches, len(graded) - len(matches), meant)


def show_goods(what: str, catalogue: Catalogue, shop: Shop, formats: Formats, day: date) -> GoodsMatch | None:
    """Returns what a line's list calls so; None if it is not sold any more."""
    found = (one for one in _candidates(catalogue, formats, day) if _value(one.row) == what)
    return next((_show(one, catalogue, shop, formats) for one in found), None)


def _graded(typed: list[str], candidates: Iterable[_Candidate]) -> list[_Candidate]:
    """Returns the candidates that match, the best first."""
    grades = ((one, _grade(typed, one)) for one in candidates)
    found = [(one, grade) for one, grade in grades if typed and grade is not None]
    return [one for one, _ in sorted(found, key=lambda entry: (entry[1] != 0, entry[0].rank, entry[1]))]


def _candidates(catalogue: Catalogue, formats: Formats, day: date) -> Iterator[_Candidate]:
    """Yields everything that can be found."""
    used = Counter(part.balloon_type_id for row in catalogue.designs.values() for part in row.parts)
    for offer in catalogue.balloon_types.values():
        if offer.archived_at is None:
            name = searchable(offer.name)
            more = searchable(f"{LOOSE} {_sizes_in_cm(offer) if formats.centimetres else ''}")
            yield _Candidate(offer, tuple(words_of(offer.name)), (*name, *more), -1 - used[offer.id])
    for row in catalogue.designs.values():
        if row.archived_at is None:
            words = (*searchable(row.name), *searchable(_parts(row, catalogue)))
            rank = OUT_OF_SEASON_RANK if not in_season(row.seasons, day) else 0 if row.seasons else 1
            yield _Candidate(row, tuple(words_of(row.name)), words, rank)


def _sizes_in_cm(offer: BalloonOffer) -> str:
    """Returns its size in cm as it may be typed: to a tenth and whole."""
    return f"{offer.nominal_in * INCH_CM:.1f} cm {offer.nominal_in * INCH_CM:.0f} cm"


def _parts(row: Design, catalogue: Catalogue) -> str:
    """Returns the names of its balloon types, fixed colours and supplies."""
    balloon_types = [catalogue.balloon_types[part.balloon_type_id].name for part in row.parts]
    colours = [str(colour) for part in row.parts for colour, _ in part.colours]
    return " ".join([*balloon_types, *colours, *(one.name for one in recipe_of(row, catalogue).supplies)])


def _grade(typed: list[str], one: _Candidate) -> int | None:
    """Returns how well the candidate matches: 0 if that is its name, 1 if its name begins so, 2 if all words are in
    the name, 3 if they need its parts too, None if it does not match."""
    if not all_begin(typed, one.words):
        return None
    if sorted(typed) == sorted(one.name):
        return 0
    if " ".join(one.name).startswith(" ".join(typed)):
        return 1
    return 2 if all_begin(typed, searchable(one.row.name)) else 3


def _value(row: Design | BalloonOffer) -> str:
    """Returns the value that stands for it in the line's list."""
    return f"{'design' if isinstance(row, Design) else 'balloon_type'}:{row.id}"


def _show(one: _Candidate, catalogue: Catalogue, shop: Shop, formats: Formats) -> GoodsMatch:
    """Returns the candidate as the page shows it."""
    row = one.row
    if isinstance(row, Design):
        season = describe_seasons(row.seasons) if one.rank == OUT_OF_SEASON_RANK else ""
        price = formats.money(current_design_price(row, catalogue, shop))
        return GoodsMatch(_value(row), row.name, price, describe_design(row, catalogue), season)
    size = formats.size(row.nominal_in) if formats.centimetres else ""
    notes = (size, "air only" if row.air_only else "")
    return GoodsMatch(_value(row), row.name, formats.money(row.price_minor), ", ".join(filter(None, notes)))
