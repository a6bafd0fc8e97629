"""This module says which helium an order filled at a venue needs, which cylinders go along, and which ones
could."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from app.actions.gas.balance import CylinderNow, gas_now, gas_of
from app.quoting.states import CylinderState
from app.store.queries.gas import helium_to_fill
from app.web.requests import request_context
from app.web.wording.gas import ShownCylinder, litres, show_cylinder


@dataclass(frozen=True, slots=True)
class ShownAlong:
    """The helium of one order that is filled at a venue.

    takes: what is still to be filled, including spares. along: the cylinders that go along. holds: what is in them.
    enough: whether that will do. could: the cylinders in the shop, first the one not in use with the least gas that
    is enough.
    """

    takes: str
    along: tuple[ShownCylinder, ...]
    holds: str
    enough: bool
    could: tuple[ShownCylinder, ...]


def along_with(order_ids: Collection[int]) -> dict[int, ShownAlong]:
    """Returns the helium of each of these orders; nothing when no cylinder was ever entered."""
    here = request_context()
    stock = gas_now(here.context) if order_ids else None
    if stock is None:
        return {}
    takes: dict[int, float] = defaultdict(float)
    for row in helium_to_fill(here.session):
        if row.order_id in order_ids:
            takes[row.order_id] += row.to_fill * gas_of(row, here.shop)
    return {order_id: _show(order_id, takes[order_id], stock) for order_id in order_ids}


def _show(order_id: int, takes: float, stock: list[CylinderNow]) -> ShownAlong:
    along = [one for one in stock if one.row.order_id == order_id]
    could = [one for one in stock if one.row.order_id is None and one.left > 0]
    could.sort(key=lambda one: (one.left < takes, one.row.state == CylinderState.IN_USE, abs(one.left - takes)))
    holds = sum(one.left for one in along)
    return ShownAlong(litres(takes), _shown(along), litres(holds), holds >= takes, _shown(could))


def _shown(rows: list[CylinderNow]) -> tuple[ShownCylinder, ...]:
    here = request_context()
    return tuple(show_cylinder(one, here.shop, here.formats) for one in rows)
