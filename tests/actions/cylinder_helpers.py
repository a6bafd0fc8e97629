"""Cylinders that the tests of gas have, and helium that is filled from them."""

from datetime import date

from app.actions.gas.balance import gas_now
from app.actions.gas.cylinders import CylinderFigures, add_cylinder
from app.actions.gas.moves import change_state
from app.actions.gas.readings import add_reading
from app.craft.gas import PressureReading, content_litres, gas_litres, litres_per_normal_litre, usable_litres
from app.physics.balloon import BalloonType
from app.physics.material import Material
from app.quoting.states import CylinderState, TapAction
from tests.actions.builders import EIGHT, MORNING, WHO, ctx, line, order_request, take, tap

THURSDAY, SATURDAY = date(2026, 11, 19), date(2026, 11, 21)
ROOM_C = 20.0


def figures(**changes):
    """50 litres of water, full at 200 bar, two days ago."""
    wanted = {"name": "Ada", "water_l": 50.0, "full_bar": 200.0, "purity_percent": 100.0, "came_on": THURSDAY}
    return CylinderFigures(**(wanted | changes))


def cylinder(session, key="", **changes):
    wanted = figures(**changes)
    return add_cylinder(ctx(session), wanted, key or wanted.name)


def in_use(session, bar=150.0, now=MORNING, **changes):
    row = cylinder(session, **changes)
    return change_state(
        ctx(session, who=WHO, now=now),
        row.id,
        CylinderState.IN_USE,
        PressureReading(bar, ROOM_C),
        f"use {row.name}",
    )


def read(session, row, bar, now, celsius=ROOM_C, key="", sure=False):
    return add_reading(
        ctx(session, who=WHO, now=now),
        row.id,
        PressureReading(bar, celsius),
        key or f"{row.name} {bar} {now}",
        sure=sure,
    )


def left(session, shop):
    return {one.row.name: one.left for one in gas_now(ctx(session, shop=shop))}


def by_gauge(shop, bar, celsius=20.0, water=50.0):
    return usable_litres(water, PressureReading(bar, celsius), shop.stock_defaults.residual_bar, shop.air)


def held(shop, bar, water=50.0):
    return content_litres(water, PressureReading(bar, 20), shop.air) * litres_per_normal_litre(shop.air)


def bar_after(shop, bar, pieces):
    """What the gauge should say once so many 11-inch are filled: halving the interval."""
    low, high, wanted = 0.0, bar, held(shop, bar) - elevens(shop, pieces)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if held(shop, middle) < wanted else (low, middle)
    return low


def elevens(shop, count):
    """Litres of gas in so many 11-inch balloons."""
    balloon_type = BalloonType("11 in latex", Material.LATEX, 11, 3.0)
    return count * gas_litres(balloon_type, balloon_type.full_litres, shop.air)


def fill(session, catalogue, count=24, now=EIGHT, key="fill", **changes):
    """An order of so many 11-inch that is filled at once."""
    order = take(session, order_request(catalogue, line(catalogue, quantity=count), **changes), key=key)
    tap(session, order.batches[0], TapAction.FINISH, now, sure=True)
    return order
