"""What could replace what the shelves are short of: the same balloons in another colour, or another size in that
colour. Each is worked out in full before it is offered."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain, islice

from sqlalchemy.orm import Session

from app.actions.errors import Refused
from app.actions.records.shop import Goods, Shop
from app.actions.stock.articles import Article, shelved_as, wants_of, wants_of_line
from app.actions.stock.availability import Shelves, load_shelves
from app.actions.stock.shortages import Short, Stock, filled_of, judge
from app.craft.colours import ColoursUnclear, names_alone, share_out
from app.quoting.alternatives import Ask, line_verdict
from app.quoting.parts import SoldLine
from app.quoting.quote import WORST_FIRST, Quote
from app.quoting.request import LineWish
from app.store.models import KindRow
from app.store.queries.stock import FilledRow

MOST_COLOURS = 4
MOST_SIZES = 2


@dataclass(frozen=True, slots=True)
class Instead:
    """A line as it could be instead; its place counts from 0. free: how many of what replaces it could be had."""

    line: int
    answer: Quote
    costs_minor: int
    free: float


def instead_of(
    session: Session,
    answer: Quote,
    stock: Stock,
    ask: Ask,
    shop: Shop,
    goods: Goods,
    now: datetime,
    but: int | None = None,
) -> list[Instead]:
    """For each line with something short: what is missing in the colour of which most is free, then all of it in
    another, then the nearest sizes; the line's promise gets no worse by it, and nothing else runs short. stock:
    what the shelves say to the order as it is. but: the number of the order, where it is kept already."""
    shorts = [short for short in stock.shorts if short.want.article.kind_id]
    if not shorts:
        return []
    sizes = {short: _like(goods.kinds[short.want.article.kind_id], goods) for short in shorts}
    articles = {want.article for want in wants_of(answer, shop)}
    articles |= {Article(kind_id=row.id) for rows in sizes.values() for row in rows}
    shelves = load_shelves(session, shop, goods, now, articles, but)
    asked = _Asked(answer, stock, ask, shop, shelves, filled_of(session, but))
    return [
        found
        for place, line in enumerate(answer.lines)
        for short in shorts
        if short.want in wants_of_line(line, [short.want])
        for found in (*asked.colours(place, line, short), *asked.sizes(place, line, sizes[short]))
    ]


def _like(kind: KindRow, goods: Goods) -> list[KindRow]:
    """Other sizes of the same, the nearest first."""
    like = (kind.material, kind.air_only)
    rows = [row for row in goods.kinds_offered if (row.material, row.air_only) == like and row.id != kind.id]
    return sorted(rows, key=lambda row: abs(row.nominal_in - kind.nominal_in))


@dataclass(frozen=True, slots=True)
class _Asked:
    answer: Quote
    stock: Stock
    ask: Ask
    shop: Shop
    shelves: Shelves
    filled: Sequence[FilledRow]

    def colours(self, place: int, line: SoldLine, short: Short) -> Iterator[Instead]:
        article, day = short.want.article, short.want.day
        shelf = self.shelves.by_article[article]
        free = {colour: shelf.free(colour, day) for colour in shelf.colours}
        most = sorted((colour for colour in free if free[colour] > 0), key=lambda colour: -free[colour])
        names = [self.shelves.colour(article, colour) for colour in most]
        missing = int(short.count) if short.free > 0 else 0
        some, whole = (
            [wish for name in names if (wish := recoloured(line.wish, short.want.colour, name, count))]
            for count in (missing, None)
        )
        first = islice(self._that_do(place, some), 1)
        return islice(chain(first, self._that_do(place, whole)), MOST_COLOURS)

    def sizes(self, place: int, line: SoldLine, rows: Iterable[KindRow]) -> Iterator[Instead]:
        """Only of loose balloons: a design is made for its sizes."""
        if line.wish.kind_id is None:
            return iter(())
        wishes = (replace(line.wish, kind_id=row.id) for row in rows)
        return islice(self._that_do(place, wishes), MOST_SIZES)

    def _that_do(self, place: int, lines: Iterable[LineWish]) -> Iterator[Instead]:
        return (found for line in lines if (found := self._worked_out(place, line)))

    def _worked_out(self, place: int, line: LineWish) -> Instead | None:
        """None where it cannot be made, is promised worse, or where that or anything else would be short; nobody
        knows how many there are of what is not counted."""
        wish = self.answer.wish
        try:
            better = self.ask(replace(wish, lines=(*wish.lines[:place], line, *wish.lines[place + 1 :])))
        except Refused:
            return None
        stock = judge(better, self.shop, self.shelves, self.filled)
        if self._is_uncounted(better) or stock.is_shorter_than(self.stock) or stock.lacking == self.stock.lacking:
            return None
        was, now = (WORST_FIRST.index(line_verdict(one, place)) for one in (self.answer, better))
        if now < was:
            return None
        return Instead(place, better, better.total_minor - self.answer.total_minor, self._free(stock))

    def _is_uncounted(self, better: Quote) -> bool:
        """Whether it takes what nobody counts, and the order as it is does not."""
        now, then = ({want.article for want in wants_of(one, self.shop)} for one in (self.answer, better))
        return any(article not in self.shelves.by_article for article in then - now)

    def _free(self, stock: Stock) -> float:
        """Of what it takes more of than the order as it is."""
        had, has = _counts(self.stock), _counts(stock)
        more = {key for key, count in has.items() if count > had.get(key, 0.0)}
        wants = (want for want in stock.wants if (want.article, want.shelved_as) in more)
        return min(self.shelves.by_article[want.article].free(want.shelved_as, want.day) for want in wants)


def _counts(stock: Stock) -> dict[tuple[Article, str], float]:
    counts: dict[tuple[Article, str], float] = {}
    for want in stock.wants:
        counts[want.article, want.shelved_as] = counts.get((want.article, want.shelved_as), 0.0) + want.count
    return counts


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
