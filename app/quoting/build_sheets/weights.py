"""This module checks whether the chosen weight holds a piece, and offers water balloons as weights instead."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from app.craft.weights import TooMuchWater, WaterWeight, water_weight_for
from app.physics.balloon import BalloonType
from app.quoting.build_sheets.sheet import RequiredWeight
from app.quoting.catalogue import Catalogue
from app.quoting.recipe import SoldSupply
from app.quoting.shop import Shop

SMALL_IN = 12.0
"""The largest nominal size, in inches, at which a latex balloon is filled with water."""
MOST_TOGETHER = 12
NO_WEIGHT = "Add a weight of {least} to the supplies."
NEVER_WEIGHED = "Enter the weight of {name} under Office → Supplies. It must be {least}."
ONE_END_ONLY = "There is a weight for only one end ({name}). Add one: {least}."
WEIGHT_TOO_LIGHT = "{grams}\u00a0g of weight is too light: use {least}."


@dataclass(frozen=True, slots=True)
class ChosenWeight:
    """grams: of all weights in one piece; None if one of them was never weighed. units: how many there are."""

    name: str
    grams: float | None
    units: float


def is_enough(required_weight: RequiredWeight | None, chosen: ChosenWeight | None) -> bool:
    """Returns whether a weight is chosen that holds the piece."""
    if required_weight is None or chosen is None:
        return False
    return next(too_light(required_weight, chosen), None) is None


@dataclass(frozen=True, slots=True)
class Water:
    """count: how many balloons of water are used together."""

    balloon_type_name: str
    count: int
    each: WaterWeight


def chosen_weight(supplies: Iterable[SoldSupply], catalogue: Catalogue) -> ChosenWeight | None:
    """Returns the weights among a piece's supplies; None if there are none."""
    weights = [one for one in supplies if one.sort == "weight"]
    if not weights:
        return None
    grams = [row.grams if (row := catalogue.supplies.get(one.supply_id)) else None for one in weights]
    sums = [each * one.of_one for each, one in zip(grams, weights, strict=True) if each is not None]
    name = ", ".join(f"{one.of_one:g} × {one.name}" for one in weights)
    return ChosenWeight(name, sum(sums) if len(sums) == len(weights) else None, sum(one.of_one for one in weights))


def too_light(required_weight: RequiredWeight, chosen: ChosenWeight | None) -> Iterator[str]:
    """Yields a sentence if the weight is missing or not enough."""
    least = f"at least {required_weight.at_venue_g}\u00a0g{' at each end' if required_weight.each_end else ''}"
    if chosen is None:
        yield NO_WEIGHT.format(least=least)
    elif chosen.grams is None:
        yield NEVER_WEIGHED.format(name=chosen.name, least=least)
    elif required_weight.each_end and chosen.units < 2:
        yield ONE_END_ONLY.format(name=chosen.name, least=least)
    elif chosen.grams < required_weight.at_venue_g * (2 if required_weight.each_end else 1):
        yield WEIGHT_TOO_LIGHT.format(grams=f"{chosen.grams:g}", least=least)


def water_for(grams: int, catalogue: Catalogue, shop: Shop) -> Water | None:
    """Returns the smallest latex of the shop that takes water of that weight; if none does alone, several of the
    largest.

    Returns None if there is nothing to hold, or nothing that could hold it.
    """
    small = small_latex(catalogue)
    if not small or grams <= 0:
        return None
    for balloon_type in small:
        if each := _water(grams, balloon_type, shop):
            return Water(balloon_type.name, 1, each)
    largest = small[-1]
    for count in range(2, MOST_TOGETHER + 1):
        if each := _water(math.ceil(grams / count), largest, shop):
            return Water(largest.name, count, each)
    return None


def small_latex(catalogue: Catalogue) -> list[BalloonType]:
    """Returns the balloon types that can be filled with water, the smallest first."""
    rows = [
        row
        for row in catalogue.balloon_types.values()
        if row.material.traits.holds_water and row.archived_at is None
    ]
    return sorted(
        (row.balloon_type for row in rows if row.nominal_in <= SMALL_IN),
        key=lambda balloon_type: balloon_type.nominal_in,
    )


def _water(grams: int, balloon_type: BalloonType, shop: Shop) -> WaterWeight | None:
    """Returns the water in one balloon; None if it does not take that much."""
    try:
        return water_weight_for(grams, balloon_type.nominal_in, shop.craft.water)
    except TooMuchWater:
        return None
