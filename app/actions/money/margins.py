"""The profit on orders. For the owner only."""

from dataclasses import dataclass

from app.craft.cost import Margin, floor_minor
from app.quoting.shop import Shop
from app.store.models import Order
from app.store.queries.review import CompletedRow, Totals


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


def summarize_margins(totals: Totals) -> MarginSummary:
    """Returns the margin of all these orders together."""
    return MarginSummary(Margin(totals.costed_net_minor, totals.cost_minor), totals.orders - totals.costed)


def margin_of_order(order: Order) -> Margin | None:
    """Returns the margin of the order; None if its cost is unknown."""
    return margin_of(order.total_minor - order.tax_minor, order.cost_minor)


def lowest_net_price(margin: Margin, shop: Shop) -> int:
    """Returns the lowest net price that makes the smallest profit that the shop wants."""
    return floor_minor(margin.cost_minor, shop.pricing.floor_percent)
