"""What is lost if an order is cancelled now, and what stays in stock."""

from dataclasses import dataclass

from app.actions.gas.balance import gas_taken
from app.actions.stock.consumption import filled_from_stock, supplies_of
from app.craft.sizing import filled_litres
from app.physics.air import Air
from app.physics.balloon import Gas
from app.quoting.catalogue import Catalogue
from app.quoting.request import HandOver
from app.quoting.shop import Shop
from app.store.models import Order, OrderBatch


@dataclass(frozen=True, slots=True)
class CancelLoss:
    """lost: names and numbers of balloons that are filled; of those that the customer brought, none. litres: of
    helium in all filled ones, as measured in the shop. kept: names and numbers of those that are not filled.
    has_supplies: whether weights, ribbon or other supplies were promised to it."""

    lost: tuple[tuple[str, int], ...]
    litres: float
    kept: tuple[tuple[str, int], ...]
    has_supplies: bool


def loss_if_cancelled(order: Order, shop: Shop, catalogue: Catalogue) -> CancelLoss | None:
    """Returns what is lost if the order is cancelled now; None if nothing of it is filled."""
    if not any(batch.filled for batch in order.batches):
        return None
    lost = ((batch.balloon_type_name, filled_from_stock(batch)) for batch in order.batches)
    kept = ((batch.balloon_type_name, batch.quantity - batch.filled) for batch in order.batches)
    return CancelLoss(
        lost=tuple((name, count) for name, count in lost if count > 0),
        litres=sum(_helium(batch, shop, catalogue) for batch in order.batches),
        kept=tuple((name, count) for name, count in kept if count > 0),
        has_supplies=bool(supplies_of(order)),
    )


def _helium(batch: OrderBatch, shop: Shop, catalogue: Catalogue) -> float:
    """Returns the litres of helium in the filled balloons of a batch."""
    if batch.gas != Gas.HELIUM or not batch.filled:
        return 0.0
    balloon_type, order, air = catalogue.balloon_types[batch.balloon_type_id].balloon_type, batch.order, shop.air
    if order.hand_over is HandOver.VENUE:
        celsius = shop.indoors_celsius if order.venue_celsius is None else order.venue_celsius
        elevation = air.elevation_m if order.venue_elevation_m is None else order.venue_elevation_m
        air = Air(celsius, elevation)
    litres = filled_litres(balloon_type, batch.fill_size_in, batch.fill_share)
    return batch.filled * gas_taken(balloon_type, litres, air, shop)
