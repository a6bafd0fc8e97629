"""This module calculates the weight that holds a helium balloon outdoors, so that the wind does not take it."""

import math
from dataclasses import dataclass

from app.physics.air import Air
from app.physics.balloon import Gas, net_lift_g
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
    filling: Filling, wind_m_s: float, there: Air, float_defaults: FloatDefaults, outdoors: Outdoors
) -> float | None:
    """Returns the least weight, in whole grams rounded up, that holds one balloon in a steady wind.

    wind_m_s: metres per second. there: the air at the venue. Returns None for a balloon filled with air. Raises
    ValueError for a wind outside 0 to 60 m/s. Gusts and swinging come on top, so it is a least weight and no
    promise. Source: `drag_n` and `holding_weight_g`.
    """
    if filling.gas is Gas.AIR:
        return None
    lift = max(
        net_lift_g(filling.litres, filling.air, carried_g(filling, float_defaults), float_defaults.purity), 0.0
    )
    push = grams_of_force(drag_n(wind_width_in(filling, there), wind_m_s, there))
    return float(math.ceil(holding_weight_g(lift, push, outdoors.grip)))
