"""This module says what it costs a shop to leave something unentered."""

from app.quoting.missing import Missing
from app.web.formats import Formats

COSTS = {
    "zone": "No time zone: all times are UTC, not those of your clocks, so balloons are started at the wrong hour.",
    "backups": "No backup on another disk: if this computer's disk dies, all orders are lost.",
    "weights": "No weights: the app cannot offer any, and helium balloons without one fly away.",
    "cylinders": "No cylinder: nobody is warned before the helium runs out.",
    "staff": "No staff name: the history says “somebody”.",
    "name": "No shop name: pages and confirmations say “Our balloon shop”.",
    "address": "No address: confirmations do not say where to collect.",
    "phone": "No phone: confirmations do not say whom to call.",
}


def cost_of_missing(thing: str, missing: Missing, formats: Formats) -> str:
    """Returns what it costs to leave something unentered. thing: one of `Missing.things`."""
    if thing != "prices":
        return COSTS[thing]
    types = "1 balloon type is" if missing.unpriced == 1 else f"{missing.unpriced} balloon types are"
    return f"No price: {types} sold at {formats.money(0)}."
