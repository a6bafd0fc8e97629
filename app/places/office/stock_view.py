"""What the pages of the stock say alike: how much of a colour is there, promised, coming, free and wanting."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from flask import url_for

from app.actions.errors import NotThere
from app.actions.records.shop import Goods, load_materials
from app.actions.stock.articles import Article
from app.actions.stock.availability import Shelves
from app.planning.stock import ANY, Shelf
from app.store.models import KindRow, Supply
from app.web.requests import visit
from app.web.wording.stock import counted


@dataclass(frozen=True, slots=True)
class From:
    """So much from a day on."""

    count: float
    day: date


@dataclass(frozen=True, slots=True)
class ShownColour:
    """label: empty for a supply. more: what is free later beyond what is free today."""

    colour: str
    label: str
    on_hand: float
    promised: float
    coming: float
    free: float
    more: From | None
    lack: From | None


def materials() -> Goods:
    return load_materials(visit().session)


def goods_of(article: Article) -> Goods:
    """With this one alone. Raises NotThere unless the shop may count it."""
    session = visit().session
    kind = session.get(KindRow, article.kind_id) if article.kind_id else None
    supply = session.get(Supply, article.supply_id) if article.supply_id else None
    goods = Goods({kind.id: kind} if kind else {}, {}, {supply.id: supply} if supply else {})
    known_article(article, goods)
    return goods


def address_of(article: Article) -> str:
    if article.kind_id:
        return url_for("office.stock_of_kind", kind_id=article.kind_id)
    return url_for("office.stock_of_supply", supply_id=article.supply_id)


def known_article(article: Article, goods: Goods) -> Article:
    """Raises NotThere unless the shop may count it."""
    if article.kind_id and article.kind_id in goods.kinds:
        return article
    supply = goods.supplies.get(article.supply_id)
    if supply is None:
        raise NotThere("There is no such kind or supply.")
    if supply.sort == "hired":
        raise NotThere("What is hired comes back: it stands under Hired out, and is not counted here.")
    return article


def colour_label(article: Article, colour: str, shelves: Shelves) -> str:
    """As it is written on packs; “any colour” is for whoever takes any."""
    if not article.kind_id:
        return ""
    if colour != ANY:
        return shelves.colour(article, colour)
    shelf = shelves.by_article.get(article)
    return "any colour" if shelf and shelf.by_colour else "colour not told"


def shown_colours(article: Article, shelves: Shelves) -> Iterator[ShownColour]:
    """Any colour last, where there is such a pack, delivery or wish."""
    shelf = shelves.by_article[article]
    named = [(colour, 0.0) for colour, _ in shelf.there] + [
        (one.colour, one.count) for one in (*shelf.coming, *shelf.promised)
    ]
    of_any = not shelf.by_colour or any(colour == ANY for colour, _ in named)
    lacks = {lack.colour: From(lack.count, lack.day) for lack in shelf.lacks()}
    for colour in [*shelf.colours, *([ANY] if of_any or ANY in lacks else [])]:
        yield _shown(article, colour, shelf, shelves, lacks.get(colour))


def _shown(article: Article, colour: str, shelf: Shelf, shelves: Shelves, lack: From | None) -> ShownColour:
    free = shelf.free(colour, shelf.today)
    later = ((shelf.free(colour, day), day) for day in shelf.days)
    return ShownColour(
        colour=colour,
        label=colour_label(article, colour, shelves),
        on_hand=shelf.on_hand(colour),
        promised=shelf.promised_in_all(colour),
        coming=sum(one.count for one in shelf.coming if one.colour == colour or not shelf.by_colour),
        free=free,
        more=next((From(count, day) for count, day in later if count > free), None),
        lack=lack,
    )


@dataclass(frozen=True, slots=True)
class Says:
    """How templates write amounts and days of goods."""

    goods: Goods

    def amount(self, count: float, article: Article) -> str:
        return counted(count, article, self.goods)

    def name(self, article: Article) -> str:
        return article.name(self.goods)

    def day(self, day: date) -> str:
        """“Tue 24 Nov”, with its year where it is another than today's."""
        here = visit()
        year = f" {day.year}" if day.year != here.formats.local(here.now).year else ""
        return f"{day:%a} {day.day} {day:%b}{year}"
