"""The weights that an order outdoors needs and does not have yet, and which supply is heavy enough for them."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from app.quoting.catalogue import Catalogue, Supply
from app.quoting.parts import SoldLine, weight_of_one
from app.quoting.quote import Quote
from app.quoting.request import ExtraSort
from app.quoting.states import SupplySort


@dataclass(frozen=True, slots=True)
class WeightNeed:
    """So many pieces, each of which needs a weight of at least these grams."""

    grams: float
    count: int


def weights_needed(quote: Quote, catalogue: Catalogue) -> tuple[WeightNeed, ...]:
    """Returns what still needs a weight for the wind, the heaviest first.

    A loose balloon needs one, and so does each piece of a design. What has heavy enough weights in its recipe needs
    none, and weights among the extras count, each for one piece.
    """
    needs = [
        WeightNeed(grams, line.request.quantity)
        for line in quote.lines
        if (grams := weight_of_one(line.parts, line.request.quantity, quote.weights))
        and grams > _in_recipe(line, catalogue)
    ]
    there = [
        WeightNeed(_grams(catalogue, extra.request.supply_id), extra.request.quantity)
        for extra in quote.extras
        if extra.request.sort is ExtraSort.SUPPLY
    ]
    return tuple(_without(sorted(needs, key=_by_grams), sorted(there, key=_by_grams)))


def _by_grams(one: WeightNeed) -> float:
    """Returns the sort key that puts the heaviest first."""
    return -one.grams


def _in_recipe(line: SoldLine, catalogue: Catalogue) -> float:
    """Returns the grams of the weights in one piece of the line."""
    return sum(one.of_one * _grams(catalogue, one.supply_id) for one in line.recipe.supplies)


def _grams(catalogue: Catalogue, supply_id: int | None) -> float:
    """Returns the grams of one weight; 0 for what is no weight."""
    row = catalogue.supplies.get(supply_id or 0)
    return row.grams or 0.0 if row is not None and row.sort is SupplySort.WEIGHT else 0.0


def _without(needs: Iterable[WeightNeed], there: Iterable[WeightNeed]) -> Iterable[WeightNeed]:
    """Yields the needs that are left when each weight that is there holds one piece. Both the heaviest first."""
    rest = list(there)
    for need in needs:
        count = need.count
        for place, one in enumerate(rest):
            used = min(count, one.count) if one.grams >= need.grams else 0
            rest[place], count = replace(one, count=one.count - used), count - used
        if count:
            yield replace(need, count=count)


def choose_weight(need: WeightNeed, catalogue: Catalogue, is_short: Callable[[Supply], bool]) -> Supply | None:
    """Returns the cheapest weight on sale that is heavy enough, of those that are not short if any is; None if none
    is heavy enough."""
    enough = [row for row in catalogue.supplies.values() if _is_sold(row) and (row.grams or 0.0) >= need.grams]
    return min(enough, key=lambda row: (is_short(row), row.price_minor, row.grams, row.id), default=None)


def _is_sold(row: Supply) -> bool:
    """Returns whether the supply is a weight that is offered as an extra."""
    return row.sort is SupplySort.WEIGHT and row.archived_at is None and row.price_minor is not None
