"""This module describes one balloon of a bouquet: how wide it is, what it lifts, how hard the wind pushes it."""

import math
from dataclasses import dataclass, replace

from app.physics.air import Air
from app.physics.balloon import Gas, net_lift_g
from app.physics.endurance import Filling, FloatDefaults, carried_g
from app.physics.wind import drag_n, grams_of_force, wind_width_in

CM_PER_INCH = 2.54


@dataclass(frozen=True, slots=True)
class BouquetBalloon:
    """One balloon of a bouquet.

    width_cm: its diameter, above 0. lift_g: its net lift without its ribbon, below 0 when it does not rise. push_g:
    the push of the wind on it, as the grams whose weight it equals, 0 or more. colour_index: which colour of the
    bouquet, counted from 0; None for foil and spheres. topper: whether it stands above all others. film_index:
    which colour of the foils and spheres. Creating one raises ValueError when a figure is outside its range.
    """

    width_cm: float
    lift_g: float
    push_g: float = 0.0
    colour_index: int | None = 0
    topper: bool = False
    film_index: int | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.width_cm < math.inf:
            raise ValueError(f"a width of {self.width_cm}\u00a0cm is not above 0")
        if not math.isfinite(self.lift_g):
            raise ValueError(f"a lift of {self.lift_g}\u00a0g is no figure")
        if not 0.0 <= self.push_g < math.inf:
            raise ValueError(f"a push of {self.push_g}\u00a0g is not 0 or more")


def bouquet_balloon_of(
    filling: Filling,
    air: Air,
    float_defaults: FloatDefaults,
    wind_m_s: float = 0.0,
    colour_index: int | None = 0,
    *,
    topper: bool = False,
    film_index: int | None = None,
) -> BouquetBalloon:
    """Returns a filled balloon as a piece in that air, with its lift without ribbon and tag and the push of a
    steady wind.

    wind_m_s: metres per second, 0 to 60; raises ValueError outside. The lift of an air-filled balloon is the
    negative of its own mass.
    """
    carried = carried_g(replace(filling, load_g=0.0), float_defaults)
    rises = filling.gas is Gas.HELIUM
    lift = net_lift_g(filling.litres, filling.air, carried, float_defaults.purity) if rises else -carried
    width = wind_width_in(filling, air)
    return BouquetBalloon(
        width * CM_PER_INCH, lift, grams_of_force(drag_n(width, wind_m_s, air)), colour_index, topper, film_index
    )


def check_within(what: str, value: float, least: float, most: float, unit: str = "") -> float:
    """Returns the value itself, if it lies from least to most.

    what: the name of the figure, and unit its unit, for the error. Raises ValueError when the value lies outside or
    is not a number.
    """
    if not least <= value <= most:
        end = f"\u00a0{unit}" if unit else ""
        raise ValueError(f"{what} of {value:g}{end} is outside {least:g}{end} to {most:g}{end}")
    return value


def check_diameter(diameter_in: float) -> float:
    """Returns the diameter of a filled balloon itself, if it lies from 3 to 40 in. Raises ValueError outside."""
    return check_within("a diameter", diameter_in, 3.0, 40.0, "in")
