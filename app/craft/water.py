"""A small latex balloon filled with water as a weight: how wide to fill it, and what it then weighs."""

import math
from dataclasses import dataclass

from app.physics.balloon import sphere_diameter_in, sphere_litres

WATER_G_PER_L = 998.2


class TooMuchWater(ValueError):
    """So many grams would overfill the balloon; the message is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class WaterDefaults:
    """The shop's figures for weights of water, each a setting; common practice, no source.

    most: share of the rated diameter to which a balloon is filled with water, over 0 to 1. step_in: the sizer's
    step in inches, over 0. Raises ValueError outside.
    """

    most: float = 0.60
    step_in: float = 0.1

    def __post_init__(self) -> None:
        if not 0.0 < self.most <= 1.0:
            raise ValueError(f"a share of {self.most} is outside 0 to 1")
        if not 0.0 < self.step_in < math.inf:
            raise ValueError(f"a step of {self.step_in} in is not above 0")


@dataclass(frozen=True, slots=True)
class WaterWeight:
    """diameter_in: to fill to, inches. grams: of the water alone, so that the rubber comes on top."""

    diameter_in: float
    grams: float


def water_g(diameter_in: float) -> float:
    """Grams of water at 20 °C in a sphere of so many inches; 0.9982 g/mL.

    Raises ValueError for a diameter that is not above 0. Source: CRC Handbook of Chemistry and Physics, IAPWS-95.
    """
    if not 0.0 < diameter_in < math.inf:
        raise ValueError(f"a diameter of {diameter_in} in is not above 0")
    return sphere_litres(diameter_in) * WATER_G_PER_L


def heaviest(nominal_in: float, float_defaults: WaterDefaults) -> WaterWeight:
    """The most water that a balloon of that nominal size takes, inches over 0. Raises ValueError otherwise."""
    widest = nominal_in * float_defaults.most
    return WaterWeight(widest, water_g(widest))


def weight_of(grams: float, nominal_in: float, float_defaults: WaterDefaults) -> WaterWeight:
    """How wide to fill a balloon of that nominal size so that it weighs at least so many grams.

    The diameter is rounded up to the sizer's step, never past the shop's share of the nominal size. Raises
    TooMuchWater where so much does not go in, ValueError for grams or a size that is not above 0.
    """
    if not 0.0 < grams < math.inf:
        raise ValueError(f"a weight of {grams} g is not above 0")
    most = heaviest(nominal_in, float_defaults)
    exact = sphere_diameter_in(grams / WATER_G_PER_L)
    if exact > most.diameter_in * (1 + 1e-9):
        raise TooMuchWater(
            f"{grams:g} g of water are too much for a balloon of {nominal_in:g} in: it takes at most "
            f"{math.floor(most.grams)} g. Take a larger one, or several."
        )
    stepped = round(math.ceil(round(exact / float_defaults.step_in, 6)) * float_defaults.step_in, 4)
    diameter = min(stepped, most.diameter_in)
    return WaterWeight(diameter, water_g(diameter))
