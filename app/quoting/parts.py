"""From lines to batches: what a sold line is made of, and what the bench fills together."""

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from app.craft.build import Build, read_build, shares_by_pattern
from app.craft.colours import ColoursUnclear, read_colours, uncounted_colours
from app.physics.balloon import Gas
from app.physics.material import Traits, materials_that
from app.quoting.catalogue import BalloonOffer, Catalogue, Design, Part
from app.quoting.costs import current_design_price
from app.quoting.errors import NO_LONGER_SOLD, Problem, Refused
from app.quoting.recipe import NO_RECIPE, Recipe, recipe_of
from app.quoting.request import MOST_HUNG_G, LineRequest, Service
from app.quoting.shop import Shop
from app.quoting.states import OrderPart
from app.quoting.swaps import describe_swaps, refuse_wrong_swaps, swapped_design

OWN_WITHOUT_HELIUM = "The customer's own balloons are filled with helium. Choose helium."
ENTER_IN_DESIGN = "Enter it in the design, in Office, Designs, and leave this field blank."
DESIGN_NO_LONGER_SOLD = "The shop no longer sells this design. Choose another."
NOT_TREATED = "A {material} cannot be treated, only {treated} filled with helium. Untick “Treated”."
AIR_NOT_TREATED = "Air-filled {material} is not treated. Untick “Treated”, or choose helium."
NOTHING_TO_TREAT = "This design has no {treated} with helium to treat. Untick “Treated”."
TOO_HEAVY_TO_FLOAT = "{name} is too small or too heavy to float. Choose air."
NOT_TOPPED_UP = "Tied {material} cannot be topped up. Sell new ones."
OWN_NOT_FILLED = "Of the customer's own balloons only {own} is filled. Sell them the shop's {material}."
DESIGN_ONLY_SOLD = "A design cannot be filled or topped up. Choose the {own} by itself."
NO_SERVICE_PRICE = "{name} has no price for that. Enter one in Office, Balloon types."


@dataclass(frozen=True, slots=True)
class BatchSpec:
    """What the balloons of a batch have in common. Their size follows from this and from the order's places.
    hung_g: grams of gift or card on each; 0 for balloons filled with air, which need not carry it."""

    balloon_type_id: int
    gas: Gas
    treated: bool
    part: OrderPart = OrderPart.MAIN
    hung_g: float = 0.0


@dataclass(frozen=True, slots=True)
class SoldLine:
    """A line as sold. parts: balloons of each colour in each batch, for the whole line. recipe: of one piece."""

    request: LineRequest
    title: str
    unit_minor: int
    parts: Mapping[BatchSpec, Mapping[str, int]]
    assembly_minutes: float = field(default=0.0)
    recipe: Recipe = field(default=NO_RECIPE)

    @property
    def total_minor(self) -> int:
        """The price of the whole line."""
        return self.request.quantity * self.unit_minor


LinesAsSold = Mapping[LineRequest, SoldLine]
"""Lines as they were sold, by the line that was asked for, with `later` False."""


def sell(
    line: LineRequest, line_index: int, catalogue: Catalogue, shop: Shop, saved: LinesAsSold | None = None
) -> SoldLine:
    """Returns the line with its title, price and parts; one that was sold before keeps them. Raises Refused at the
    line's field."""
    sold = saved.get(replace(line, later=False)) if saved else None
    sold = sold or _sell_now(line, line_index, catalogue, shop, saved or {})
    sinking = {spec for spec in sold.parts if _sinks_first(spec, catalogue)}
    parts = {
        replace(spec, part=line.part if spec in sinking or not sinking else OrderPart.MAIN): share
        for spec, share in sold.parts.items()
    }
    return replace(sold, request=line, parts=parts)


def _sell_now(
    line: LineRequest, line_index: int, catalogue: Catalogue, shop: Shop, existing: Collection[LineRequest]
) -> SoldLine:
    """Returns the line at today's price. existing: lines of the order; what they have can be sold in another
    number or colour, even if the shop archived it."""
    try:
        if line.design_id is not None:
            return _sell_design(line, line_index, catalogue, shop, existing)
        return _sell_balloon_type(line, line_index, catalogue, shop, {one.balloon_type_id for one in existing})
    except ColoursUnclear as unclear:
        raise Refused(Problem("colours", str(unclear), line_index)) from unclear


def _sell_balloon_type(
    line: LineRequest, line_index: int, catalogue: Catalogue, shop: Shop, existing: Collection[int | None]
) -> SoldLine:
    row = catalogue.balloon_types.get(line.balloon_type_id or 0)
    if row is None or (row.archived_at is not None and row.id not in existing):
        raise Refused(Problem("what", NO_LONGER_SOLD, line_index))
    _refuse_misfits(row, line, line_index)
    spec = BatchSpec(row.id, line.gas, line.treated, hung_g=_carried_g(line.gas, line.hung_g))
    colours = read_colours(line.colours, line.quantity, figures=row.material.traits.comes_as_figures)
    if line.service is Service.OWN:
        return SoldLine(line, f"own {row.name}, filled", _price(row.fill_minor, row, line_index), {spec: colours})
    if line.service is Service.TOP_UP:
        return SoldLine(line, f"{row.name}, topped up", _price(row.top_up_minor, row, line_index), {})
    unit = row.price_minor + (treatment_minor(row, shop) if line.treated else 0)
    return SoldLine(line, row.name, unit, {spec: colours})


def treatment_minor(row: BalloonOffer, shop: Shop) -> int:
    """Returns what one costs more when it is treated: up to its own treated price, else the treatment price."""
    return shop.treat_minor if row.treated_minor is None else row.treated_minor - row.price_minor


def _carried_g(gas: Gas, hung_g: float) -> float:
    """Returns the grams of gift or card that the gas must carry."""
    return hung_g if gas is Gas.HELIUM else 0.0


def _price(minor: int | None, row: BalloonOffer, line_index: int) -> int:
    if minor is None:
        raise Refused(Problem("what", NO_SERVICE_PRICE.format(name=row.name), line_index))
    return minor


def _refuse_misfits(row: BalloonOffer, line: LineRequest, line_index: int) -> None:
    if line.treated and not row.material.traits.can_be_treated:
        sentence = NOT_TREATED.format(material=row.material, treated=_treated())
        raise Refused(Problem("treated", sentence, line_index))
    if line.treated and line.gas is Gas.AIR:
        raise Refused(Problem("treated", AIR_NOT_TREATED.format(material=row.material), line_index))
    if not 0.0 <= line.hung_g <= MOST_HUNG_G:
        raise Refused(Problem("hung_g", f"Enter a weight from 0 to {MOST_HUNG_G:g}\u00a0g.", line_index))
    if row.air_only and line.gas is Gas.HELIUM:
        raise Refused(Problem("gas", TOO_HEAVY_TO_FLOAT.format(name=row.name), line_index))
    if line.service is not Service.SOLD:
        _refuse_misfit_service(row, line, line_index)


def _refuse_misfit_service(row: BalloonOffer, line: LineRequest, line_index: int) -> None:
    traits = row.material.traits
    if line.service is Service.TOP_UP and not traits.can_be_topped_up:
        raise Refused(Problem("what", NOT_TOPPED_UP.format(material=row.material), line_index))
    if line.service is Service.OWN and not traits.takes_own:
        own = materials_that(lambda traits: traits.takes_own)
        sentence = OWN_NOT_FILLED.format(own=own, material=row.material)
        raise Refused(Problem("what", sentence, line_index))
    if line.gas is Gas.AIR:
        raise Refused(Problem("gas", OWN_WITHOUT_HELIUM, line_index))


def _design_of(
    line: LineRequest, line_index: int, catalogue: Catalogue, existing: Collection[LineRequest]
) -> Design:
    """Returns the design of the line, with the balloons that replace its own. Raises Refused."""
    design = catalogue.designs.get(line.design_id or 0)
    if line.service is not Service.SOLD:
        own = materials_that(lambda traits: traits.takes_own)
        raise Refused(Problem("what", DESIGN_ONLY_SOLD.format(own=own), line_index))
    known = {one.design_id for one in existing}
    if design is None or (design.archived_at is not None and design.id not in known):
        raise Refused(Problem("what", DESIGN_NO_LONGER_SOLD, line_index))
    if line.hung_g:
        raise Refused(Problem("hung_g", ENTER_IN_DESIGN, line_index))
    had = {swap.now for one in existing for swap in one.swaps}
    refuse_wrong_swaps(design, line.swaps, line_index, catalogue, had)
    return swapped_design(design, line.swaps, catalogue)


def _sell_design(
    line: LineRequest, line_index: int, catalogue: Catalogue, shop: Shop, existing: Collection[LineRequest]
) -> SoldLine:
    design = _design_of(line, line_index, catalogue, existing)
    parts: dict[BatchSpec, dict[str, int]] = {}
    treated_pieces, treatment, build = 0, 0, read_build(design.build)
    for part in design.parts:
        gas, traits = Gas(part.gas), _traits_of(part.balloon_type_id, catalogue)
        treated = line.treated and traits.can_be_treated and gas is Gas.HELIUM
        spec = BatchSpec(part.balloon_type_id, gas, treated, hung_g=_carried_g(gas, part.hung_g))
        if treated:
            treated_pieces += part.quantity
            treatment += part.quantity * treatment_minor(catalogue.balloon_types[part.balloon_type_id], shop)
        _add(parts.setdefault(spec, {}), _part_colours(part, line, build))
    if line.treated and not treated_pieces:
        raise Refused(Problem("treated", NOTHING_TO_TREAT.format(treated=_treated()), line_index))
    unit = current_design_price(design, catalogue, shop) + treatment
    minutes = design.assembly_minutes * line.quantity
    title = f"{design.name} {describe_swaps(line.swaps, catalogue)}".strip()
    return SoldLine(line, title, unit, parts, minutes, recipe_of(design, catalogue))


def _treated() -> str:
    return materials_that(lambda traits: traits.can_be_treated)


def _sinks_first(spec: BatchSpec, catalogue: Catalogue) -> bool:
    """Returns whether it is handed over with the later part, if the order has one."""
    return spec.gas is Gas.HELIUM and _traits_of(spec.balloon_type_id, catalogue).hours_are_computed


def _traits_of(balloon_type_id: int, catalogue: Catalogue) -> Traits:
    """Returns what the material of the balloon type can do."""
    return catalogue.balloon_types[balloon_type_id].material.traits


def _part_colours(part: Part, line: LineRequest, build: Build) -> dict[str, int]:
    """Returns the colours of one part. Colours without counts are shared out as the pattern needs them, if it is
    put together from fours."""
    if part.colours:
        return {colour: count * line.quantity for colour, count in part.colours}
    names = uncounted_colours(line.colours) if part.gas == Gas.AIR else []
    taken = shares_by_pattern(build, part.quantity, len(names))
    if taken:
        return {name: count * line.quantity for name, count in zip(names, taken, strict=True) if count}
    return read_colours(line.colours, part.quantity * line.quantity)


def _add(into: dict[str, int], more: Mapping[str, int]) -> None:
    """Adds the counts to those of `into`."""
    for colour, count in more.items():
        into[colour] = into.get(colour, 0) + count


def group_into_batches(lines: Iterable[SoldLine]) -> dict[BatchSpec, dict[str, int]]:
    """Returns the batches of an order with their colours, in the order of the lines."""
    batches: dict[BatchSpec, dict[str, int]] = {}
    for line in lines:
        for spec, colours in line.parts.items():
            _add(batches.setdefault(spec, {}), colours)
    return batches


def describe_design(design: Design, catalogue: Catalogue) -> str:
    """Returns what a design is made of, for a list: “9 × 11 in latex, 1 × 18 in foil”."""
    names = {part.balloon_type_id: catalogue.balloon_types[part.balloon_type_id].name for part in design.parts}
    return ", ".join(
        [
            *(
                f"{part.quantity} × {names[part.balloon_type_id]}{' with air' if part.gas == Gas.AIR else ''}"
                for part in design.parts
            ),
            *(f"{supply.of_one:g} × {supply.name}" for supply in recipe_of(design, catalogue).supplies),
        ]
    )


CommitmentT = TypeVar("CommitmentT")


def match_commitments(
    commitments: Mapping[BatchSpec, CommitmentT], wanted: Collection[BatchSpec]
) -> dict[BatchSpec, CommitmentT]:
    """Returns the commitments by the batches that are wanted now. Balloons that only moved to the order's other
    hand-over, or on which something else is to hang now, keep theirs, because they are filled alike."""
    matched = dict(commitments)
    for spec in wanted:
        if spec in matched:
            continue
        twins = [one for one in matched if one not in wanted and _are_filled_alike(one, spec)]
        if twins:
            nearest = min(twins, key=lambda twin: (twin.hung_g != spec.hung_g, twin.part is not spec.part))
            matched[spec] = matched.pop(nearest)
    return matched


def _are_filled_alike(one: BatchSpec, other: BatchSpec) -> bool:
    """Returns whether balloons of the two are the same until they are hung and handed over."""
    return replace(one, part=other.part, hung_g=other.hung_g) == other


def weight_of_one(
    parts: Mapping[BatchSpec, Mapping[str, int]], quantity: int, weights: Mapping[BatchSpec, float | None]
) -> float | None:
    """Returns the least weight, in grams, below one piece of a line: for all its helium balloons together.

    parts: for the whole line. Returns None if nothing in it needs a weight for the wind.
    """
    grams = [sum(share.values()) * (weights.get(spec) or 0.0) for spec, share in parts.items()]
    return math.ceil(sum(grams) / quantity - 1e-9) if any(grams) else None
