"""Office: designs to begin with. Each fills in the form of a new design, which is then saved like any other."""

from dataclasses import dataclass

from app.actions.catalogue.designs import DesignFigures
from app.craft.build import Build, Construction
from app.physics.balloon import Gas
from app.quoting.catalogue import Catalogue, Part


@dataclass(frozen=True, slots=True)
class Starter:
    """A design to begin with. parts, supplies: names of goods of a new shop, and how many are in one piece."""

    key: str
    name: str
    parts: tuple[tuple[str, int], ...]
    supplies: tuple[tuple[str, float], ...]
    construction: Construction


STARTERS = (
    Starter("dozen", "Dozen in one colour", (("11 in latex", 12),), (("Weight 170 g", 1),), Construction.BOUQUET),
    Starter(
        "seven",
        "Bouquet of seven with a star",
        (("11 in latex", 6), ("18 in foil", 1)),
        (("Weight 170 g", 1),),
        Construction.BOUQUET,
    ),
    Starter("three", "Three for a table", (("11 in latex", 3),), (("Weight 80 g", 1),), Construction.STRINGS),
)
"""Invented, and general: the colours are left to the customer."""


def offered_starters(catalogue: Catalogue) -> list[Starter]:
    """Returns the starters whose balloons the shop sells, and whose names no design has."""
    return [one for one in STARTERS if figures_of_starter(one.key, catalogue)]


def figures_of_starter(key: str, catalogue: Catalogue) -> DesignFigures | None:
    """Returns the design of a starter, at the price of its balloons; None if it cannot be offered. Where a balloon
    has no price yet, the price is calculated from cost."""
    starter = next((one for one in STARTERS if one.key == key), None)
    types = {row.name: row for row in catalogue.balloon_types.values() if row.archived_at is None}
    taken = {row.name for row in catalogue.designs.values()}
    if not starter or starter.name in taken or any(name not in types for name, _ in starter.parts):
        return None
    supplies = {row.name: row.id for row in catalogue.supplies.values() if row.archived_at is None}
    prices = [types[name].price_minor * quantity for name, quantity in starter.parts]
    return DesignFigures(
        starter.name,
        tuple(Part(types[name].id, Gas.HELIUM, quantity) for name, quantity in starter.parts),
        sum(prices) if all(prices) else None,
        supplies=tuple((supplies[name], amount) for name, amount in starter.supplies if name in supplies),
        build=Build(starter.construction),
    )
