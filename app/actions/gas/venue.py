"""The helium that a crew needs at a venue, and the cylinders that go along."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from app.actions.context import Context
from app.actions.gas.balance import CylinderNow, gas_now, gas_of
from app.store.queries.gas import helium_to_fill


@dataclass(frozen=True, slots=True)
class GasAlong:
    """Litres as measured in the shop. needed: what is still to be filled of the order, including spares. cylinders:
    those that go along. candidates: those at the shop that still hold gas."""

    needed: float
    cylinders: tuple[CylinderNow, ...]
    candidates: tuple[CylinderNow, ...]

    @property
    def held(self) -> float:
        """What the cylinders hold that go along."""
        return sum(one.left for one in self.cylinders)

    @property
    def is_enough(self) -> bool:
        return self.held >= self.needed


def load_gas_along(context: Context, order_ids: Collection[int]) -> dict[int, GasAlong]:
    """Returns the helium of each of these orders; nothing if no cylinder was ever entered."""
    stock = gas_now(context) if order_ids else None
    if stock is None:
        return {}
    needed: dict[int, float] = defaultdict(float)
    for row in helium_to_fill(context.session):
        if row.order_id in order_ids:
            needed[row.order_id] += row.to_fill * gas_of(row, context)
    candidates = tuple(one for one in stock if one.row.order_id is None and one.left > 0)
    return {
        order_id: GasAlong(
            needed[order_id], tuple(one for one in stock if one.row.order_id == order_id), candidates
        )
        for order_id in order_ids
    }
