"""One balloon of a bouquet: how wide it is, what it lifts, how hard the wind pushes it."""

import math
from dataclasses import dataclass

from app.physics.air import Air
from app.physics.balloon import Gas, net_lift_g
from app.physics.endurance import Filling, FloatDefaults, carried_g
from app.physics.wind import drag_n, grams_of_force, wind_width_in

CM_PER_INCH = 2.54


@dataclass(frozen=True, slots=True)
class Piece:
    """One balloon. width_cm: diameter, over 0. lift_g: net lift without its ribbon, negative where it does not
    rise. push_g: the wind's push on it as grams, 0 or more. tone: which colour, from 0; None for foil and sphere.
    Raises ValueError outside."""

    width_cm: float
    lift_g: float
    push_g: float = 0.0
    tone: int | None = 0
    topper: bool = False

    def __post_init__(self) -> None:
        if not 0.0 < self.width_cm < math.inf:
            raise ValueError(f"a width of {self.width_cm} cm is not above 0")
        if not math.isfinite(self.lift_g):
            raise ValueError(f"a lift of {self.lift_g} g is no figure")
        if not 0.0 <= self.push_g < math.inf:
            raise ValueError(f"a push of {self.push_g} g is not 0 or more")


def piece_of(
    filling: Filling,
    there: Air,
    float_defaults: FloatDefaults,
    wind_m_s: float = 0.0,
    tone: int | None = 0,
    *,
    topper: bool = False,
) -> Piece:
    """The piece that a filled balloon is in that air: lift without ribbon and tag, push of a steady wind.

    wind in m/s, 0 to 60; raises ValueError outside. Filled with air it weighs what it is made of.
    """
    carried = carried_g(filling, float_defaults) - float_defaults.load_g
    rises = filling.gas is Gas.HELIUM
    lift = net_lift_g(filling.litres, filling.air, carried, float_defaults.purity) if rises else -carried
    width = wind_width_in(filling, there)
    return Piece(width * CM_PER_INCH, lift, grams_of_force(drag_n(width, wind_m_s, there)), tone, topper)
