"""What a balloon is made of, what it holds, and what it lifts."""

import math
from dataclasses import dataclass
from enum import StrEnum

from app.physics.air import REFERENCE_AIR, Air, lift_g_per_l
from app.physics.material import Material

LITRES_PER_CUBIC_INCH_OF_SPHERE = math.pi / 6 * 0.254**3
COAT_AT_INCHES = 11.0


class Gas(StrEnum):
    HELIUM = "helium"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class BalloonType:
    """A balloon's make-up.

    nominal_in: trade size, inches. mass_g: rubber or film, grams. helium_l: litres when full; None
    means the sphere of full_in. rated_in: the diameter it is made for, inches, where that is not its
    size. median_hours: stated float of foil and sphere; latex is reckoned.
    size_factor: corrects the hours of large latex. air_only: too small or too heavy for helium.
    Raises ValueError when a figure is not positive, or foil for helium has no litres or hours.
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
        return self.material.traits.stretches

    @property
    def full_in(self) -> float:
        """Inches across when full."""
        return self.rated_in or self.nominal_in

    @property
    def full_litres(self) -> float:
        return self.helium_l or sphere_litres(self.full_in)


def sphere_litres(diameter_in: float) -> float:
    """Litres in a sphere of a diameter in inches."""
    return LITRES_PER_CUBIC_INCH_OF_SPHERE * diameter_in**3


def sphere_diameter_in(litres: float) -> float:
    """Diameter in inches of a sphere of so many litres."""
    return math.cbrt(litres / LITRES_PER_CUBIC_INCH_OF_SPHERE)


def coat_g(diameter_in: float, at_11_in: float = 0.6) -> float:
    """Grams of treatment left in a latex balloon, in proportion to its surface. From memory; a setting."""
    return at_11_in * (diameter_in / COAT_AT_INCHES) ** 2


def reference_litres(litres: float, air: Air) -> float:
    """The same gas measured at 20 °C and sea level: what a move does not change."""
    return litres / air.litres_per_reference_litre


def net_lift_g(litres: float, air: Air, carried_g: float, purity: float = 1.0) -> float:
    """Grams left to lift: so many litres of gas in that air, less the balloon and its load (carried_g)."""
    lift = lift_g_per_l(REFERENCE_AIR.celsius, REFERENCE_AIR.elevation_m, purity)
    return reference_litres(litres, air) * lift - carried_g
