"""Cylinders that the tests of gas have, and helium that is filled from them."""

from datetime import date

from app.actions.bench.taps import Act
from app.actions.gas.balance import gas_now
from app.actions.gas.cylinders import CylinderFigures, State, add_cylinder
from app.actions.gas.moves import change_state
from app.actions.gas.readings import note_reading
from app.craft.gas import Gauge, content_litres, gas_litres, litres_per_normal_litre, usable_litres
from app.physics.balloon import Kind, Material
from tests.actions.builders import EIGHT, MORNING, WHO, line, take, tap, wish

THURSDAY, SATURDAY = date(2026, 11, 19), date(2026, 11, 21)
ROOM_C = 20.0


def figures(**changes):
    """50 litres of water, full at 200 bar, two days ago."""
    wanted = {"name": "Ada", "water_l": 50.0, "full_bar": 200.0, "purity_percent": 100.0, "came_on": THURSDAY}
    return CylinderFigures(**(wanted | changes))


def cylinder(session, key="", **changes):
    wanted = figures(**changes)
    return add_cylinder(session, wanted, SATURDAY, key or wanted.name)


def in_use(session, bar=150.0, now=MORNING, **changes):
    row = cylinder(session, **changes)
    return change_state(session, WHO, row.id, State.IN_USE, Gauge(bar, ROOM_C), now, f"use {row.name}")


def read(session, row, bar, now, celsius=ROOM_C, key="", sure=False):
    return note_reading(session, WHO, row.id, Gauge(bar, celsius), now, key or f"{row.name} {bar} {now}", sure=sure)


def left(session, shop):
    return {one.row.name: one.left for one in gas_now(session, shop)}


def by_gauge(shop, bar, celsius=20.0, water=50.0):
    return usable_litres(water, Gauge(bar, celsius), shop.on_hand.rest_bar, shop.air)


def held(shop, bar, water=50.0):
    return content_litres(water, Gauge(bar, 20), shop.air) * litres_per_normal_litre(shop.air)


def bar_after(shop, bar, pieces):
    """What the gauge should say once so many 11-inch are filled: halving the interval."""
    low, high, wanted = 0.0, bar, held(shop, bar) - elevens(shop, pieces)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if held(shop, middle) < wanted else (low, middle)
    return low


def elevens(shop, count):
    """Litres of gas in so many 11-inch balloons."""
    kind = Kind("11 in latex", Material.LATEX, 11, 3.0)
    return count * gas_litres(kind, kind.full_litres, shop.air)


def fill(session, goods, count=24, now=EIGHT, key="fill", **changes):
    """An order of so many 11-inch that is filled at once."""
    order = take(session, wish(goods, line(goods, quantity=count), **changes), key=key)
    tap(session, order.batches[0], Act.FINISH, now, sure=True)
    return order
