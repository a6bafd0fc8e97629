"""The buying list: what must be ordered for the next delivery day, and what will be short before it can come."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.actions.stock.articles import Article
from app.actions.stock.availability import Availability, StockDemand
from app.actions.stock.deliveries import next_deliveries
from app.planning.buying import purchases_needed, shortages_before
from app.planning.stock import ArticleStock, StockChange, StockShortage
from app.quoting.catalogue import Catalogue
from app.quoting.defaults import StockDefaults


@dataclass(frozen=True, slots=True)
class BuyingRow:
    """One row to order. colour: as `colour_key` returns it. missing: how many are short. spares: how many of
    those are for spares alone. minor: the price of all packs; None if nobody entered what one costs. orders: the
    numbers of the orders that ask for it."""

    article: Article
    colour: str
    missing: float
    spares: float
    packs: int
    pieces: float
    minor: int | None
    orders: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TooLate:
    """An article that is short by this count from a day on, before anything ordered now can come. orders: the
    numbers of the orders that make it short; those that the stock serves are not among them."""

    article: Article
    colour: str
    count: float
    day: date
    orders: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BuyingList:
    """first: the day of the next delivery that can still be ordered. order_by: the last day to order it; None if
    goods come on no fixed day. second: the day of the delivery after it."""

    first: date
    second: date
    order_by: date | None
    rows: tuple[BuyingRow, ...]
    too_late: tuple[TooLate, ...]


def buying_list(
    availability: Availability, catalogue: Catalogue, stock_defaults: StockDefaults, today: date
) -> BuyingList:
    """Returns what to order of the articles that the shop counts, for open orders and the spares of their
    batches."""
    first, second = next_deliveries(stock_defaults, today)
    asked = _by_article(availability.demands)
    rows: list[BuyingRow] = []
    too_late: list[TooLate] = []
    for article, shelf in availability.by_article.items():
        mine = asked.get(article, ())
        spares = [StockChange(one.day, one.colour, one.spares) for one in mine if one.spares]
        rows += _to_buy(article, shelf, spares, mine, (first, second), catalogue)
        too_late += _too_late(article, shelf, mine, first)
    order_by = None if stock_defaults.delivery_weekday is None else first - timedelta(days=stock_defaults.lead_days)
    return BuyingList(first, second, order_by, tuple(rows), tuple(too_late))


def cost_of(article: Article, packs: int, catalogue: Catalogue) -> int | None:
    """Returns the price of the packs in minor units; None if nobody entered what one costs."""
    known = (
        catalogue.balloon_types[article.balloon_type_id]
        if article.balloon_type_id
        else catalogue.supplies[article.supply_id]
    )
    return packs * known.pack_minor if known.pack_minor else None


def _to_buy(
    article: Article,
    shelf: ArticleStock,
    spares: Sequence[StockChange],
    asked: Sequence[StockDemand],
    days: tuple[date, date],
    catalogue: Catalogue,
) -> Iterator[BuyingRow]:
    """Yields what to order of one article, with the part of it that only spares need."""
    size = article.pack_size(catalogue)
    promised = {one.colour: one.short for one in purchases_needed(shelf, *days, size)} if spares else {}
    for one in purchases_needed(replace(shelf, promised=[*shelf.promised, *spares]), *days, size):
        of_spares = max(0.0, one.short - promised.get(one.colour, 0.0)) if spares else 0.0
        orders = _orders(asked, shelf, one.colour, shelf.today, days[1])
        cost = cost_of(article, one.packs, catalogue)
        yield BuyingRow(article, one.colour, one.short, of_spares, one.packs, one.packs * size, cost, orders)


def _too_late(
    article: Article, shelf: ArticleStock, asked: Sequence[StockDemand], first: date
) -> Iterator[TooLate]:
    """Yields what will be short of one article before the first delivery."""
    for lack in shortages_before(shelf, first):
        orders = _making_short(asked, shelf, lack, first)
        yield TooLate(article, lack.colour, lack.count, lack.day, orders)


def _making_short(
    asked: Sequence[StockDemand], shelf: ArticleStock, lack: StockShortage, first: date
) -> tuple[int, ...]:
    """Returns the numbers of orders without which nothing would be short.

    The orders with the highest numbers are named first, since what was there was promised to the earlier ones.
    """
    named: list[int] = []
    left, rest = lack.count, list(asked)
    for number in reversed(_orders(asked, shelf, lack.colour, shelf.today, first)):
        without = [one for one in rest if one.number != number]
        lacks = shortages_before(replace(shelf, promised=[one.promise for one in without]), first)
        less = sum(one.count for one in lacks if one.colour == lack.colour)
        if less < left:
            named.append(number)
            left, rest = less, without
        if not left:
            break
    return tuple(sorted(named))


def _orders(
    asked: Iterable[StockDemand], shelf: ArticleStock, colour: str, start: date, end: date
) -> tuple[int, ...]:
    """Returns the numbers of the orders that ask for a colour between two days, in rising order.

    If the article is not counted by colour, they are those that ask for any of it.
    """
    mine = (one for one in asked if not shelf.by_colour or one.colour == colour)
    return tuple(sorted({one.number for one in mine if start <= max(one.day, shelf.today) <= end}))


def _by_article(asked: Iterable[StockDemand]) -> Mapping[Article, list[StockDemand]]:
    """Returns the demands by their article."""
    by_article: dict[Article, list[StockDemand]] = {}
    for one in asked:
        by_article.setdefault(one.article, []).append(one)
    return by_article
