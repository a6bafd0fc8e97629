"""The stock at this moment: what is there, on its way, and promised, of each article that the shop counts."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TypeVar

from app.actions.context import Context
from app.actions.stock.articles import Article, colour_key, old_lots_before
from app.craft.colours import share_spares
from app.planning.stock import ANY, ArticleStock, StockChange
from app.quoting.recipe import read_recipe
from app.quoting.states import SupplySort
from app.store.queries.overdue import MAX_OVERDUE
from app.store.queries.stock import (
    ExpectedStockRow,
    load_expected_stock,
    promised_batches,
    promised_supplies,
)
from app.store.queries.stock_levels import StockLevelRow, load_stock_levels

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class StockDemand:
    """How much of an article an open order takes from the shelf on a day. colour: as `colour_key` returns it.
    spares: how many are laid out on top, promised to nobody. started: whether its batch is on the bench."""

    article: Article
    number: int
    day: date
    colour: str
    count: float
    spares: int = 0
    started: bool = False

    @property
    def promise(self) -> StockChange:
        """The demand as a change of the shelf."""
        return StockChange(self.day, self.colour, self.count)


@dataclass(frozen=True, slots=True)
class Availability:
    """by_article: only articles that the shop counts, which are those it ever received or ordered.
    colour_names: how a colour is written, by article and by the colour as `colour_key` returns it. demands: what
    open orders take from these shelves. old_counts: how many are there beside the stock that are too old to be
    filled, by article and colour."""

    by_article: Mapping[Article, ArticleStock]
    colour_names: Mapping[tuple[Article, str], str]
    demands: Sequence[StockDemand] = ()
    old_counts: Mapping[tuple[Article, str], float] = field(default_factory=dict)

    def colour(self, article: Article, colour: str) -> str:
        """Returns how the colour is written; as it is given if no stock names it."""
        return self.colour_names.get((article, colour), colour)

    def old(self, article: Article, colour: str) -> float:
        """Returns how many that are too old could serve a colour; all of the article's where any colour will do."""
        any_will_do = colour == ANY or not self.by_article[article].by_colour
        return sum(
            count
            for (one, its_colour), count in self.old_counts.items()
            if one == article and (any_will_do or its_colour == colour)
        )


def available_for(context: Context, excluding_order: int | None = None) -> Availability:
    """Returns the stock for an order that is asked about; kept until something changes."""
    return context.keep(("stock", excluding_order), lambda at: load_availability(at, None, excluding_order))


def load_availability(
    context: Context,
    articles: Collection[Article] | None = None,
    excluding_order: int | None = None,
) -> Availability:
    """Returns the stock of these articles; None stands for all.

    excluding_order: the number of an order whose promise does not count, because it is asked about again.
    """
    balloon_types = None if articles is None else {one.balloon_type_id for one in articles if one.balloon_type_id}
    supplies = None if articles is None else {one.supply_id for one in articles if one.supply_id}
    today = context.today
    on_shelf, coming = (
        load_stock_levels(context.session, old_lots_before(context), balloon_types, supplies),
        load_expected_stock(context.session, today, balloon_types, supplies),
    )
    rows: list[StockLevelRow | ExpectedStockRow] = [*on_shelf, *coming]
    counted = {_article(row) for row in rows}
    asked: list[StockDemand] = []
    if any(one.balloon_type_id for one in counted):
        asked += balloon_demands(context, balloon_types, excluding_order)
    if any(one.supply_id for one in counted):
        asked += supply_demands(context, excluding_order)
    return build_availability(today, on_shelf, coming, asked)


def build_availability(
    today: date, on_shelf: Sequence[StockLevelRow], coming: Sequence[ExpectedStockRow], asked: Iterable[StockDemand]
) -> Availability:
    """Returns the stock from what is there, on its way, and promised."""
    lots, due = _by_article(on_shelf), _by_article(coming)
    promised: dict[Article, list[StockChange]] = {article: [] for article in sorted({*lots, *due})}
    mine = [one for one in asked if one.article in promised]
    for one in mine:
        promised[one.article].append(one.promise)
    availability = {
        article: _shelf(today, lots.get(article, ()), due.get(article, ()), promises)
        for article, promises in promised.items()
    }
    rows: list[StockLevelRow | ExpectedStockRow] = [*on_shelf, *coming]
    names = {(_article(row), row.colour_folded): row.colour for row in rows}
    old_counts = {(_article(row), row.colour_folded): row.old for row in on_shelf if row.old}
    return Availability(availability, names, mine, old_counts)


def _article(row: StockLevelRow | ExpectedStockRow) -> Article:
    """Returns the article of a row."""
    return Article(row.balloon_type_id or 0, row.supply_id or 0)


Row = TypeVar("Row", StockLevelRow, ExpectedStockRow)


def _by_article(rows: Iterable[Row]) -> dict[Article, list[Row]]:
    """Returns the rows by their article."""
    of: dict[Article, list[Row]] = {}
    for row in rows:
        of.setdefault(_article(row), []).append(row)
    return of


def _shelf(
    today: date,
    on_shelf: Iterable[StockLevelRow],
    coming: Iterable[ExpectedStockRow],
    promised: Sequence[StockChange],
) -> ArticleStock:
    """Returns the shelf of one article. What is due on a day may come in the evening, so it serves only the days
    after."""
    return ArticleStock(
        today,
        [(row.colour_folded, row.on_hand) for row in on_shelf],
        [StockChange(row.due_on + ONE_DAY, row.colour_folded, row.pieces) for row in coming],
        promised,
    )


def balloon_demands(
    context: Context,
    balloon_types: Collection[int] | None = None,
    excluding_order: int | None = None,
) -> Iterator[StockDemand]:
    """Yields what batches still take that are not filled and not forgotten. Balloons that burst came out of the
    spares."""
    for row in promised_batches(context.session, balloon_types, excluding_order, context.now - MAX_OVERDUE):
        day, article = context.shop.opening.day_of(row.taken_at), Article(balloon_type_id=row.balloon_type_id)
        left = max(0, row.spares - sum(count for _, count in row.bursts))
        shares = share_spares([count for _, count in row.colours], left)
        for (colour, count), spares in zip(row.colours, shares, strict=True):
            started = row.started_at is not None
            yield StockDemand(article, row.number, day, colour_key(colour), count, spares, started)


def supply_demands(context: Context, excluding_order: int | None = None) -> Iterator[StockDemand]:
    """Yields what orders still take that are not handed over and not forgotten; no rented items, since they come
    back."""
    for row in promised_supplies(context.session, excluding_order, context.now - MAX_OVERDUE):
        day = context.shop.opening.day_of(row.leaves_at)
        if row.supply_id is not None:
            yield StockDemand(Article(supply_id=row.supply_id), row.number, day, ANY, row.quantity)
        for one in read_recipe(row.recipe).supplies:
            if one.sort != SupplySort.RENTAL:
                yield StockDemand(Article(supply_id=one.supply_id), row.number, day, ANY, one.of_one * row.quantity)
