"""What hangs on each balloon of an order, in grams: its ribbon, its tag, and its gift or card."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from app.craft.build import Construction
from app.craft.sizing import FillSize
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.quoting.build_sheets.bouquets import WITH_OWN_RIBBONS, longest_ribbons_m
from app.quoting.build_sheets.input import BalloonGroup, colours_per_piece
from app.quoting.build_sheets.sheet import largest_group
from app.quoting.parts import BatchSpec, SoldLine
from app.quoting.recipe import build_of, construction_of
from app.quoting.shop import Shop


@dataclass(frozen=True, slots=True)
class SizedFilling:
    """How the balloons of a batch are filled, before it is known what hangs on them."""

    size: FillSize
    filling: Filling


def loads_of_batches(
    lines: Iterable[SoldLine], fillings: Mapping[BatchSpec, SizedFilling], air: Air, shop: Shop
) -> dict[BatchSpec, float]:
    """Returns the load of each batch in grams, without the coat; 0 if it is filled with air.

    air: that at the venue. A batch whose balloons stand in several lines, or on ribbons of several lengths,
    has the load of the one that carries most: what is promised for that one is kept by the lighter ones too.
    """
    loads = dict.fromkeys(fillings, 0.0)
    for line in lines:
        for spec, grams in _loads_of_line(line, fillings, air, shop):
            loads[spec] = max(loads[spec], grams + spec.hung_g)
    return loads


def _loads_of_line(
    line: SoldLine, fillings: Mapping[BatchSpec, SizedFilling], air: Air, shop: Shop
) -> Iterator[tuple[BatchSpec, float]]:
    """Yields the helium batches of the line with the greatest load of their balloons, without gift or card."""
    rising = [spec for spec in line.parts if spec.gas is Gas.HELIUM]
    construction = construction_of(line.recipe) if rising else Construction.LOOSE
    if construction not in WITH_OWN_RIBBONS and construction is not Construction.STRUNG:
        yield from ((spec, shop.loads.loose_g) for spec in rising)
        return
    groups = {spec: _group(fillings[spec], colours, line) for spec, colours in line.parts.items()}
    if construction in WITH_OWN_RIBBONS:
        ribbons = longest_ribbons_m(construction, tuple(groups.values()), air, shop)
        by_cut_list = dict(zip(groups, map(shop.loads.on_ribbon_g, ribbons), strict=True))
        yield from ((spec, by_cut_list[spec]) for spec in rising)
        return
    on_line = largest_group([groups[spec] for spec in rising], "")
    for spec in rising:
        yield spec, _tied_g(line, shop) if groups[spec] is on_line else shop.loads.loose_g


def _group(sized: SizedFilling, colours: Mapping[str, int], line: SoldLine) -> BalloonGroup:
    """Returns the balloons of a batch in one piece of the line."""
    return BalloonGroup(sized.filling, sized.size.diameter_in, colours_per_piece(colours, line.request.quantity))


def _tied_g(line: SoldLine, shop: Shop) -> float:
    """Returns the load of a balloon that is tied to the line of the strung arch."""
    spacing_m = build_of(line.recipe).number("spacing_m")
    return replace(shop.craft.strung, spacing_m=spacing_m).load_g
