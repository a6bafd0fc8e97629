"""Lines as the store keeps them: what was sold does not change with the shop."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from app.physics.balloon import Gas
from app.quoting.parts import BatchOf, Kept, SoldLine
from app.quoting.recipe import read_recipe, write_recipe
from app.quoting.request import LineWish, Service
from app.store.models import OrderLine


def line_row(line: SoldLine, place: int) -> OrderLine:
    """The line for the store."""
    wish = line.wish
    return OrderLine(
        position=place,
        kind_id=wish.kind_id,
        design_id=wish.design_id,
        title=line.title,
        gas=wish.gas,
        treated=wish.treated,
        later=wish.later,
        service=wish.service,
        colours=wish.colours,
        quantity=wish.quantity,
        unit_minor=line.unit_minor,
        assembly_minutes=line.assembly_minutes,
        parts=[
            {
                "kind_id": of.kind_id,
                "gas": of.gas,
                "treated": of.treated,
                "later": of.later,
                "colours": list(map(list, share.items())),
            }
            for of, share in line.parts.items()
        ],
        recipe=write_recipe(line.recipe),
    )


def wish_of_line(row: OrderLine) -> LineWish:
    return LineWish(
        row.kind_id,
        row.design_id,
        row.quantity,
        row.colours,
        Gas(row.gas),
        row.treated,
        row.later,
        Service(row.service),
    )


def kept_lines(rows: Iterable[OrderLine]) -> Kept:
    """The lines of an order as they were sold: the shop's later prices do not touch them."""
    return {replace(wish_of_line(row), later=False): _as_sold(row) for row in rows}


def _as_sold(row: OrderLine) -> SoldLine:
    parts, recipe = read_parts(row.parts), read_recipe(row.recipe)
    return SoldLine(wish_of_line(row), row.title, row.unit_minor, parts, row.assembly_minutes, recipe)


def read_parts(kept: Iterable[Mapping[str, Any]]) -> dict[BatchOf, dict[str, int]]:
    """The inverse of what a line keeps."""
    return {
        BatchOf(part["kind_id"], Gas(part["gas"]), part["treated"], part.get("later", False)): dict(part["colours"])
        for part in kept
    }
