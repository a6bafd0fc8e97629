"""This module calculates how hard wind pushes a tethered balloon, and what weight then holds it."""

import math

from app.physics.air import Air, volume_ratio
from app.physics.balloon import sphere_diameter_in
from app.physics.endurance import Filling

SPHERE_DRAG = 0.47
METRES_PER_INCH = 0.0254
STANDARD_GRAVITY = 9.80665  # m/s²
STRONGEST_M_S = 60.0


def drag_n(diameter_in: float, wind_m_s: float, air: Air) -> float:
    """Returns the newtons with which a steady wind pushes a smooth sphere that stands still: ½·ρ·c·A·v², c = 0.47.

    diameter_in: inches, above 0. wind_m_s: metres per second, 0 to 60. Raises ValueError outside those ranges.
    Source: the textbook's c, which holds for a sphere below the drag crisis (Reynolds numbers of 10³ to some
    2·10⁵); above it, wind pushes a smooth sphere less. A balloon that swings on its ribbon is pushed harder (from
    memory, no figure), so a weight calculated from this is the least that is needed.
    """
    if not 0.0 < diameter_in < math.inf:
        raise ValueError(f"a diameter of {diameter_in} in is not above 0")
    if not 0.0 <= wind_m_s <= STRONGEST_M_S:
        raise ValueError(f"a wind of {wind_m_s} m/s is outside 0 to {STRONGEST_M_S:g} m/s")
    area_m2 = math.pi / 4 * (diameter_in * METRES_PER_INCH) ** 2
    return 0.5 * air.density_kg_m3 * SPHERE_DRAG * area_m2 * wind_m_s**2


def grams_of_force(newtons: float) -> float:
    """Returns the grams whose weight equals this force in newtons, under standard gravity."""
    return newtons / STANDARD_GRAVITY * 1000.0


def holding_weight_g(lift_g: float, push_g: float, grip: float) -> float:
    """Returns the grams of weight that must stand on the ground so that the balloon neither lifts nor drags it.

    lift_g, push_g: grams of force, both 0 or more. grip: the friction of the weight on the ground, as a share of
    the force with which it presses down, above 0. Raises ValueError otherwise. It presses with its weight less the
    lift, so the weight is lift + push / grip. Source: balance of forces with Coulomb's friction. Whether the
    weight tips over is not included.
    """
    if not (lift_g >= 0.0 and push_g >= 0.0):
        raise ValueError(f"a lift of {lift_g} g and a push of {push_g} g must be 0 or more")
    if not grip > 0.0:
        raise ValueError(f"a grip of {grip} is not above 0")
    return lift_g + push_g / grip


def wind_width_in(filling: Filling, air: Air) -> float:
    """Returns the diameter in inches of the sphere that the wind meets in that air, on the cautious side.

    For latex it is the sphere of its gas, as wide as heat and altitude make it there. Foil and spheres do not grow,
    and a foil turns its flat side to the wind, so for them it is the nominal size, which is wider than the filled
    balloon, or the sphere of their litres if that is wider still.
    """
    if filling.balloon_type.stretches:
        return sphere_diameter_in(filling.litres * volume_ratio(filling.air, air))
    return max(filling.balloon_type.nominal_in, sphere_diameter_in(filling.litres))
