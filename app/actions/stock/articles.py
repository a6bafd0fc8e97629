"""What the shop can count on its shelves, a balloon type in its colours or a supply, and what an order needs of
it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from app.actions.context import Context
from app.craft.colours import ANY as ANY_COLOUR
from app.planning.lot_allocation import old_before
from app.planning.stock import ANY
from app.quoting.catalogue import Catalogue
from app.quoting.parts import BatchSpec, SoldLine
from app.quoting.quote import Quote
from app.quoting.request import ExtraSort, HandOver
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.quoting.states import SupplySort, SupplyUnit
from app.store.search_keys import fold_text


@dataclass(frozen=True, slots=True, order=True)
class Article:
    """Either a balloon type or a supply; the id of the other is 0."""

    balloon_type_id: int = 0
    supply_id: int = 0

    def name(self, catalogue: Catalogue) -> str:
        """Returns its name in the catalogue."""
        return (
            catalogue.balloon_types[self.balloon_type_id].name
            if self.balloon_type_id
            else catalogue.supplies[self.supply_id].name
        )

    def unit(self, catalogue: Catalogue) -> SupplyUnit:
        """Returns the unit in which it is counted."""
        return SupplyUnit.PIECE if self.balloon_type_id else catalogue.supplies[self.supply_id].unit

    def pack_size(self, catalogue: Catalogue) -> float:
        """Returns how many units one pack holds."""
        return (
            catalogue.balloon_types[self.balloon_type_id].pack_size
            if self.balloon_type_id
            else catalogue.supplies[self.supply_id].pack_size
        )


@dataclass(frozen=True, slots=True)
class StockNeed:
    """How much of an article an order takes from the shelf on a day. colour: as it was typed, empty for any. spec:
    the batch that is filled with it; None for a supply."""

    article: Article
    colour: str
    count: float
    day: date
    spec: BatchSpec | None = None

    @property
    def colour_key(self) -> str:
        """The colour as it is compared on the shelf."""
        return colour_key(self.colour)


def gets_old(article: Article, catalogue: Catalogue) -> bool:
    """Returns whether the article gets too old to be filled, as some materials do in stock."""
    balloon_type = catalogue.balloon_types.get(article.balloon_type_id)
    return balloon_type is not None and balloon_type.material.traits.ages_in_stock


def old_lots_before(context: Context) -> date:
    """Returns the day before which a lot must have come in to be old today, if it is of a material that ages."""
    return old_before(context.today, context.shop.stock_defaults.old_lot_months)


@lru_cache(1024)
def colour_key(colour: str) -> str:
    """Returns a colour as it is compared on the shelf, so that spellings which mean the same are one; ANY for “any
    colour”."""
    folded = fold_text(" ".join(colour.split()))
    return ANY if folded == ANY_COLOUR else folded


def needs_of(quote: Quote, shop: Shop) -> list[StockNeed]:
    """Returns what an order takes from the shelves.

    Balloons are taken when they are filled, or when they leave for the venue; supplies when the order leaves.
    Rented items come back and balloons that the customer brings are not the shop's, so neither is included.
    """
    return [*_balloons(quote, shop), *_supplies(quote, shop)]


def needs_of_line(line: SoldLine, needs: list[StockNeed]) -> list[StockNeed]:
    """Returns the needs to which the line contributes."""
    colours = {(spec.balloon_type_id, colour_key(name)) for spec, shares in line.parts.items() for name in shares}
    supplies = {one.supply_id for one in line.recipe.supplies}
    return [
        need
        for need in needs
        if (need.article.balloon_type_id, need.colour_key) in colours or need.article.supply_id in supplies
    ]


def _balloons(quote: Quote, shop: Shop) -> Iterator[StockNeed]:
    """Yields the balloons of the quote, by batch and colour."""
    for plan in quote.batches:
        for colour, count in plan.fill.colours:
            article = Article(balloon_type_id=plan.fill.spec.balloon_type_id)
            said = colour if colour_key(colour) else ""
            yield StockNeed(article, said, count, _taken_on(plan, quote, shop), plan.fill.spec)


def _taken_on(plan: BatchPlan, quote: Quote, shop: Shop) -> date:
    """Returns the local day on which the balloons of a batch are taken from the shelf."""
    at_venue = quote.request.hand_over is HandOver.VENUE
    return shop.opening.day_of(quote.leaves_at if at_venue else plan.window.inflate_by)


def _supplies(quote: Quote, shop: Shop) -> Iterator[StockNeed]:
    """Yields the supplies of the quote, those of its lines and those sold as extras together."""
    units: dict[int, float] = {}
    for line in quote.lines:
        for one in line.recipe.supplies:
            if one.sort != SupplySort.RENTAL:
                units[one.supply_id] = units.get(one.supply_id, 0.0) + one.of_one * line.request.quantity
    for extra in quote.extras:
        if extra.request.sort is ExtraSort.SUPPLY and extra.request.supply_id:
            units[extra.request.supply_id] = units.get(extra.request.supply_id, 0.0) + extra.request.quantity
    day = shop.opening.day_of(quote.leaves_at)
    return (StockNeed(Article(supply_id=supply_id), "", count, day) for supply_id, count in units.items())
