"""Lines as the store saves them: what was sold does not change with the shop."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from app.physics.balloon import Gas
from app.quoting.extras import SoldExtra
from app.quoting.parts import BatchSpec, LinesAsSold, SoldLine
from app.quoting.recipe import read_recipe, write_recipe
from app.quoting.request import ExtraRequest, ExtraSort, LineRequest, PartSwap
from app.quoting.states import OrderPart
from app.store.models import OrderExtra, OrderLine


def line_row(line: SoldLine, place: int) -> OrderLine:
    """Returns the line as a row."""
    request = line.request
    return OrderLine(
        position=place,
        balloon_type_id=request.balloon_type_id,
        design_id=request.design_id,
        title=line.title,
        gas=request.gas,
        treated=request.treated,
        part=request.part,
        service=request.service,
        hung_g=request.hung_g,
        colours=request.colours,
        quantity=request.quantity,
        unit_minor=line.unit_minor,
        assembly_minutes=line.assembly_minutes,
        parts=[
            {
                "balloon_type_id": spec.balloon_type_id,
                "gas": spec.gas,
                "treated": spec.treated,
                "part": spec.part,
                "hung_g": spec.hung_g,
                "colours": list(map(list, share.items())),
            }
            for spec, share in line.parts.items()
        ],
        recipe=write_recipe(line.recipe),
        swaps=[[swap.was, swap.now, swap.gas] for swap in request.swaps],
    )


def rebuild_line(row: OrderLine) -> LineRequest:
    """Returns the row as the line that was asked for."""
    return LineRequest(
        balloon_type_id=row.balloon_type_id,
        design_id=row.design_id,
        quantity=row.quantity,
        colours=row.colours,
        gas=Gas(row.gas),
        treated=row.treated,
        later=row.part is OrderPart.LATER,
        service=row.service,
        hung_g=row.hung_g,
        swaps=tuple(PartSwap(was, now, Gas(gas)) for was, now, gas in row.swaps),
    )


def lines_as_sold(rows: Iterable[OrderLine]) -> LinesAsSold:
    """Returns the lines of an order as they were sold; the shop's later prices do not change them."""
    return {replace(rebuild_line(row), later=False): _as_sold(row) for row in rows}


def _as_sold(row: OrderLine) -> SoldLine:
    """Returns the row as a sold line."""
    return SoldLine(
        request=rebuild_line(row),
        title=row.title,
        unit_minor=row.unit_minor,
        parts=read_parts(row.parts),
        assembly_minutes=row.assembly_minutes,
        recipe=read_recipe(row.recipe),
    )


def read_parts(saved: Iterable[Mapping[str, Any]]) -> dict[BatchSpec, dict[str, int]]:
    """Returns the balloons of a saved line, by batch and colour."""
    return {_spec_of(part): dict(part["colours"]) for part in saved}


def _spec_of(part: Mapping[str, Any]) -> BatchSpec:
    """Returns the batch of a saved part of a line."""
    return BatchSpec(
        part["balloon_type_id"], Gas(part["gas"]), part["treated"], OrderPart(part["part"]), part["hung_g"]
    )


def extra_row(extra: SoldExtra, place: int) -> OrderExtra:
    """Returns the add-on as a row."""
    return OrderExtra(
        position=place,
        sort=extra.request.sort,
        supply_id=extra.request.supply_id,
        title=extra.title,
        quantity=extra.request.quantity,
        of_one=extra.request.of_one,
        unit_minor=extra.unit_minor,
        deposit_minor=extra.deposit_minor,
    )


def rebuild_extra(row: OrderExtra) -> ExtraRequest:
    """Returns the row as the add-on that was asked for, with the price as it was sold."""
    sort = ExtraSort(row.sort)
    title = row.title if sort is ExtraSort.OTHER else ""
    return ExtraRequest(sort, row.quantity, row.supply_id, title, row.unit_minor, row.of_one)
