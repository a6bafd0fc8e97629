"""This module calculates the weight that holds a helium balloon outdoors, so that the wind does not take it."""

import math
from dataclasses import dataclass

from app.physics.air import Air
from app.physics.balloon import Gas, net_lift_g, sphere_diameter_in, sphere_litres
from app.physics.endurance import Filling, FloatDefaults, carried_g
from app.physics.wind import drag_n, grams_of_force, holding_weight_g, wind_width_in


@dataclass(frozen=True, slots=True)
class Outdoors:
    """The shop's figures for outdoors; each is a setting, both defaults are from memory.

    wind_limit_m_s: the wind, in metres per second, above which the shop advises against helium outdoors. grip: the
    friction of a weight on the ground, as a share of the force with which it presses down.
    """

    wind_limit_m_s: float = 5.0
    grip: float = 0.5


def weight_g(
    filling: Filling, wind_m_s: float, air: Air, float_defaults: FloatDefaults, outdoors: Outdoors
) -> float | None:
    """Returns the least weight, in whole grams rounded up, that holds one balloon in a steady wind.

    wind_m_s: metres per second. air: the air at the venue. Returns None for a balloon filled with air. Raises
    ValueError for a wind outside 0 to 60 m/s. Gusts and swinging come on top, so it is a least weight and no
    promise. Source: `drag_n` and `holding_weight_g`.
    """
    if filling.gas is Gas.AIR:
        return None
    lift = max(
        net_lift_g(filling.litres, filling.air, carried_g(filling, float_defaults), float_defaults.purity), 0.0
    )
    push = grams_of_force(drag_n(wind_width_in(filling, air), wind_m_s, air))
    return float(math.ceil(holding_weight_g(lift, push, outdoors.grip)))


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
            raise ValueError(f"a step of {self.step_in}\u00a0in is not above 0")


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
        raise ValueError(f"a diameter of {diameter_in}\u00a0in is not above 0")
    return sphere_litres(diameter_in) * WATER_G_PER_L


def heaviest_water_weight(nominal_in: float, defaults: WaterDefaults) -> WaterWeight:
    """Returns the heaviest weight of water that a balloon of this nominal size, in inches, can be filled to.

    Raises ValueError for a size that is not above 0. Source: common practice, a setting of the shop.
    """
    widest = nominal_in * defaults.most
    return WaterWeight(widest, water_g(widest))


def water_weight_for(grams: float, nominal_in: float, defaults: WaterDefaults) -> WaterWeight:
    """Returns how wide to fill a balloon of this nominal size, in inches, so that its water weighs at least this
    many grams.

    The diameter is rounded up to the sizer's step, but never past the shop's largest share of the nominal size.
    Raises TooMuchWater when so much does not go in, and ValueError for grams or a size that is not above 0.
    """
    if not 0.0 < grams < math.inf:
        raise ValueError(f"a weight of {grams}\u00a0g is not above 0")
    most = heaviest_water_weight(nominal_in, defaults)
    exact = sphere_diameter_in(grams / WATER_G_PER_L)
    if exact > most.diameter_in * (1 + 1e-9):
        raise TooMuchWater(
            f"{grams:g}\u00a0g of water are too much for a balloon of {nominal_in:g}\u00a0in: it takes at most "
            f"{math.floor(most.grams)}\u00a0g. Use a larger balloon or several."
        )
    stepped = round(math.ceil(round(exact / defaults.step_in, 6)) * defaults.step_in, 4)
    diameter = min(stepped, most.diameter_in)
    return WaterWeight(diameter, water_g(diameter))
