"""The profit on orders. For the owner only."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.craft.cost import Margin, floor_minor
from app.quoting.shop import Shop
from app.store.models import Order
from app.store.queries.review import CompletedRow


@dataclass(frozen=True, slots=True)
class MarginSummary:
    """margin: over the orders whose cost is known. orders_without_cost: how many others there are."""

    margin: Margin
    orders_without_cost: int


def margin_of(net_minor: int, cost_minor: int | None) -> Margin | None:
    """Returns the margin; None if the cost is unknown, as in orders older than the calculation or without priced
    goods."""
    return Margin(net_minor, cost_minor) if cost_minor else None


def margin_of_row(row: CompletedRow) -> Margin | None:
    """Returns the margin of a completed order."""
    return margin_of(row.net_minor, row.cost_minor)


def summarize_margins(rows: Sequence[CompletedRow]) -> MarginSummary:
    """Returns the margin of all these orders together."""
    known = [margin for row in rows if (margin := margin_of_row(row))]
    whole = Margin(sum(one.net_minor for one in known), sum(one.cost_minor for one in known))
    return MarginSummary(whole, len(rows) - len(known))


def margin_of_order(order: Order) -> Margin | None:
    """Returns the margin of the order; None if its cost is unknown."""
    return margin_of(order.total_minor - order.tax_minor, order.cost_minor)


def lowest_net_price(margin: Margin, shop: Shop) -> int:
    """Returns the lowest net price that makes the smallest profit that the shop wants."""
    return floor_minor(margin.cost_minor, shop.pricing.floor_percent)
