"""What an order needs and the stock does not have: shown while the caller waits, and accepted only with a
reason."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.stock.articles import Article, StockNeed, colour_key, needs_of
from app.actions.stock.availability import Availability, available_for
from app.planning.stock import ANY, ArticleStock, StockChange
from app.quoting.quote import Quote
from app.quoting.shop import Shop
from app.store.queries.stock import StockFilledRow, filled_batches

COUNT_TOLERANCE = 1e-9
FilledKey = tuple[int, str, bool, str]
"""Balloon type, gas, treated, and the colour as `colour_key` returns it."""


@dataclass(frozen=True, slots=True)
class ShortGoods:
    """A need that is not fully met. count: how many of it are missing. enough_from: the first day on which all of
    it will be there; None if too little is on its way. is_known: whether the stock ever had, or will have, that
    colour. old: how many of it are there that are too old to be filled."""

    need: StockNeed
    count: float
    enough_from: date | None
    is_known: bool = True
    old: float = 0.0

    @property
    def free(self) -> float:
        """How many of what is needed are there."""
        return self.need.count - self.count


@dataclass(frozen=True, slots=True)
class StockCheck:
    """What the stock says about an order. needs: its needs of counted articles only. before: the stock without the
    order."""

    needs: tuple[StockNeed, ...]
    shortages: tuple[ShortGoods, ...]
    before: Availability

    @property
    def is_counted(self) -> bool:
        """Whether the order needs anything that the shop counts."""
        return bool(self.needs)

    @property
    def missing_counts(self) -> dict[tuple[Article, str], float]:
        """How many are missing in all, by article and colour."""
        counts: dict[tuple[Article, str], float] = {}
        for short in self.shortages:
            key = (short.need.article, short.need.colour_key)
            counts[key] = counts.get(key, 0.0) + short.count
        return counts

    def is_shorter_than(self, other: "StockCheck") -> bool:
        """Returns whether more is missing of anything than in the other."""
        return any(
            count > other.missing_counts.get(key, 0.0) + COUNT_TOLERANCE
            for key, count in self.missing_counts.items()
        )

    def count_left_over(self, need: StockNeed) -> float:
        """Returns, for a need that is not short, how many are left over once the order has all that it needs."""
        mine = [one for one in self.needs if one.article == need.article]
        shelf = self.before.by_article[need.article]
        return _with(shelf, [_promise(one) for one in mine]).free(need.colour_key, need.day)


def find_shortages(
    context: Context,
    quote: Quote,
    excluding_order: int | None = None,
) -> StockCheck:
    """Returns what the stock says about the quote. excluding_order: the number of the order, if it is saved
    already."""
    availability = available_for(context, excluding_order)
    return check_stock(quote, context.shop, availability, filled_of(context.session, excluding_order))


def filled_of(session: Session, number: int | None) -> list[StockFilledRow]:
    """Returns what is filled of the order of this number; nothing for a new order, whose number is None."""
    return filled_batches(session, number) if number else []


def check_stock(
    quote: Quote, shop: Shop, availability: Availability, filled: Sequence[StockFilledRow]
) -> StockCheck:
    """Returns what this stock says about the quote. filled: what of the order is filled already."""
    counted = [need for need in needs_of(quote, shop) if need.article in availability.by_article]
    counted = list(_still_to_take(counted, filled)) if filled else counted
    return StockCheck(tuple(counted), tuple(find_short_goods(counted, availability)), availability)


def _still_to_take(needs: list[StockNeed], filled: Iterable[StockFilledRow]) -> Iterator[StockNeed]:
    """Yields the needs without what is filled already; for which hand-over it was filled, and what hangs on it,
    makes no difference."""
    left: dict[FilledKey, float] = {}
    for row in filled:
        for colour, count in row.colours:
            key = (row.balloon_type_id, row.gas, row.treated, colour_key(colour))
            left[key] = left.get(key, 0.0) + count
    for need in needs:
        key = _key(need)
        done = min(need.count, left.get(key, 0.0))
        if done:
            left[key] -= done
        yield replace(need, count=need.count - done)


def _key(need: StockNeed) -> FilledKey:
    """Returns the key under which filled balloons are subtracted from a need. No filled balloon has the key of a
    supply."""
    spec = need.spec
    return (
        (spec.balloon_type_id, spec.gas.value, spec.treated, need.colour_key)
        if spec
        else (0, "", False, need.colour_key)
    )


def find_short_goods(needs: list[StockNeed], availability: Availability) -> Iterator[ShortGoods]:
    """Yields the needs that are not fully met, each along with the needs before it."""
    promised: dict[Article, list[StockChange]] = {}
    for need in needs:
        shelf = availability.by_article[need.article]
        mine = promised.setdefault(need.article, [])
        others = _with(shelf, mine)
        free = others.free(need.colour_key, need.day)
        if need.count > free + COUNT_TOLERANCE:
            old = availability.old(need.article, need.colour_key)
            yield ShortGoods(need, need.count - free, _enough_from(need, others), _is_known(need, shelf), old)
        mine.append(_promise(need))


def _promise(need: StockNeed) -> StockChange:
    """Returns a need as a change of the shelf."""
    return StockChange(need.day, need.colour_key, need.count)


def _with(shelf: ArticleStock, promised: Sequence[StockChange]) -> ArticleStock:
    """Returns the shelf with more promised."""
    if not promised:
        return shelf
    return ArticleStock(shelf.today, shelf.in_stock, shelf.coming, [*shelf.promised, *promised])


def _is_known(need: StockNeed, shelf: ArticleStock) -> bool:
    """Returns whether the shelf has or will have the colour."""
    names = {colour for colour, _ in shelf.in_stock} | {one.colour for one in shelf.coming}
    return not shelf.by_colour or need.colour_key in names | {ANY}


def _enough_from(need: StockNeed, shelf: ArticleStock) -> date | None:
    """Returns the first later day on which the need is fully met; None if there is none."""
    later = (day for day in shelf.days if day > need.day)
    return next((day for day in later if shelf.free(need.colour_key, day) + COUNT_TOLERANCE >= need.count), None)
