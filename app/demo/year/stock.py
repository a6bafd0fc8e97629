"""This module invents the deliveries of the year, so that each lot came before it was used and nothing went below
0."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import ceil

from app.actions.context import Context
from app.actions.stock.articles import Article, colour_key
from app.actions.stock.consumption import PLACES
from app.demo.year.copies import Copier
from app.demo.year.records import Row
from app.quoting.states import StockMoveReason

LASTS_DAYS = 40
"""For so many days a lot is meant to last."""
ORDERED_BEFORE = timedelta(days=5)
COUNTED = "Counted at the stock-take"
ARRIVES_HOUR = 7


@dataclass(slots=True)
class _Goods:
    """One article in one colour. moves: those that take from it. arrives_before: the day on which the stock of today
    begins with a lot of its own. lots: those that came, with what is left."""

    article: Article
    colour: str
    arrives_before: date
    moves: list[Row] = field(default_factory=list)
    lots: list[Row] = field(default_factory=list)


class Shelves:
    """The shelves over the year. begins: the day on which the stock of today begins, by article and colour."""

    def __init__(self, context: Context, copier: Copier, begins: Mapping[tuple[Article, str], date]) -> None:
        self._context, self._copier, self._begins = context, copier, begins
        self._goods: dict[tuple[Article, str], _Goods] = {}
        self._who = context.who

    def take(self, article: Article, colour: str, move: Row) -> None:
        """Remembers a move that takes from the article."""
        key = (article, colour_key(colour))
        if key not in self._goods:
            self._goods[key] = _Goods(article, colour, self._begins.get(key, self._context.today))
        self._goods[key].moves.append(move)

    def write(self, end: datetime) -> None:
        """Adds the lots, their deliveries and all moves to what was copied. At the end a stock-take finds that what
        is left was used without a press."""
        moves = [move for goods in self._goods.values() for move in self._supply(goods, end)]
        moves.sort(key=lambda move: (move["at"], move["sort"] != StockMoveReason.RECEIVED))
        for move in moves:
            move["id"] = self._copier.next_id("stock_move")
        self._copier.all_rows["stock_move"] = moves

    def _supply(self, goods: _Goods, end: datetime) -> Iterator[Row]:
        """Yields all moves of an article, from lots that came in time, the oldest lot first."""
        goods.moves.sort(key=lambda move: move["at"])
        need = round(-sum(move["change"] for move in goods.moves), PLACES)
        days = max(30, (goods.moves[-1]["at"] - goods.moves[0]["at"]).days)
        size, place = need / days * LASTS_DAYS, 0
        for move in goods.moves:
            left = round(-move["change"], PLACES)
            while left:
                if place == len(goods.lots):
                    yield self._deliver(goods, move["at"], max(size, left), need)
                lot = goods.lots[place]
                taken = min(left, lot["on_hand"])
                if taken:
                    yield move | {"lot_id": lot["id"], "change": -taken}
                    lot["on_hand"] = round(lot["on_hand"] - taken, PLACES)
                    left, need = round(left - taken, PLACES), round(need - taken, PLACES)
                place += not lot["on_hand"]
        if (lot := goods.lots[-1])["on_hand"]:
            yield self._move(lot, StockMoveReason.COUNTED, -lot["on_hand"], end, COUNTED)
            lot["on_hand"] = 0.0

    def _deliver(self, goods: _Goods, needed_at: datetime, size: float, need: float) -> Row:
        """Adds a lot and its delivery, and returns the move of its arrival. The last lot lasts until the end, and
        comes before the first lot of the stock of today."""
        day = self._context.shop.opening.day_of(needed_at) - timedelta(days=1)
        last = goods.arrives_before - timedelta(days=1)
        if day + timedelta(days=LASTS_DAYS // 2) >= last:
            day, size = min(day, last), need
        pack = goods.article.pack_size(self._context.catalogue)
        packs = ceil(round(min(size, need) / pack, PLACES))
        at = self._context.shop.opening.day_bounds(day)[0] + timedelta(hours=ARRIVES_HOUR)
        lot_id, delivery_id = self._copier.next_id("lot"), self._copier.next_id("delivery")
        pieces, what = float(packs * pack), _what(goods)
        lot = what | {"id": lot_id, "client_key": f"delivery {delivery_id}", "received_on": day}
        lot |= {"arrived": pieces, "on_hand": pieces, "set_aside_at": None, "set_aside_why": ""}
        delivery = what | {"id": delivery_id, "client_key": f"year's delivery {delivery_id}", "packs": packs}
        delivery |= {"pieces": pieces, "due_on": day, "added_at": at - ORDERED_BEFORE, "who": self._who}
        goods.lots.append(lot)
        self._copier.all_rows["lot"].append(lot)
        self._copier.all_rows["delivery"].append(delivery | {"lot_id": lot_id, "withdrawn_at": None})
        return self._move(lot, StockMoveReason.RECEIVED, pieces, at, "")

    def _move(self, lot: Row, sort: StockMoveReason, change: float, at: datetime, why: str) -> Row:
        move: Row = {"lot_id": lot["id"], "sort": sort, "change": change, "why": why}
        return move | {"batch_id": None, "order_id": None, "at": at, "who": self._who}


def _what(goods: _Goods) -> Row:
    """Returns the columns that say what a lot or a delivery is of."""
    colour = goods.colour if goods.article.balloon_type_id else ""
    article = {
        "balloon_type_id": goods.article.balloon_type_id or None,
        "supply_id": goods.article.supply_id or None,
    }
    return article | {"colour": colour, "colour_folded": colour_key(colour)}
