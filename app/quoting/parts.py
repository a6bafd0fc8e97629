"""From lines to batches: what a line is made of as sold, and what the bench fills together."""

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from app.actions.errors import Problem, Refused
from app.actions.records.shop import Goods, Shop
from app.craft.build import Build, read_build, shares_by_pattern
from app.craft.colours import ColoursUnclear, names_alone, share_out
from app.physics.balloon import Gas, Material
from app.quoting.costs import asked_for
from app.quoting.recipe import NO_RECIPE, Recipe, recipe_of
from app.quoting.request import LineWish, Service
from app.store.models import Design, DesignPart, KindRow


@dataclass(frozen=True, slots=True)
class BatchOf:
    """What is filled alike: the size follows from these and the order's places. later: for the later part."""

    kind_id: int
    gas: Gas
    treated: bool
    later: bool = False


@dataclass(frozen=True, slots=True)
class SoldLine:
    """A line as sold. parts: balloons of each colour in each batch, for the whole line. recipe: of one."""

    wish: LineWish
    title: str
    unit_minor: int
    parts: Mapping[BatchOf, Mapping[str, int]]
    assembly_minutes: float = field(default=0.0)
    recipe: Recipe = field(default=NO_RECIPE)

    @property
    def total_minor(self) -> int:
        return self.wish.quantity * self.unit_minor


Kept = Mapping[LineWish, SoldLine]
"""Lines as they were sold, by what was wished, no matter at which hand-over."""


def sell(line: LineWish, place: int, goods: Goods, shop: Shop, kept: Kept | None = None) -> SoldLine:
    """The line with its title, price and parts; one that was sold before stays so. Raises Refused, at the line's
    field."""
    kept = kept or {}
    sold = kept.get(replace(line, later=False)) or _sell_anew(line, place, goods, shop, kept)
    latex_up = {of for of in sold.parts if _is_latex_up(of.kind_id, of.gas, goods)}
    parts = {
        replace(of, later=line.later and (of in latex_up or not latex_up)): share
        for of, share in sold.parts.items()
    }
    return replace(sold, wish=line, parts=parts)


def _sell_anew(line: LineWish, place: int, goods: Goods, shop: Shop, had: Collection[LineWish]) -> SoldLine:
    """had: what the order has already is sold in another number or colour, though the shop retired it."""
    try:
        if line.design_id is not None:
            return _sell_design(line, place, goods, shop, {one.design_id for one in had})
        return _sell_kind(line, place, goods, shop, {one.kind_id for one in had})
    except ColoursUnclear as unclear:
        raise Refused(Problem("colours", str(unclear), place)) from unclear


def _sell_kind(line: LineWish, place: int, goods: Goods, shop: Shop, had: Collection[int | None]) -> SoldLine:
    row = goods.kinds.get(line.kind_id or 0)
    if row is None or (row.retired_at is not None and row.id not in had):
        raise Refused(Problem("what", "The shop no longer has this: choose another.", place))
    _refuse_misfits(row, line, place)
    of = BatchOf(row.id, line.gas, line.treated)
    colours = share_out(line.colours, line.quantity, figures=row.material == Material.FOIL)
    if line.service is Service.OWN:
        return SoldLine(line, f"own {row.name}, filled", _price(row.fill_minor, row, place), {of: colours})
    if line.service is Service.TOP_UP:
        return SoldLine(line, f"{row.name}, topped up", _price(row.top_up_minor, row, place), {})
    unit = row.price_minor + (shop.treat_minor if line.treated else 0)
    return SoldLine(line, row.name, unit, {of: colours})


def _price(minor: int | None, row: KindRow, place: int) -> int:
    if minor is None:
        sentence = f"The shop does not offer that: give {row.name} a price for it under Office, Kinds."
        raise Refused(Problem("what", sentence, place))
    return minor


def _refuse_misfits(row: KindRow, line: LineWish, place: int) -> None:
    if line.treated and row.material != Material.LATEX:
        sentence = f"A {row.material} is not treated: only latex filled with helium is. Untick it."
        raise Refused(Problem("treated", sentence, place))
    if line.treated and line.gas is Gas.AIR:
        raise Refused(Problem("treated", "Air-filled latex is not treated: untick it, or fill with helium.", place))
    if row.air_only and line.gas is Gas.HELIUM:
        raise Refused(Problem("gas", f"{row.name}: too small or too heavy to float: fill it with air.", place))
    if line.service is not Service.SOLD:
        _refuse_misfit_service(row, line, place)


def _refuse_misfit_service(row: KindRow, line: LineWish, place: int) -> None:
    if row.material == Material.LATEX:
        sentence = (
            "Tied latex cannot be topped up: sell new ones."
            if line.service is Service.TOP_UP
            else "Only the customer's own foil or sphere is filled: sell them the shop's latex."
        )
        raise Refused(Problem("what", sentence, place))
    if line.gas is Gas.AIR:
        raise Refused(Problem("gas", "Own ones are filled and topped up with helium: choose helium.", place))


def _sell_design(line: LineWish, place: int, goods: Goods, shop: Shop, had: Collection[int | None]) -> SoldLine:
    design = goods.designs.get(line.design_id or 0)
    if line.service is not Service.SOLD:
        sentence = "A design is sold, not filled or topped up: choose the foil or sphere by itself."
        raise Refused(Problem("what", sentence, place))
    if design is None or (design.retired_at is not None and design.id not in had):
        raise Refused(Problem("what", "The shop no longer sells this design: choose another.", place))
    parts: dict[BatchOf, dict[str, int]] = {}
    treated_pieces, build = 0, read_build(design.build)
    for part in design.parts:
        latex_up = _is_latex_up(part.kind_id, part.gas, goods)
        of = BatchOf(part.kind_id, Gas(part.gas), line.treated and latex_up)
        treated_pieces += part.quantity if of.treated else 0
        _add(parts.setdefault(of, {}), _part_colours(part, line, build))
    if line.treated and not treated_pieces:
        raise Refused(
            Problem("treated", "Nothing in this design can be treated: no latex with helium. Untick it.", place)
        )
    unit = asked_for(design, goods, shop) + treated_pieces * shop.treat_minor
    minutes = design.assembly_minutes * line.quantity
    return SoldLine(line, design.name, unit, parts, minutes, recipe_of(design, goods))


def _is_latex_up(kind_id: int, gas: str, goods: Goods) -> bool:
    """Latex with helium: what treatment helps, and what is handed over later."""
    return goods.kinds[kind_id].material == Material.LATEX and gas == Gas.HELIUM


def _part_colours(part: DesignPart, line: LineWish, build: Build) -> dict[str, int]:
    """Colours that are named and not counted go as the fours take them, where they are put together so."""
    if part.colours:
        return {colour: count * line.quantity for colour, count in part.colours}
    names = names_alone(line.colours) if part.gas == Gas.AIR else []
    taken = shares_by_pattern(build, part.quantity, len(names))
    if taken:
        return {name: count * line.quantity for name, count in zip(names, taken, strict=True) if count}
    return share_out(line.colours, part.quantity * line.quantity)


def _add(into: dict[str, int], more: Mapping[str, int]) -> None:
    for colour, count in more.items():
        into[colour] = into.get(colour, 0) + count


def together(lines: Iterable[SoldLine]) -> dict[BatchOf, dict[str, int]]:
    """The batches of an order with their colours, in the order of the lines."""
    batches: dict[BatchOf, dict[str, int]] = {}
    for line in lines:
        for of, colours in line.parts.items():
            _add(batches.setdefault(of, {}), colours)
    return batches


def design_note(design: Design, goods: Goods) -> str:
    """“9 × 11 in latex, 1 × 18 in foil”: what a design is made of, for a list."""
    return ", ".join(
        [
            *(
                f"{part.quantity} × {goods.kinds[part.kind_id].name}{' in air' if part.gas == Gas.AIR else ''}"
                for part in design.parts
            ),
            *(f"{supply.of_one:g} × {supply.name}" for supply in recipe_of(design, goods).supplies),
        ]
    )


Stands = TypeVar("Stands")


def follow(standing: Mapping[BatchOf, Stands], wanted: Collection[BatchOf]) -> dict[BatchOf, Stands]:
    """What stands, by what is wanted now: balloons that only moved to the order's other hand-over keep it."""
    followed = dict(standing)
    for of in wanted:
        twin = replace(of, later=not of.later)
        if of not in followed and twin in followed and twin not in wanted:
            followed[of] = followed.pop(twin)
    return followed


def weight_of_one(
    parts: Mapping[BatchOf, Mapping[str, int]], quantity: int, weights: Mapping[BatchOf, float | None]
) -> float | None:
    """The least weight, in grams, below one of so many of a line: all its helium balloons together.

    parts: for the whole line. None where nothing in it needs a weight for the wind.
    """
    grams = [sum(share.values()) * (weights.get(of) or 0.0) for of, share in parts.items()]
    return math.ceil(sum(grams) / quantity - 1e-9) if any(grams) else None
