"""The shelves as they stand: what is there, comes and is promised of each article that the shop counts."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app.actions.shop import Goods, Shop
from app.actions.stock.articles import Article, shelved_as
from app.planning.shoptime import local_day
from app.planning.stock import Change, Shelf
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
class Shelves:
    """by_article: only of what the shop counts, which is what it ever received or has ordered. spoken: how a colour
    is written, by article and by the colour as it is told apart."""

    by_article: Mapping[Article, Shelf]
    spoken: Mapping[tuple[Article, str], str]

    def colour(self, article: Article, colour: str) -> str:
        return self.spoken.get((article, colour), colour)


def load_shelves(
    session: Session,
    shop: Shop,
    goods: Goods,
    now: datetime,
    articles: Collection[Article] | None = None,
    but: int | None = None,
) -> Shelves:
    """articles: None is all. but: the number of an order whose promise does not count, because it is asked about
    anew."""
    kinds = None if articles is None else {one.kind_id for one in articles if one.kind_id}
    supplies = None if articles is None else {one.supply_id for one in articles if one.supply_id}
    today = local_day(now, shop.zone)
    there, coming = lots_there(session, kinds, supplies), coming_goods(session, today, kinds, supplies)
    rows: list[LotRow | ComingRow] = [*there, *coming]
    counted = {_article(row) for row in rows}
    promised: dict[Article, list[Change]] = {}
    if any(one.kind_id for one in counted):
        _add(promised, _batches(session, shop, kinds, but))
    if any(one.supply_id for one in counted):
        _add(promised, _supplies(session, shop, goods, but))
    spoken = {(_article(row), row.colour_folded): row.colour for row in rows}
    return Shelves(
        {one: _shelf(one, today, there, coming, promised.get(one, ())) for one in sorted(counted)}, spoken
    )


def _article(row: LotRow | ComingRow) -> Article:
    return Article(row.kind_id or 0, row.supply_id or 0)


def _shelf(
    article: Article,
    today: date,
    there: Iterable[LotRow],
    coming: Iterable[ComingRow],
    promised: Iterable[Change],
) -> Shelf:
    """What is due on a day may come in its evening: it serves the days after."""
    return Shelf(
        today,
        [(row.colour_folded, row.on_hand) for row in there if _article(row) == article],
        [Change(row.due_on + ONE_DAY, row.colour_folded, row.pieces) for row in coming if _article(row) == article],
        list(promised),
    )


Promises = Iterable[tuple[Article, Change]]


def _add(promised: dict[Article, list[Change]], more: Promises) -> None:
    for article, change in more:
        promised.setdefault(article, []).append(change)


def _batches(session: Session, shop: Shop, kinds: Collection[int] | None, but: int | None) -> Promises:
    for row in promised_batches(session, kinds, but):
        day = local_day(row.taken_at, shop.zone)
        for colour, count in row.colours:
            yield Article(kind_id=row.kind_id), Change(day, shelved_as(colour), count)


def _supplies(session: Session, shop: Shop, goods: Goods, but: int | None) -> Promises:
    for row in promised_supplies(session, but):
        day = local_day(row.leaves_at, shop.zone)
        if row.supply_id is not None:
            yield Article(supply_id=row.supply_id), Change(day, "", row.quantity)
        for supply_id, _name, sort, of_one, *_ in row.recipe.get("supplies", ()):
            if sort != "hired":
                yield Article(supply_id=supply_id), Change(day, "", of_one * row.quantity)
