"""Office: what is in stock, promised, on its way and free, as a page and as a table for elsewhere."""

from collections.abc import Iterator
from dataclasses import dataclass

from flask import Blueprint, render_template, request
from flask.wrappers import Response

from app.actions.stock.articles import Article
from app.actions.stock.availability import Availability, load_availability
from app.places.office.stock_view import CountFromDay, ShownColour, StockWords, address_of, shown_colours
from app.quoting.catalogue import Catalogue
from app.quoting.states import SupplySort
from app.store.queries.forgotten import forgotten_orders
from app.store.queries.overdue import MAX_OVERDUE
from app.store.search_keys import fold_text
from app.web.forms import ShopForm, TextField
from app.web.requests import request_context
from app.web.tables import csv_response

CSV_HEAD = (
    *("item", "colour", "unit", "on hand", "promised", "on the way", "free today", "free later", "free later from"),
    *("short", "short from", "old"),
)


@dataclass(frozen=True, slots=True)
class ShownArticle:
    """An article with its colours."""

    article: Article
    name: str
    address: str
    colours: tuple[ShownColour, ...]

    @property
    def is_short(self) -> bool:
        """Whether any colour of it is short."""
        return any(one.lack for one in self.colours)


@dataclass(frozen=True, slots=True)
class Uncounted:
    """An article that the shop offers and does not count."""

    name: str
    address: str


class SearchForm(ShopForm):
    """The words that are searched for."""

    q = TextField("Search")


def register(office: Blueprint) -> None:
    """Registers the pages of stock."""
    office.get("/stock")(stock)
    office.get("/stock.csv")(stock_csv)


def stock() -> str:
    """Shows the stock."""
    here, catalogue = request_context(), request_context().catalogue
    availability = _availability(catalogue)
    search = SearchForm(request.args)
    sought = search.q.text
    counted = [one for one in map(_only(sought), _articles(catalogue, availability)) if one.colours]
    return render_template(
        "office/stock.html",
        balloon_types=[one for one in counted if one.article.balloon_type_id],
        supplies=[one for one in counted if one.article.supply_id],
        uncounted=list(_uncounted(catalogue, availability)),
        counts_any=bool(availability.by_article),
        forgotten=forgotten_orders(here.session, here.now - MAX_OVERDUE) if availability.by_article else (),
        search=search,
        sought=sought,
        stock_words=StockWords(catalogue),
    )


def stock_csv() -> Response:
    """Returns the stock as a table."""
    catalogue = request_context().catalogue
    return csv_response("stock.csv", CSV_HEAD, _cells(catalogue, _availability(catalogue)))


def _availability(catalogue: Catalogue) -> Availability:
    """Returns the stock at this moment."""
    here = request_context()
    return load_availability(here.context)


def _articles(catalogue: Catalogue, availability: Availability) -> Iterator[ShownArticle]:
    """Yields balloon types in their order, then supplies by name."""
    order = [
        *(Article(balloon_type_id=key) for key in catalogue.balloon_types),
        *(Article(supply_id=key) for key in catalogue.supplies),
    ]
    for article in order:
        if article in availability.by_article:
            colours = tuple(shown_colours(article, availability))
            yield ShownArticle(article, article.name(catalogue), address_of(article), colours)


def _only(sought: str) -> "_Filter":
    """Returns a filter for the words that are searched for."""
    return _Filter(tuple(fold_text(word) for word in sought.split()))


@dataclass(frozen=True, slots=True)
class _Filter:
    """Keeps the colours in whose name, together with their article's, every word occurs."""

    words: tuple[str, ...]

    def __call__(self, one: ShownArticle) -> ShownArticle:
        mine = tuple(colour for colour in one.colours if self._is_in(f"{colour.label} {one.name}"))
        return ShownArticle(one.article, one.name, one.address, mine)

    def _is_in(self, name: str) -> bool:
        """Returns whether every word occurs in the name."""
        return all(word in fold_text(name) for word in self.words)


def _uncounted(catalogue: Catalogue, availability: Availability) -> Iterator[Uncounted]:
    """Yields what is offered and was never received or ordered."""
    balloon_types = [Article(balloon_type_id=row.id) for row in catalogue.offered_types]
    supplies = [
        Article(supply_id=row.id)
        for row in catalogue.supplies.values()
        if not row.archived_at and row.sort != SupplySort.RENTAL
    ]
    for article in [*balloon_types, *supplies]:
        if article not in availability.by_article:
            yield Uncounted(article.name(catalogue), address_of(article))


def _cells(catalogue: Catalogue, availability: Availability) -> Iterator[tuple[object, ...]]:
    """Yields a row for each article and colour."""
    for one in _articles(catalogue, availability):
        for colour in one.colours:
            yield (
                *(one.name, colour.label, one.article.unit(catalogue)),
                *map(_figure, (colour.on_hand, colour.promised, colour.coming, colour.free)),
                *(*_from(colour.free_later), *_from(colour.lack), _figure(colour.old)),
            )


def _figure(count: float) -> str:
    """Returns the count as a table has it."""
    return f"{count:.10g}"


def _from(one: CountFromDay | None) -> tuple[str, str]:
    """Returns the count and its day as a table has them; empty if there is none."""
    return (_figure(one.count), one.day.isoformat()) if one else ("", "")
