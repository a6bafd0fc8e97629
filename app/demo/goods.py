"""This module has what the invented shop sells, and what that costs it."""

from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.catalogue.designs import DesignFigures, add_design
from app.actions.catalogue.supplies import SupplyFigures, add_supply, change_supply
from app.actions.context import Context
from app.craft.build import Build, Construction
from app.physics.balloon import Gas
from app.quoting.catalogue import Part
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import BalloonTypeRow
from app.store.queries.stock import all_supplies

PRICES = {
    "5 in latex": 40, "9 in latex": 120, "10 in latex": 140, "11 in latex": 160, "12 in latex": 180,
    "16 in latex": 350, "18 in latex": 450, "24 in latex": 900, "36 in latex": 1600,
    "18 in clear stuffing latex": 800, "9 in foil": 200, "18 in foil": 450, "22 in foil": 600,
    "36 in jumbo foil": 950, "20 in sphere": 700, "22 in sphere": 800,
}  # fmt: skip
SERVICES = {
    "18 in foil": (250, 100),
    "22 in foil": (350, 150),
    "36 in jumbo foil": (700, 250),
    "20 in sphere": (400, 150),
    "22 in sphere": (450, 150),
}
"""The prices of filling, and of topping up, one that the customer brings."""
PACKS = {
    "5 in latex": (100, 450), "9 in latex": (100, 650), "10 in latex": (100, 720), "11 in latex": (100, 850),
    "12 in latex": (100, 990), "16 in latex": (50, 1450), "18 in latex": (25, 1120), "24 in latex": (10, 1280),
    "36 in latex": (2, 640), "18 in clear stuffing latex": (25, 2600), "9 in foil": (10, 520), "18 in foil": (10, 1350),
    "22 in foil": (5, 980), "36 in jumbo foil": (1, 285), "20 in sphere": (5, 900), "22 in sphere": (5, 1240),
}  # fmt: skip
"""How many come in a pack, and what the shop pays for it."""
SUPPLIES = (
    SupplyFigures("Weight 15 g", SupplySort.WEIGHT, SupplyUnit.PIECE, 50, 725, 50, grams=15),
    SupplyFigures("Weight 80 g", SupplySort.WEIGHT, SupplyUnit.PIECE, 25, 1180, 120, grams=80),
    SupplyFigures("Weight 170 g", SupplySort.WEIGHT, SupplyUnit.PIECE, 12, 1020, 200, grams=170),
    SupplyFigures("Weight 500 g", SupplySort.WEIGHT, SupplyUnit.PIECE, 1, 240, 500, grams=500),
    SupplyFigures("Curling ribbon 5 mm", SupplySort.RIBBON, SupplyUnit.METRE, 450, 360, grams=0.5),
    SupplyFigures("Plush bear 20 cm", SupplySort.PLUSH, SupplyUnit.PIECE, 1, 430, 1200, width_cm=11),
    SupplyFigures("Carrying bag 60 cm", SupplySort.BAG, SupplyUnit.PIECE, 25, 480, 60, width_cm=60),
    SupplyFigures("Carrying bag 90 cm", SupplySort.BAG, SupplyUnit.PIECE, 25, 890, 100, width_cm=90),
    SupplyFigures("Carrying bag 120 cm", SupplySort.BAG, SupplyUnit.PIECE, 25, 1460, 150, width_cm=120),
    SupplyFigures("Treatment, bottle of 700 mL", SupplySort.TREATMENT, SupplyUnit.MILLILITRE, 700, 2150),
    SupplyFigures("Modelling balloon 2 × 60 in", SupplySort.MODELLING, SupplyUnit.PIECE, 100, 790, 100),
    SupplyFigures("Column pole with base", SupplySort.RENTAL, SupplyUnit.PIECE, 1, 3900, 800, deposit_minor=2500),
    SupplyFigures("Arch frame", SupplySort.RENTAL, SupplyUnit.PIECE, 1, 12000, 2200, deposit_minor=8000),
)


@dataclass(frozen=True, slots=True)
class DemoDesign:
    """A design of the invented shop. parts: (balloon type, gas, quantity, fixed colours). price: None when it is
    calculated. supplies: (name, units in one)."""

    name: str
    price: int | None
    minutes: float
    parts: tuple[tuple[str, Gas, int, tuple[tuple[str, int], ...]], ...]
    steps: tuple[str, ...] = ()
    supplies: tuple[tuple[str, float], ...] = ()
    seasons: tuple[tuple[str, str], ...] = ()
    build: Build = field(default_factory=Build)


DESIGNS = (
    DemoDesign("Harbour bouquet", 2600, 5, (("18 in foil", Gas.HELIUM, 1, (("silver star", 1),)), ("11 in latex", Gas.HELIUM, 9, ())),
               supplies=(("Weight 170 g", 1),), build=Build(Construction.BOUQUET)),
    DemoDesign("Table trio", 750, 2, (("11 in latex", Gas.HELIUM, 3, ()),),
               supplies=(("Weight 80 g", 1),), build=Build(Construction.STRINGS)),
    DemoDesign("Doorway column", 6800, 25, (("11 in latex", Gas.AIR, 40, ()),),
               supplies=(("Column pole with base", 1),), build=Build(Construction.COLUMN, {"height_m": 2.0, "pattern": "spiral"})),
    DemoDesign("Moon and stars", 3900, 6, (("20 in sphere", Gas.HELIUM, 1, (("clear", 1),)), ("12 in latex", Gas.HELIUM, 6, (("night blue", 3), ("gold", 3)))),
               ("Blue and gold by turns in each layer.",),
               (("Weight 170 g", 1),), build=Build(Construction.BOUQUET)),
    DemoDesign("Bear in a balloon", 2400, 12, (("18 in clear stuffing latex", Gas.AIR, 1, ()),),
               ("The bear's feet point to the neck.",),
               (("Plush bear 20 cm", 1),), build=Build(Construction.STUFFED)),
    DemoDesign("Sweetheart bouquet", 2450, 6, (("18 in foil", Gas.HELIUM, 1, (("red heart", 1),)), ("11 in latex", Gas.HELIUM, 6, (("red", 3), ("blush", 3)))),
               (), (("Weight 170 g", 1),), (("02-01", "02-14"),), Build(Construction.BOUQUET)),
    DemoDesign("Midwinter bouquet", 2300, 6, (("18 in foil", Gas.HELIUM, 1, (("silver snowflake", 1),)), ("11 in latex", Gas.HELIUM, 6, (("white", 3), ("silver", 3)))),
               (), (("Weight 170 g", 1),), (("11-20", "01-06"),), Build(Construction.BOUQUET)),
)  # fmt: skip


def price_goods(session: Session) -> None:
    """Sets the prices of the balloon types, and what a pack of them costs the shop."""
    balloon_types = {row.name: row for row in session.scalars(select(BalloonTypeRow))}
    for name, price in PRICES.items():
        balloon_types[name].price_minor = price
    for name, prices in SERVICES.items():
        balloon_types[name].fill_minor, balloon_types[name].top_up_minor = prices
    for name, (size, cost) in PACKS.items():
        balloon_types[name].pack_size, balloon_types[name].pack_minor = size, cost


def add_supplies(session: Session) -> None:
    """Adds the supplies of the invented shop, or changes those that exist."""
    known = {row.name: row.id for row in all_supplies(session)}
    for figures in SUPPLIES:
        if figures.name in known:
            change_supply(session, known[figures.name], figures)
        else:
            add_supply(session, figures)


def add_designs(context: Context) -> None:
    """Adds the designs of the invented shop; a supply that the shop does not have is left out of them."""
    catalogue = context.catalogue
    balloon_types = {row.name: row.id for row in catalogue.balloon_types.values()}
    supplies = {row.name: row.id for row in catalogue.supplies.values()}
    for one in DESIGNS:
        parts = tuple(
            Part(balloon_types[balloon_type], gas, n, colours) for balloon_type, gas, n, colours in one.parts
        )
        with_it = tuple((supplies[name], of_one) for name, of_one in one.supplies if name in supplies)
        figures = DesignFigures(one.name, parts, one.price, one.minutes, one.steps, one.seasons, with_it, one.build)
        add_design(context, figures)
