"""A design made from what was sold, with all that the design form asks for."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from app.actions.catalogue.designs import MOST_STEPS, DesignFigures
from app.actions.catalogue.names import MAX_NAME_LENGTH
from app.actions.records.sold_rows import read_parts
from app.craft.build import Build
from app.craft.colours import ANY
from app.quoting.build_sheets.input import colours_per_piece
from app.quoting.catalogue import Part
from app.quoting.parts import BatchSpec
from app.quoting.recipe import build_of, read_recipe
from app.quoting.states import OrderPart
from app.store.models import OrderLine


def design_from_order(lines: Sequence[OrderLine], names: Collection[str]) -> DesignFigures:
    """Returns the design. One line gives one piece of its design, or all its balloons if they were loose; several
    lines give everything together, once.

    The colours are fixed as they were sold, and so is the price. names: taken by designs already.
    """
    alone = lines[0] if len(lines) == 1 else None
    made = [(line, alone.quantity if alone and line.design_id else 1) for line in lines]
    recipes = [read_recipe(line.recipe) for line in lines]
    supplies: dict[int, float] = {}
    for (line, of), recipe in zip(made, recipes, strict=True):
        for one in recipe.supplies:
            supplies[one.supply_id] = supplies.get(one.supply_id, 0.0) + one.of_one * line.quantity / of
    return DesignFigures(
        name=_free_name(_name(lines), names),
        parts=tuple(_parts(made)),
        price_minor=sum(line.unit_minor * line.quantity // of for line, of in made),
        assembly_minutes=round(sum(line.assembly_minutes / of for line, of in made), 1),
        steps=tuple(dict.fromkeys(step for recipe in recipes for step in recipe.steps))[:MOST_STEPS],
        supplies=tuple(supplies.items()),
        build=build_of(recipes[0]) if alone and recipes[0].build else Build(),
    )


def _parts(made: Sequence[tuple[OrderLine, int]]) -> Iterator[Part]:
    """Yields the parts of the lines, each with how many pieces it is divided by."""
    together: dict[BatchSpec, dict[str, int]] = {}
    for line, of in made:
        for batch, colours in read_parts(line.parts).items():
            plain = together.setdefault(replace(batch, treated=False, part=OrderPart.MAIN), {})
            for colour, count in colours_per_piece(colours, of):
                plain[colour] = plain.get(colour, 0) + count
    for batch, shares in together.items():
        fixed = () if set(shares) <= {ANY} else tuple(shares.items())
        yield Part(batch.balloon_type_id, batch.gas, sum(shares.values()), fixed, batch.hung_g)


def _name(lines: Sequence[OrderLine]) -> str:
    """Returns a name: “Harbour bouquet, teal and copper”."""
    named = next((line for line in lines if line.design_id), lines[0])
    parts = read_parts(named.parts).values()
    colours = [colour for colour in dict.fromkeys(c for shares in parts for c in shares) if colour != ANY]
    if len(lines) > 1:
        return f"{named.title} and more"
    said = " and ".join([", ".join(colours[:-1]), colours[-1]] if len(colours) > 1 else colours)
    return f"{named.title}, {said}" if said else named.title


def _free_name(name: str, names: Collection[str]) -> str:
    """Returns the name short enough, and with a number if it is taken."""
    taken = {one.casefold() for one in names}
    ends = ("", *(f" {number}" for number in range(2, 100)))
    tries = (name[: MAX_NAME_LENGTH - len(end)].rstrip(" ,") + end for end in ends)
    return next((one for one in tries if one.casefold() not in taken), "")
