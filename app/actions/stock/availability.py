"""The shelves as they stand: what is there, comes and is promised of each article that the shop counts."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeVar

from app.actions.context import Context
from app.actions.records.open_work import FORGOTTEN
from app.actions.stock.articles import Article, shelved_as
from app.craft.colours import share_spares
from app.planning.shoptime import local_day
from app.planning.stock import ANY, Change, Shelf
from app.quoting.recipe import read_recipe
from app.quoting.states import SupplySort
from app.store.queries.stock import (
    ComingRow,
    LotRow,
    coming_goods,
    lots_there,
    promised_batches,
    promised_supplies,
)

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class StockDemand:
    """So much of an article that an open order takes from the shelf on a day. colour: as it is told apart. spares:
    laid out beside it, and promised to nobody. begun: its batch is on the bench."""

    article: Article
    number: int
    day: date
    colour: str
    count: float
    spares: int = 0
    started: bool = False

    @property
    def promise(self) -> Change:
        return Change(self.day, self.colour, self.count)


@dataclass(frozen=True, slots=True)
class Availability:
    """by_article: only of what the shop counts, which is what it ever received or has ordered. spoken: how a colour
    is written, by article and by the colour as it is told apart. asked: what the promises on the shelves are
    for."""

    by_article: Mapping[Article, Shelf]
    spoken: Mapping[tuple[Article, str], str]
    asked: Sequence[StockDemand] = ()

    def colour(self, article: Article, colour: str) -> str:
        return self.spoken.get((article, colour), colour)


def load_availability(
    context: Context,
    articles: Collection[Article] | None = None,
    excluding_order: int | None = None,
) -> Availability:
    """articles: None is all. but: the number of an order whose promise does not count, because it is asked about
    anew."""
    balloon_types = None if articles is None else {one.balloon_type_id for one in articles if one.balloon_type_id}
    supplies = None if articles is None else {one.supply_id for one in articles if one.supply_id}
    today = local_day(context.now, context.shop.zone)
    there, coming = (
        lots_there(context.session, balloon_types, supplies),
        coming_goods(context.session, today, balloon_types, supplies),
    )
    rows: list[LotRow | ComingRow] = [*there, *coming]
    counted = {_article(row) for row in rows}
    asked: list[StockDemand] = []
    if any(one.balloon_type_id for one in counted):
        asked += asked_balloons(context, balloon_types, excluding_order)
    if any(one.supply_id for one in counted):
        asked += asked_supplies(context, excluding_order)
    return build_availability(today, there, coming, asked)


def build_availability(
    today: date, there: Sequence[LotRow], coming: Sequence[ComingRow], asked: Iterable[StockDemand]
) -> Availability:
    lots, due = _by_article(there), _by_article(coming)
    promised: dict[Article, list[Change]] = {article: [] for article in sorted({*lots, *due})}
    mine = [one for one in asked if one.article in promised]
    for one in mine:
        promised[one.article].append(one.promise)
    availability = {
        article: _shelf(today, lots.get(article, ()), due.get(article, ()), promises)
        for article, promises in promised.items()
    }
    rows: list[LotRow | ComingRow] = [*there, *coming]
    return Availability(availability, {(_article(row), row.colour_folded): row.colour for row in rows}, mine)


def _article(row: LotRow | ComingRow) -> Article:
    return Article(row.balloon_type_id or 0, row.supply_id or 0)


Row = TypeVar("Row", LotRow, ComingRow)


def _by_article(rows: Iterable[Row]) -> dict[Article, list[Row]]:
    of: dict[Article, list[Row]] = {}
    for row in rows:
        of.setdefault(_article(row), []).append(row)
    return of


def _shelf(today: date, there: Iterable[LotRow], coming: Iterable[ComingRow], promised: Sequence[Change]) -> Shelf:
    """What is due on a day may come in its evening: it serves the days after."""
    return Shelf(
        today,
        [(row.colour_folded, row.on_hand) for row in there],
        [Change(row.due_on + ONE_DAY, row.colour_folded, row.pieces) for row in coming],
        promised,
    )


def asked_balloons(
    context: Context,
    balloon_types: Collection[int] | None = None,
    excluding_order: int | None = None,
) -> Iterator[StockDemand]:
    """Of batches that are not filled yet, nor long forgotten. What burst came out of the spares."""
    for row in promised_batches(context.session, balloon_types, excluding_order, context.now - FORGOTTEN):
        day, article = local_day(row.taken_at, context.shop.zone), Article(balloon_type_id=row.balloon_type_id)
        left = max(0, row.spares - sum(count for _, count in row.bursts))
        shares = share_spares([count for _, count in row.colours], left)
        for (colour, count), spares in zip(row.colours, shares, strict=True):
            started = row.started_at is not None
            yield StockDemand(article, row.number, day, shelved_as(colour), count, spares, started)


def asked_supplies(context: Context, excluding_order: int | None = None) -> Iterator[StockDemand]:
    """Of orders that are not handed over yet, nor long forgotten. Hired goods come back."""
    for row in promised_supplies(context.session, excluding_order, context.now - FORGOTTEN):
        day = local_day(row.leaves_at, context.shop.zone)
        if row.supply_id is not None:
            yield StockDemand(Article(supply_id=row.supply_id), row.number, day, ANY, row.quantity)
        for one in read_recipe(row.recipe).supplies:
            if one.sort != SupplySort.RENTAL:
                yield StockDemand(Article(supply_id=one.supply_id), row.number, day, ANY, one.of_one * row.quantity)
