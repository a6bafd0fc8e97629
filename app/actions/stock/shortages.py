"""What an order needs and the stock does not have: shown while the caller waits, and accepted only with a
reason."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.stock.articles import Article, StockNeed, needs_of, shelved_as
from app.actions.stock.availability import Availability, load_availability
from app.planning.stock import ANY, Change, Shelf
from app.quoting.quote import Quote
from app.quoting.shop import Shop
from app.store.queries.stock import StockFilledRow, filled_batches

_HARDLY = 1e-9
FilledKey = tuple[int, str, bool, str]
"""Balloon type, gas, treated, and the colour as `shelved_as` returns it."""


@dataclass(frozen=True, slots=True)
class ShortGoods:
    """A need that is not fully met. count: how many of it are missing. there_from: the first day on which all of it
    will be there; None if too little is on its way. is_known: whether the stock ever had, or will have, that
    colour."""

    want: StockNeed
    count: float
    there_from: date | None
    is_known: bool = True

    @property
    def free(self) -> float:
        """How many of what is needed are there."""
        return self.want.count - self.count


@dataclass(frozen=True, slots=True)
class Stock:
    """What the stock says about an order. wants: its needs of counted articles only. before: the stock without the
    order."""

    wants: tuple[StockNeed, ...]
    shorts: tuple[ShortGoods, ...]
    before: Availability

    @property
    def is_counted(self) -> bool:
        """Whether the order needs anything that the shop counts."""
        return bool(self.wants)

    @property
    def lacking(self) -> dict[tuple[Article, str], float]:
        """How many are missing in all, by article and colour."""
        counts: dict[tuple[Article, str], float] = {}
        for short in self.shorts:
            key = (short.want.article, short.want.shelved_as)
            counts[key] = counts.get(key, 0.0) + short.count
        return counts

    def is_shorter_than(self, other: "Stock") -> bool:
        """Returns whether more is missing of anything than in the other."""
        return any(count > other.lacking.get(key, 0.0) + _HARDLY for key, count in self.lacking.items())

    def stays_free(self, want: StockNeed) -> float:
        """Returns, for a need that is not short, how many stay free once the order has all that it needs."""
        mine = [one for one in self.wants if one.article == want.article]
        shelf = self.before.by_article[want.article]
        return _with(shelf, [_promise(one) for one in mine]).free(want.shelved_as, want.day)


def find_shortages(
    context: Context,
    quote: Quote,
    excluding_order: int | None = None,
) -> Stock:
    """Returns what the stock says about the quote. excluding_order: the number of the order, if it is saved
    already."""
    articles = {want.article for want in needs_of(quote, context.shop)}
    availability = load_availability(context, articles, excluding_order)
    return judge(quote, context.shop, availability, filled_of(context.session, excluding_order))


def filled_of(session: Session, number: int | None) -> list[StockFilledRow]:
    """Returns what is filled of the order of this number; nothing for a new order, whose number is None."""
    return filled_batches(session, number) if number else []


def judge(quote: Quote, shop: Shop, availability: Availability, filled: Sequence[StockFilledRow]) -> Stock:
    """Returns what this stock says about the quote. filled: what of the order is filled already."""
    counted = [want for want in needs_of(quote, shop) if want.article in availability.by_article]
    counted = list(_still_to_take(counted, filled))
    return Stock(tuple(counted), tuple(what_is_short(counted, availability)), availability)


def _still_to_take(wants: list[StockNeed], filled: Iterable[StockFilledRow]) -> Iterator[StockNeed]:
    """Yields the needs without what is filled already; for which hand-over it was filled makes no difference."""
    left: dict[FilledKey, float] = {}
    for row in filled:
        for colour, count in row.colours:
            key = (row.balloon_type_id, row.gas, row.treated, shelved_as(colour))
            left[key] = left.get(key, 0.0) + count
    for want in wants:
        key = _key(want)
        done = min(want.count, left.get(key, 0.0))
        if done:
            left[key] -= done
        yield replace(want, count=want.count - done)


def _key(want: StockNeed) -> FilledKey:
    """Returns by what a need is compared with what is filled. A supply has no batch, so it is never filled."""
    spec = want.spec
    return (
        (spec.balloon_type_id, spec.gas.value, spec.treated, want.shelved_as)
        if spec
        else (0, "", False, want.shelved_as)
    )


def what_is_short(wants: list[StockNeed], availability: Availability) -> Iterator[ShortGoods]:
    """Yields the needs that are not fully met, each along with the needs before it."""
    promised: dict[Article, list[Change]] = {}
    for want in wants:
        shelf = availability.by_article[want.article]
        mine = promised.setdefault(want.article, [])
        beside = _with(shelf, mine)
        free = beside.free(want.shelved_as, want.day)
        if want.count > free + _HARDLY:
            yield ShortGoods(want, want.count - free, _there_from(want, beside), _is_known(want, shelf))
        mine.append(_promise(want))


def _promise(want: StockNeed) -> Change:
    """Returns a need as a change of the shelf."""
    return Change(want.day, want.shelved_as, want.count)


def _with(shelf: Shelf, promised: Sequence[Change]) -> Shelf:
    """Returns the shelf with more promised."""
    return Shelf(shelf.today, shelf.there, shelf.coming, [*shelf.promised, *promised])


def _is_known(want: StockNeed, shelf: Shelf) -> bool:
    """Returns whether the shelf has or will have the colour."""
    names = {colour for colour, _ in shelf.there} | {one.colour for one in shelf.coming}
    return not shelf.by_colour or want.shelved_as in names | {ANY}


def _there_from(want: StockNeed, shelf: Shelf) -> date | None:
    """Returns the first later day on which the need is fully met; None if there is none."""
    later = (day for day in shelf.days if day > want.day)
    return next((day for day in later if shelf.free(want.shelved_as, day) + _HARDLY >= want.count), None)
