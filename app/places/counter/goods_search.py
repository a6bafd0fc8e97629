"""What a line may be, by a name or a part that is typed: “star”, “bear”, “11 in”."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from app.actions.catalogue.seasons import in_season, season_words
from app.actions.records.shop import Goods, Shop
from app.quoting.costs import asked_for
from app.quoting.parts import design_note
from app.quoting.recipe import recipe_of
from app.store.models import Design, KindRow
from app.store.search_keys import fold
from app.web.formats import Formats

MOST = 8
DAYS = ("event_start", "lasts_until", "handed")
"""Whose date says for which season an order is, the first that is told."""


@dataclass(frozen=True, slots=True)
class Find:
    """what: as the line's list has it. season: when it is sold, of a design that is out of season."""

    what: str
    name: str
    price: str
    note: str
    season: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """text: what was typed. more: how many were left off."""

    text: str
    finds: tuple[Find, ...] = ()
    more: int = 0


@dataclass(frozen=True, slots=True)
class _Candidate:
    row: Design | KindRow
    parts: str
    seasonal: bool = False
    out: bool = False


def day_wanted(told: Iterable[str | None], today: date) -> date:
    """The first that is a date."""
    for text in told:
        try:
            return date.fromisoformat((text or "").strip())
        except ValueError:
            continue
    return today


def find_goods(text: str, goods: Goods, shop: Shop, formats: Formats, day: date) -> Found:
    """Each word typed begins a word of the name or of a part. What is in season comes first, a name before a part;
    what is out of season last. Retired ones are not found."""
    typed = _words(text)
    graded = [
        (one.out, not one.seasonal, grade, number, one)
        for number, one in enumerate(_candidates(goods, day))
        if typed and (grade := _grade(typed, one)) is not None
    ]
    graded.sort(key=lambda entry: entry[:4])
    finds = tuple(_show(one, goods, shop, formats) for *_, one in graded[:MOST])
    return Found(" ".join(text.split()), finds, len(graded) - len(finds))


def _candidates(goods: Goods, day: date) -> Iterator[_Candidate]:
    for row in goods.designs.values():
        if row.retired_at is None:
            sold = in_season(row.seasons, day)
            yield _Candidate(row, _parts(row, goods), seasonal=bool(row.seasons) and sold, out=not sold)
    yield from (_Candidate(row, "") for row in goods.kinds.values() if row.retired_at is None)


def _parts(row: Design, goods: Goods) -> str:
    """Kinds, fixed colours and supplies, by name."""
    kinds = [goods.kinds[part.kind_id].name for part in row.parts]
    colours = [str(colour) for part in row.parts for colour, _ in part.colours]
    return " ".join([*kinds, *colours, *(one.name for one in recipe_of(row, goods).supplies)])


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", fold(text))


def _grade(typed: list[str], one: _Candidate) -> int | None:
    """0: the name begins so. 1: it is all in the name. 2: it takes the parts too. None: not so named."""
    name, all_words = _words(one.row.name), _words(f"{one.row.name} {one.parts}")
    if not _begin(typed, all_words):
        return None
    if not _begin(typed, name):
        return 2
    return 0 if " ".join(name).startswith(" ".join(typed)) else 1


def _begin(typed: list[str], words: list[str]) -> bool:
    return all(any(word.startswith(start) for word in words) for start in typed)


def _show(one: _Candidate, goods: Goods, shop: Shop, formats: Formats) -> Find:
    row = one.row
    if isinstance(row, Design):
        season = season_words(row.seasons) if one.out else ""
        price = formats.money(asked_for(row, goods, shop))
        return Find(f"design:{row.id}", row.name, price, design_note(row, goods), season)
    return Find(f"kind:{row.id}", row.name, formats.money(row.price_minor), "air only" if row.air_only else "")
