"""This module has the stock of the invented shop, what is on its way, and its cylinders."""

from dataclasses import replace
from datetime import timedelta

from app.actions.context import Context
from app.actions.gas.cylinders import CylinderFigures, add_cylinder
from app.actions.gas.moves import change_state
from app.actions.gas.readings import add_reading
from app.actions.stock.articles import Article
from app.actions.stock.deliveries import add_delivery, next_deliveries
from app.actions.stock.lots import Arrival, receive
from app.craft.gas import PressureReading
from app.planning.shoptime import day_bounds
from app.quoting.catalogue import Catalogue
from app.quoting.states import CylinderState

LOTS = (
    ("11 in latex", 400, 60, ("white", "black", "gold", "silver", "navy")),
    ("11 in latex", 90, 25, ("ivory", "rose", "pearl", "sage", "lilac", "blush", "peach", "cream", "orange")),
    ("11 in latex", 40, 420, ("red", "lime")),
    ("11 in latex", 60, 12, ("red", "teal", "copper")),
    ("12 in latex", 100, 40, ("yellow", "green", "gold", "night blue", "red")),
    ("16 in latex", 50, 75, ("red", "blue", "white")),
    ("18 in foil", 12, 33, ("silver star", "red heart", "silver snowflake", "heart")),
    ("Weight 170 g", 36, 33, ("",)),
    ("Plush bear 20 cm", 5, 33, ("",)),
)
"""The stock: article, how many of each colour, how many days ago they came, and the colours."""


CYLINDERS = (("Grey 114", 50.0, 200.0, 20), ("Grey 121", 50.0, 200.0, 6), ("Stubby 7", 20.0, 200.0, 6))
"""Name, litres of water, full bar, and how many days ago they came."""


def article_named(catalogue: Catalogue, name: str) -> Article:
    """Returns what the shop can count, by its name."""
    balloon_type = next((row.id for row in catalogue.balloon_types.values() if row.name == name), 0)
    return Article(balloon_type, next((row.id for row in catalogue.supplies.values() if row.name == name), 0))


def add_stock(context: Context) -> None:
    """Puts the stock and one delivery that is on its way into the shop."""
    catalogue, now = context.catalogue, context.now
    today = context.today
    for name, count_of_each, days_ago, colours in LOTS:
        came_on = today - timedelta(days=days_ago)
        for colour in colours:
            arrival = Arrival(article_named(catalogue, name), colour, count_of_each, came_on)
            came_at = now - timedelta(days=days_ago)
            receive(
                replace(context, now=came_at),
                arrival,
                f"demo {name} {colour} {days_ago}",
            )
    first, _ = next_deliveries(context.shop.stock_defaults, today)
    add_delivery(
        context,
        article_named(catalogue, "11 in latex"),
        "teal",
        1,
        first,
        "demo teal",
    )


def add_cylinders(context: Context) -> None:
    """Adds the cylinders: one in use that leaked yesterday, a full one, and a small one for venues."""
    shop = context.shop
    today = context.today
    midnight = day_bounds(today, shop.zone)[0]
    rows = {}
    for name, water_l, full_bar, came in CYLINDERS:
        came_on = today - timedelta(days=came)
        figures = CylinderFigures(name, water_l, full_bar, 100.0, came_on)
        rows[name] = add_cylinder(context, figures, f"demo {name}")
    row, (started, ended) = rows["Grey 114"], (PressureReading(bar, shop.air.celsius) for bar in (66.0, 36.0))
    change_state(
        replace(context, now=midnight - timedelta(hours=18)),
        row.id,
        CylinderState.IN_USE,
        started,
        "demo into use",
    )
    add_reading(replace(context, now=midnight - timedelta(hours=1)), row.id, ended, "demo read")
