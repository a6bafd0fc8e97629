"""This module says what a balloon is made of, how many litres it holds and how many grams it lifts."""

import math
from dataclasses import dataclass
from enum import StrEnum

from app.physics.air import REFERENCE_AIR, Air, lift_g_per_l
from app.physics.material import Material

LITRES_PER_CUBIC_INCH_OF_SPHERE = math.pi / 6 * 0.254**3
COAT_AT_INCHES = 11.0
"""The fill size in inches for which the shop states its grams of treatment."""


class Gas(StrEnum):
    HELIUM = "helium"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class BalloonType:
    """What the shop knows of one make of balloon.

    nominal_in: the trade size in inches.
    mass_g: the mass of its rubber or film in grams.
    helium_l: litres of gas when full; None means the litres of a sphere of full_in.
    median_hours: the float time that is stated for foil and spheres; that of latex is calculated.
    size_factor: corrects the calculated hours of large latex.
    air_only: True when it is too small or too heavy for helium.
    rated_in: the diameter in inches for which it is made, if that differs from its trade size.

    Creating one raises ValueError when a figure is not above 0, or when foil or a sphere may be filled with helium
    but has no litres or no hours.
    """

    name: str
    material: Material
    nominal_in: float
    mass_g: float
    helium_l: float | None = None
    median_hours: float | None = None
    size_factor: float = 1.0
    air_only: bool = False
    rated_in: float | None = None

    def __post_init__(self) -> None:
        sizes = (self.nominal_in, self.rated_in, self.size_factor)
        figures = (*sizes, self.mass_g, self.helium_l, self.median_hours)
        if not all(figure is None or figure > 0 for figure in figures):
            raise ValueError(f"{self.name}: every figure must be above 0")
        stated = all(getattr(self, measure) for measure in self.material.traits.helium_measures)
        if not self.air_only and not stated:
            raise ValueError(f"{self.name}: {self.material} filled with helium needs its litres and its hours")

    @property
    def stretches(self) -> bool:
        """Whether it stretches, as latex does; foil and spheres keep their size."""
        return self.material.traits.stretches

    @property
    def full_in(self) -> float:
        """The diameter in inches when full."""
        return self.rated_in or self.nominal_in

    @property
    def full_litres(self) -> float:
        """The litres of gas that it holds when full."""
        return self.helium_l or sphere_litres(self.full_in)


def sphere_litres(diameter_in: float) -> float:
    """Returns the litres that a sphere of this diameter, in inches, holds."""
    return LITRES_PER_CUBIC_INCH_OF_SPHERE * diameter_in**3


def sphere_diameter_in(litres: float) -> float:
    """Returns the diameter in inches of the sphere that holds this many litres."""
    return math.cbrt(litres / LITRES_PER_CUBIC_INCH_OF_SPHERE)


def coat_g(diameter_in: float, at_11_in: float = 0.6) -> float:
    """Returns the grams of treatment that stay in a latex balloon of this diameter, in inches.

    They are in proportion to the balloon's surface; at_11_in is the grams in an 11-inch balloon. Source: from
    memory; it is a setting of the shop.
    """
    return at_11_in * (diameter_in / COAT_AT_INCHES) ** 2


def ribbon_load_g(ribbon_m: float, g_per_m: float, up_height_m: float) -> float:
    """Returns the grams of ribbon that a balloon carries while it counts as up.

    ribbon_m: its length in metres. up_height_m: the height of its knot in metres from which it counts as up; what
    is longer lies on the floor or the table. All 0 or more. Source: common practice, no source.
    """
    return g_per_m * min(ribbon_m, up_height_m)


def reference_litres(litres: float, air: Air) -> float:
    """Returns the litres that this gas, measured in that air, takes at 20 °C and sea level.

    Moving a balloon to other air does not change this figure. Source: ideal gas law.
    """
    return litres / air.litres_per_reference_litre


def net_lift_g(litres: float, air: Air, carried_g: float, purity: float = 1.0) -> float:
    """Returns the grams that the gas can still lift once it carries the balloon and its load; below 0, it sinks.

    litres: the gas, measured in that air. carried_g: the mass of balloon and load in grams. purity: the share of
    helium in the gas, above 0 and up to 1; raises ValueError outside that. Source: ideal gas law.
    """
    lift = lift_g_per_l(REFERENCE_AIR.celsius, REFERENCE_AIR.elevation_m, purity)
    return reference_litres(litres, air) * lift - carried_g
