"""What the pages of stock have in common: how much of a colour is there, promised, coming, free and short."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time

from flask import url_for

from app.actions.errors import NotFound
from app.actions.stock.articles import Article
from app.actions.stock.availability import Availability
from app.planning.stock import ANY, ArticleStock
from app.quoting.catalogue import Catalogue
from app.quoting.states import SupplySort
from app.web.requests import request_context
from app.web.wording.stock import describe_count, old_words


@dataclass(frozen=True, slots=True)
class CountFromDay:
    """A count from a day on."""

    count: float
    day: date


@dataclass(frozen=True, slots=True)
class ShownColour:
    """label: empty for a supply. free_later: what is free later beyond what is free today. old: how many more are
    there that are too old to be filled."""

    colour: str
    label: str
    on_hand: float
    promised: float
    coming: float
    free: float
    free_later: CountFromDay | None
    lack: CountFromDay | None
    old: float


def catalogue_with(article: Article) -> Catalogue:
    """Returns the catalogue. Raises NotFound unless the shop has that article and may count it."""
    catalogue = request_context().catalogue
    check_countable(article, catalogue)
    return catalogue


def address_of(article: Article) -> str:
    """Returns the address of the article's page."""
    if article.balloon_type_id:
        return url_for("office.stock_of_balloon_type", balloon_type_id=article.balloon_type_id)
    return url_for("office.stock_of_supply", supply_id=article.supply_id)


def check_countable(article: Article, catalogue: Catalogue) -> Article:
    """Returns the article. Raises NotFound unless the shop may count it."""
    if article.balloon_type_id and article.balloon_type_id in catalogue.balloon_types:
        return article
    supply = catalogue.supplies.get(article.supply_id)
    if supply is None:
        raise NotFound("This item does not exist.")
    if supply.sort == SupplySort.RENTAL:
        raise NotFound("Rentals are not counted in stock. See Rentals.")
    return article


def colour_label(article: Article, colour: str, availability: Availability) -> str:
    """Returns the colour as it is written on packs; “any colour” for orders that take any."""
    if not article.balloon_type_id:
        return ""
    if colour != ANY:
        return availability.colour(article, colour)
    shelf = availability.by_article.get(article)
    return "any colour" if shelf and shelf.by_colour else "colour not named"


def shown_colours(article: Article, availability: Availability) -> Iterator[ShownColour]:
    """Yields the colours; any colour comes last, if there is such a pack, delivery or order."""
    shelf = availability.by_article[article]
    named = [(colour, 0.0) for colour, _ in shelf.in_stock] + [
        (one.colour, one.count) for one in (*shelf.coming, *shelf.promised)
    ]
    of_any = not shelf.by_colour or any(colour == ANY for colour, _ in named)
    lacks = {lack.colour: CountFromDay(lack.count, lack.day) for lack in shelf.shortages()}
    for colour in [*shelf.colours, *([ANY] if of_any or ANY in lacks else [])]:
        yield _shown(article, colour, shelf, availability, lacks.get(colour))


def _shown(
    article: Article, colour: str, shelf: ArticleStock, availability: Availability, lack: CountFromDay | None
) -> ShownColour:
    """Returns one colour as the page shows it."""
    free = shelf.free(colour, shelf.today)
    later = ((shelf.free(colour, day), day) for day in shelf.days)
    return ShownColour(
        colour=colour,
        label=colour_label(article, colour, availability),
        on_hand=shelf.on_hand(colour),
        promised=shelf.total_promised(colour),
        coming=sum(one.count for one in shelf.coming if one.colour == colour or not shelf.by_colour),
        free=free,
        free_later=next((CountFromDay(count, day) for count, day in later if count > free), None),
        lack=lack,
        old=availability.old_counts.get((article, colour), 0.0)
        if shelf.by_colour
        else availability.old(article, ANY),
    )


@dataclass(frozen=True, slots=True)
class StockWords:
    """Writes amounts and days of goods for templates."""

    catalogue: Catalogue

    def amount(self, count: float, article: Article) -> str:
        """Returns the amount with its unit."""
        return describe_count(count, article, self.catalogue, request_context().formats)

    def old(self, count: float, article: Article) -> str:
        """Returns how many are too old to be filled, in words."""
        return old_words(count, article, self.catalogue, request_context().formats)

    def name(self, article: Article) -> str:
        """Returns the name of the article."""
        return article.name(self.catalogue)

    def day(self, day: date) -> str:
        """Returns the day: “Tue 24 Nov”, with its year if it is not this year."""
        here = request_context()
        noon = datetime.combine(day, time(12), here.shop.zone)
        is_this_year = day.year == here.formats.local(here.now).year
        return here.formats.short_day(noon) if is_this_year else here.formats.day_with_year(noon)
