"""This module calculates how wide to fill a small latex balloon with water as a weight, and what it then weighs."""

import math
from dataclasses import dataclass

from app.physics.balloon import sphere_diameter_in, sphere_litres

WATER_G_PER_L = 998.2


class TooMuchWater(ValueError):
    """Raised when the wanted grams of water would overfill the balloon; the message is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class WaterDefaults:
    """The shop's figures for weights of water. Each is a setting; the defaults are common practice, no source.

    most: the largest share of its nominal size to which a balloon is filled with water, above 0 and up to 1.
    step_in: the step of the sizer in inches, above 0. Creating one raises ValueError outside these ranges.
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
    """A balloon of water. diameter_in: the fill size in inches. grams: of the water alone, without the rubber."""

    diameter_in: float
    grams: float


def water_g(diameter_in: float) -> float:
    """Returns the grams of water at 20 °C in a sphere of this diameter, in inches; water has 0.9982 g/mL.

    Raises ValueError for a diameter that is not above 0. Source: CRC Handbook of Chemistry and Physics, IAPWS-95.
    """
    if not 0.0 < diameter_in < math.inf:
        raise ValueError(f"a diameter of {diameter_in} in is not above 0")
    return sphere_litres(diameter_in) * WATER_G_PER_L


def heaviest(nominal_in: float, defaults: WaterDefaults) -> WaterWeight:
    """Returns the heaviest weight of water that a balloon of this nominal size, in inches, can be filled to.

    Raises ValueError for a size that is not above 0. Source: common practice, a setting of the shop.
    """
    widest = nominal_in * defaults.most
    return WaterWeight(widest, water_g(widest))


def weight_of(grams: float, nominal_in: float, defaults: WaterDefaults) -> WaterWeight:
    """Returns how wide to fill a balloon of this nominal size, in inches, so that its water weighs at least this
    many grams.

    The diameter is rounded up to the sizer's step, but never past the shop's largest share of the nominal size.
    Raises TooMuchWater when so much does not go in, and ValueError for grams or a size that is not above 0.
    """
    if not 0.0 < grams < math.inf:
        raise ValueError(f"a weight of {grams} g is not above 0")
    most = heaviest(nominal_in, defaults)
    exact = sphere_diameter_in(grams / WATER_G_PER_L)
    if exact > most.diameter_in * (1 + 1e-9):
        raise TooMuchWater(
            f"{grams:g} g of water are too much for a balloon of {nominal_in:g} in: it takes at most "
            f"{math.floor(most.grams)} g. Take a larger one, or several."
        )
    stepped = round(math.ceil(round(exact / defaults.step_in, 6)) * defaults.step_in, 4)
    diameter = min(stepped, most.diameter_in)
    return WaterWeight(diameter, water_g(diameter))
