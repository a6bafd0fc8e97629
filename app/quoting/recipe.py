"""How a design is made, as it is sold: its build, the steps of its assembly, and the supplies in one piece."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from app.craft.build import Build, Construction, read_build
from app.quoting.catalogue import Catalogue, Design


@dataclass(frozen=True, slots=True)
class SoldSupply:
    """of_one: units in one piece of the design. deposit_minor: of one unit that is rented."""

    supply_id: int
    name: str
    sort: str
    of_one: float
    deposit_minor: int = 0


@dataclass(frozen=True, slots=True)
class Recipe:
    """build: {"form": …, and its figures}; empty if none was entered."""

    build: Mapping[str, Any] = field(default_factory=dict)
    steps: tuple[str, ...] = ()
    supplies: tuple[SoldSupply, ...] = ()


NO_RECIPE = Recipe()


def recipe_of(design: Design, catalogue: Catalogue) -> Recipe:
    """Returns the recipe of the design."""
    return Recipe(design.build, tuple(design.steps), tuple(_supplies(design, catalogue)))


def build_of(recipe: Recipe) -> Build:
    """Returns how it is put together. Raises ValueError with a sentence."""
    return read_build(recipe.build)


def construction_of(recipe: Recipe) -> Construction:
    """Returns the construction; loose if the recipe cannot be read."""
    try:
        return build_of(recipe).construction
    except ValueError:
        return Construction.LOOSE


def _supplies(design: Design, catalogue: Catalogue) -> list[SoldSupply]:
    """Returns the supplies in one piece of the design."""
    rows = [(catalogue.supplies[part.supply_id], part.quantity) for part in design.supplies]
    return [
        SoldSupply(supply_id=row.id, name=row.name, sort=row.sort, of_one=of_one, deposit_minor=row.deposit_minor)
        for row, of_one in rows
    ]


def write_recipe(recipe: Recipe) -> dict[str, Any]:
    """Returns the recipe as a line saves it; empty for what is not a design."""
    if recipe == NO_RECIPE:
        return {}
    supplies = [asdict(one) for one in recipe.supplies]
    return {"build": dict(recipe.build), "steps": list(recipe.steps), "supplies": supplies}


def read_recipe(saved: Mapping[str, Any]) -> Recipe:
    """Returns the recipe that was saved."""
    if not saved:
        return NO_RECIPE
    return Recipe(saved["build"], tuple(saved["steps"]), tuple(SoldSupply(**one) for one in saved["supplies"]))
