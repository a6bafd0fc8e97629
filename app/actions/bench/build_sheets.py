"""The build sheets of an order's lines, with the sizes to which its batches are filled."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from app.actions.records.batches import spec_of
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.sold_rows import read_parts
from app.craft.sizing import fill_size
from app.physics.balloon import sphere_litres
from app.physics.endurance import Filling
from app.quoting.batch_use import BatchUse, UsedLine, use_of_batch
from app.quoting.build_sheets.finish import own_steps
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, StuffedItem, colours_per_piece
from app.quoting.build_sheets.line_sheet import LineSheet, make_line_sheet
from app.quoting.catalogue import Catalogue
from app.quoting.journey import journey_of, venue_air
from app.quoting.parts import BatchSpec
from app.quoting.recipe import SoldSupply, build_of, read_recipe
from app.quoting.request import HandOver, OrderRequest
from app.quoting.shop import Shop
from app.quoting.states import SupplySort
from app.store.models import Order, OrderBatch, OrderLine


@dataclass(frozen=True, slots=True)
class OrderLineSheet:
    """The build sheet of the order's line at this position."""

    position: int
    sheet: LineSheet


def sheets_of_lines(
    order: Order, shop: Shop, catalogue: Catalogue, batch: BatchSpec | None = None
) -> tuple[OrderLineSheet, ...]:
    """Returns the build sheets of the lines that are designs. batch: only lines with such balloons in them."""
    return tuple(_sheet(order, shop, catalogue, batch))


def has_sheet(order: Order) -> bool:
    """Returns whether any line of the order is a design; loads nothing else."""
    return any(line.design_id for line in order.lines)


def use_of_order_batch(order: Order, batch: BatchSpec, catalogue: Catalogue) -> BatchUse:
    """Returns what the order makes of the balloons of a batch."""
    lines = [
        UsedLine(line.design_id is not None, read_recipe(line.recipe), read_parts(line.parts))
        for line in order.lines
    ]
    return use_of_batch(lines, batch, catalogue)


def _sheet(order: Order, shop: Shop, catalogue: Catalogue, batch: BatchSpec | None) -> Iterator[OrderLineSheet]:
    """Yields the build sheets, as `sheets_of_lines` returns them."""
    request, saved_batches = rebuild_request(order), {spec_of(one): one for one in order.batches}
    build_place = scene_of(request, shop)
    for line in order.lines:
        parts = read_parts(line.parts)
        if line.design_id is None or (batch is not None and batch not in parts):
            continue
        balloons = [
            _balloon_group(
                spec, colours_per_piece(colours, line.quantity), saved_batches.get(spec), request, shop, catalogue
            )
            for spec, colours in parts.items()
        ]
        if found := _line_sheet(line, balloons, build_place, shop, catalogue):
            yield OrderLineSheet(line.position, found)


def scene_of(request: OrderRequest, shop: Shop) -> BuildPlace:
    """Returns the conditions at the venue; where no wind was given, the shop's limit for outdoors is assumed."""
    wind = shop.outdoors.wind_limit_m_s if request.wind_m_s is None else request.wind_m_s
    at_venue = request.hand_over is HandOver.VENUE
    return BuildPlace(venue_air(request, shop), request.surroundings, wind, at_venue)


def _balloon_group(
    spec: BatchSpec,
    colours: tuple[tuple[str, int], ...],
    batch: OrderBatch | None,
    request: OrderRequest,
    shop: Shop,
    catalogue: Catalogue,
) -> BalloonGroup:
    """Returns a group of balloons as their batch is filled; if they have no batch, as it would be filled."""
    balloon_type, journey = (
        catalogue.balloon_types[spec.balloon_type_id].balloon_type,
        journey_of(request, shop, spec.part),
    )
    if batch is None:
        size = fill_size(
            balloon_type, spec.gas, journey.fill_air, journey.later_airs, request.surroundings, shop.air_sizes
        )
        diameter, litres = size.diameter_in, size.litres
    else:
        diameter, share = batch.fill_size_in, batch.fill_share
        litres = sphere_litres(diameter) if balloon_type.stretches else balloon_type.full_litres * share
    return BalloonGroup(Filling(balloon_type, spec.gas, litres, journey.fill_air, spec.treated), diameter, colours)


def _line_sheet(
    line: OrderLine, balloons: Iterable[BalloonGroup], build_place: BuildPlace, shop: Shop, catalogue: Catalogue
) -> LineSheet | None:
    """Returns the build sheet of one line; if its recipe cannot be read, a sheet that says so."""
    recipe = read_recipe(line.recipe)
    try:
        build = build_of(recipe)
    except ValueError as wrong:
        trouble = f"The build details can't be read. {wrong}"
        return LineSheet(line.title, line.quantity, cautions=(trouble,), steps=own_steps(recipe.steps))
    sheet_input = BuildInput(
        title=line.title,
        quantity=line.quantity,
        build=build,
        balloons=tuple(group for group in balloons if group.count),
        supplies=recipe.supplies,
        items=items_of(recipe.supplies, catalogue),
        steps=recipe.steps,
    )
    return make_line_sheet(sheet_input, build_place, shop, catalogue)


def items_of(supplies: Iterable[SoldSupply], catalogue: Catalogue) -> tuple[StuffedItem, ...]:
    """Returns the items among the supplies that are stuffed into balloons."""
    return tuple(_item(one, catalogue) for one in supplies if one.sort == SupplySort.PLUSH)


def _item(one: SoldSupply, catalogue: Catalogue) -> StuffedItem:
    """Returns the item with its width; the width is None if the catalogue no longer has the supply."""
    row = catalogue.supplies.get(one.supply_id)
    return StuffedItem(one.name, row.width_cm if row else None)
