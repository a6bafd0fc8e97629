"""What could replace what the shelves are short of: the same balloons in another colour, or another size in that
colour. Each is worked out in full before it is offered."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace

from app.actions.errors import Refused
from app.actions.parts import SoldLine
from app.actions.quote import WORST_FIRST, Quote
from app.actions.remedies import Ask, line_verdict
from app.actions.shop import Goods, Shop
from app.actions.stock.articles import Article, Want, shelved_as, wants_of, wants_of_line
from app.actions.stock.shelves import Shelves
from app.actions.stock.short import Short, what_is_short
from app.actions.wish import LineWish
from app.craft.colours import ColoursUnclear, names_alone, share_out

MOST_COLOURS = 4
MOST_SIZES = 2

Look = Callable[[Collection[Article]], Shelves]
"""The shelves of these articles, without the promise of the order asked about."""


@dataclass(frozen=True, slots=True)
class Instead:
    """A line as it could be instead; its place counts from 0. free: how many of what replaces it could be had."""

    line: int
    answer: Quote
    costs_minor: int
    free: float


def instead_of(
    answer: Quote, shorts: Collection[Short], ask: Ask, look: Look, shop: Shop, goods: Goods
) -> list[Instead]:
    """For each line with something short: what is missing in the colour of which most is free, then all of it in
    another, then the nearest sizes; the line's promise gets no worse by it."""
    asked = _Asked(answer, ask, shop)
    found = []
    for place, line in enumerate(answer.lines):
        for short in shorts:
            if short.want.article.kind_id and short.want in wants_of_line(line, [short.want]):
                found += [*asked.colours(place, line, short, look), *asked.sizes(place, line, short, look, goods)]
    return found


@dataclass(frozen=True, slots=True)
class _Asked:
    answer: Quote
    ask: Ask
    shop: Shop

    def colours(self, place: int, line: SoldLine, short: Short, look: Look) -> list[Instead]:
        shelves = look({short.want.article})
        shelf = shelves.by_article[short.want.article]
        free = {colour: shelf.free(colour, short.want.day) for colour in shelf.colours}
        most = sorted((colour for colour in free if free[colour] > 0), key=lambda colour: -free[colour])
        names = [shelves.colour(short.want.article, colour) for colour in most]
        missing, whole = (
            [wish for name in names if (wish := recoloured(line.wish, short.want.colour, name, count))]
            for count in (int(short.count) if short.free > 0 else None, None)
        )
        found = (self._worked_out(place, wish, shelves) for wish in (*missing[:1], *whole))
        return list({one.answer.wish: one for one in found if one}.values())[:MOST_COLOURS]

    def sizes(self, place: int, line: SoldLine, short: Short, look: Look, goods: Goods) -> list[Instead]:
        """Only of loose balloons: a design is made for its sizes."""
        kind = goods.kinds.get(line.wish.kind_id or 0)
        if kind is None:
            return []
        rows = [
            row for row in goods.kinds_offered if (row.material, row.air_only) == (kind.material, kind.air_only)
        ]
        rows.sort(key=lambda row: abs(row.nominal_in - kind.nominal_in))
        shelves = look({Article(kind_id=row.id) for row in rows})
        wishes = (replace(line.wish, kind_id=row.id) for row in rows if row.id != kind.id)
        found = (self._worked_out(place, wish, shelves) for wish in wishes)
        return [one for one in found if one][:MOST_SIZES]

    def _worked_out(self, place: int, line: LineWish, shelves: Shelves) -> Instead | None:
        """None where it cannot be made, is promised worse, or is not there either; nobody knows how many there are
        of what is not counted."""
        wish = self.answer.wish
        try:
            better = self.ask(replace(wish, lines=(*wish.lines[:place], line, *wish.lines[place + 1 :])))
        except Refused:
            return None
        before = {(want.article, want.shelved_as): want.count for want in wants_of(self.answer, self.shop)}
        more = [
            want
            for want in wants_of(better, self.shop)
            if want.count > before.get((want.article, want.shelved_as), 0.0)
        ]
        if any(want.article not in shelves.by_article for want in more) or any(what_is_short(more, shelves)):
            return None
        was, now = (WORST_FIRST.index(line_verdict(one, place)) for one in (self.answer, better))
        if now < was or not more:
            return None
        return Instead(place, better, better.total_minor - self.answer.total_minor, _free(more, shelves))


def _free(wants: Collection[Want], shelves: Shelves) -> float:
    return min(shelves.by_article[want.article].free(want.shelved_as, want.day) for want in wants)


def recoloured(line: LineWish, was: str, now: str, count: int | None = None) -> LineWish | None:
    """The line with another colour in place of one of its own, or only for so many of it, if it is no design. None
    where it names no such colour, has the other already, or has no more of it."""
    try:
        names, shares = names_alone(line.colours), share_out(line.colours, line.quantity, figures=True)
    except ColoursUnclear:
        return None
    has = {shelved_as(name): name for name in shares}
    own = has.get(shelved_as(was)) if was else None
    if own is None or shelved_as(now) in has:
        return None
    if count is not None:
        if line.design_id is not None or not 0 < count < shares[own]:
            return None
        return replace(line, colours=_counted({**shares, own: shares[own] - count, now: count}))
    renamed = {name: now if name == own else name for name in shares}
    if names:
        return replace(line, colours=", ".join(renamed[name] for name in names))
    return replace(line, colours=_counted({renamed[name]: share for name, share in shares.items()}))


def _counted(shares: Mapping[str, int]) -> str:
    return ", ".join(f"{share} {name}" for name, share in shares.items())
