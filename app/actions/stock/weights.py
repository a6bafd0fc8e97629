"""The weights that an order outdoors still needs: which supplies would do, those in stock first."""

from dataclasses import dataclass
from functools import partial

from app.actions.context import Context
from app.actions.stock.articles import Article, StockNeed, needs_of
from app.actions.stock.availability import Availability, available_for
from app.actions.stock.shortages import find_short_goods
from app.quoting.catalogue import Supply
from app.quoting.quote import Quote
from app.quoting.weights_to_add import WeightNeed, choose_weight, weights_needed


@dataclass(frozen=True, slots=True)
class WeightOffer:
    """needs: what still needs a weight, the heaviest first. chosen: supplies with how many to add of each.
    too_heavy: the needs for which no weight on sale is heavy enough."""

    needs: tuple[WeightNeed, ...]
    chosen: tuple[tuple[Supply, int], ...]
    too_heavy: tuple[WeightNeed, ...]


def find_weights(context: Context, quote: Quote, excluding_order: int | None = None) -> WeightOffer | None:
    """Returns the weights that the quote still needs; None if it needs none. excluding_order: the number of the
    order, if it is saved already."""
    needs = weights_needed(quote, context.catalogue)
    if not needs:
        return None
    availability = available_for(context, excluding_order)
    chosen: dict[int, int] = {}
    too_heavy = []

    def is_short(count: int, row: Supply) -> bool:
        return _is_short(context, quote, availability, row, chosen.get(row.id, 0) + count)

    for need in needs:
        row = choose_weight(need, context.catalogue, partial(is_short, need.count))
        if row is None:
            too_heavy.append(need)
        else:
            chosen[row.id] = chosen.get(row.id, 0) + need.count
    supplies = context.catalogue.supplies
    return WeightOffer(needs, tuple((supplies[key], count) for key, count in chosen.items()), tuple(too_heavy))


def _is_short(context: Context, quote: Quote, availability: Availability, row: Supply, count: int) -> bool:
    """Returns whether so many more of a weight are short, beside what the quote has of it; never if the shop does
    not count it."""
    article = Article(supply_id=row.id)
    if article not in availability.by_article:
        return False
    mine = [need for need in needs_of(quote, context.shop) if need.article == article]
    added = StockNeed(article, "", count, context.shop.opening.day_of(quote.leaves_at))
    return any(find_short_goods([*mine, added], availability))
