"""What wind does to a tethered balloon: how hard it is pushed, and what must hang below so that it stays."""

import math

from app.physics.air import Air, volume_ratio
from app.physics.balloon import sphere_diameter_in
from app.physics.endurance import Filling

SPHERE_DRAG = 0.47
METRES_PER_INCH = 0.0254
STANDARD_GRAVITY = 9.80665  # m/s²
STRONGEST_M_S = 60.0


def drag_n(diameter_in: float, wind_m_s: float, air: Air) -> float:
    """Newtons with which a steady wind pushes a smooth sphere that stands still: ½·ρ·c·A·v², c = 0.47.

    diameter in inches, over 0; wind in m/s, 0 to 60. Raises ValueError outside. The textbook's c holds for a
    sphere below the drag crisis (Reynolds numbers of 10³ to some 2·10⁵); above it a smooth sphere is pushed
    less. A balloon that swings on its ribbon is pushed harder (from memory, no figure): what follows from
    this is a least weight.
    """
    if not 0.0 < diameter_in < math.inf:
        raise ValueError(f"a diameter of {diameter_in} in is not above 0")
    if not 0.0 <= wind_m_s <= STRONGEST_M_S:
        raise ValueError(f"a wind of {wind_m_s} m/s is outside 0 to {STRONGEST_M_S:g} m/s")
    area_m2 = math.pi / 4 * (diameter_in * METRES_PER_INCH) ** 2
    return 0.5 * air.density_kg_m3 * SPHERE_DRAG * area_m2 * wind_m_s**2


def pushed_g(newtons: float) -> float:
    """A force as the grams whose weight it equals."""
    return newtons / STANDARD_GRAVITY * 1000.0


def holding_weight_g(lift_g: float, push_g: float, grip: float) -> float:
    """Grams that must stand on the ground below, so that it neither rises nor slides.

    lift and push in grams of force, both 0 or more; grip: the share of its pressing weight with which it holds
    against sliding, over 0. Raises ValueError otherwise. What presses is the weight less the lift, so the weight
    is lift + push / grip. Source: balance of forces, Coulomb's friction. Whether it tips is not reckoned.
    """
    if not (lift_g >= 0.0 and push_g >= 0.0):
        raise ValueError(f"a lift of {lift_g} g and a push of {push_g} g must be 0 or more")
    if not grip > 0.0:
        raise ValueError(f"a grip of {grip} is not above 0")
    return lift_g + push_g / grip


def width_in(filling: Filling, there: Air) -> float:
    """Inches of the sphere that the wind meets in that air, by the more cautious reading.

    Latex: the sphere of its gas, as wide as heat and height make it there. Foil and sphere do not grow, and a
    foil turns its flat side to the wind: the nominal size, which is wider than the filled balloon, or the
    sphere of its litres where that is wider still.
    """
    if filling.balloon_type.stretches:
        return sphere_diameter_in(filling.litres * volume_ratio(filling.air, there))
    return max(filling.balloon_type.nominal_in, sphere_diameter_in(filling.litres))
