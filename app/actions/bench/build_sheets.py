"""The lines of an order as they are put together, with the sizes that its batches are filled to."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from app.actions.records.batches import batch_of
from app.actions.records.rebuild_request import wish_of
from app.actions.records.shop import Goods, Shop
from app.actions.records.sold_rows import read_parts
from app.craft.sizing import fill_size
from app.physics.balloon import sphere_litres
from app.physics.endurance import Filling
from app.quoting.build_sheets.input import Alike, Item, Making, Scene, of_one
from app.quoting.build_sheets.line_sheet import Crafted, craft
from app.quoting.journey import course_of, venue_air
from app.quoting.parts import BatchOf
from app.quoting.recipe import SoldSupply, build_of, read_recipe
from app.quoting.request import OrderWish
from app.store.models import Batch, Order, OrderLine


@dataclass(frozen=True, slots=True)
class CraftedLine:
    position: int
    crafted: Crafted


def crafted_lines(order: Order, shop: Shop, goods: Goods, batch: BatchOf | None = None) -> tuple[CraftedLine, ...]:
    """Those that are put together. batch: only lines with such balloons in them."""
    return tuple(_crafted(order, shop, goods, batch))


def is_crafted(order: Order) -> bool:
    """Whether something in it may be put together; asks for nothing else."""
    return any(line.recipe for line in order.lines)


def _crafted(order: Order, shop: Shop, goods: Goods, batch: BatchOf | None) -> Iterator[CraftedLine]:
    wish, standing = wish_of(order), {batch_of(one): one for one in order.batches}
    scene = scene_of(wish, shop)
    for line in order.lines:
        parts = read_parts(line.parts)
        if not line.recipe or (batch is not None and batch not in parts):
            continue
        balloons = [
            _alike(of, of_one(colours, line.quantity), standing.get(of), wish, shop, goods)
            for of, colours in parts.items()
        ]
        if found := _craft_line(line, balloons, scene, shop, goods):
            yield CraftedLine(line.position, found)


def scene_of(wish: OrderWish, shop: Shop) -> Scene:
    wind = shop.outdoors.wind_limit_m_s if wish.wind_m_s is None else wish.wind_m_s
    return Scene(venue_air(wish, shop), wish.surroundings, wind)


def _alike(
    of: BatchOf,
    colours: tuple[tuple[str, int], ...],
    batch: Batch | None,
    wish: OrderWish,
    shop: Shop,
    goods: Goods,
) -> Alike:
    """As its batch is filled; where it has none, as it would be."""
    kind, course = goods.kinds[of.kind_id].kind(), course_of(wish, shop, later=of.later)
    if batch is None:
        size = fill_size(kind, of.gas, course.filled_in, course.later_airs, wish.surroundings, shop.air_sizes)
        diameter, litres = size.diameter_in, size.litres
    else:
        diameter, share = batch.fill_size_in, batch.fill_share
        litres = sphere_litres(diameter) if kind.stretches else kind.full_litres * share
    return Alike(Filling(kind, of.gas, litres, course.filled_in, of.treated), diameter, colours)


def _craft_line(
    line: OrderLine, balloons: Iterable[Alike], scene: Scene, shop: Shop, goods: Goods
) -> Crafted | None:
    recipe = read_recipe(line.recipe)
    try:
        build = build_of(recipe)
    except ValueError as wrong:
        trouble = f"How it is put together cannot be read. {wrong}"
        return Crafted(line.title, line.quantity, cautions=(trouble,), steps=recipe.steps)
    making = Making(
        title=line.title,
        quantity=line.quantity,
        build=build,
        balloons=tuple(alike for alike in balloons if alike.count),
        supplies=recipe.supplies,
        items=items_of(recipe.supplies, goods),
        steps=recipe.steps,
    )
    return craft(making, scene, shop, goods)


def items_of(supplies: Iterable[SoldSupply], goods: Goods) -> tuple[Item, ...]:
    return tuple(_item(one, goods) for one in supplies if one.sort == "plush")


def _item(one: SoldSupply, goods: Goods) -> Item:
    row = goods.supplies.get(one.supply_id)
    return Item(one.name, row.width_cm if row else None)
