"""Balloons of the trade for the tests. Masses, volumes and stated hours: from memory or common practice."""

from app.physics.balloon import BalloonType
from app.physics.material import Material

LATEX_GRAMS = {5: 0.8, 9: 2.0, 10: 2.4, 11: 3.0, 12: 3.2, 16: 8.5, 18: 11.0, 24: 22.0, 36: 60.0}
SIZE_FACTORS = {24: 0.75, 36: 0.55}


def latex(inches: int) -> BalloonType:
    """A latex balloon of the trade, with the size factor of the two largest."""
    factor = SIZE_FACTORS.get(inches, 1.0)
    return BalloonType(f"latex {inches} in", Material.LATEX, inches, LATEX_GRAMS[inches], size_factor=factor)


FOIL_9 = BalloonType("foil 9 in", Material.FOIL, 9, 3, air_only=True)
FOIL_18 = BalloonType("foil 18 in", Material.FOIL, 18, 10, helium_l=14, median_hours=240)
FOIL_22 = BalloonType("foil 22 in", Material.FOIL, 22, 14, helium_l=20, median_hours=240)
FOIL_JUMBO = BalloonType("foil jumbo", Material.FOIL, 36, 27, helium_l=76, median_hours=336)
SPHERE_20 = BalloonType("sphere 20 in", Material.SPHERE, 20, 10, helium_l=20, median_hours=408)
SPHERE_22 = BalloonType("sphere 22 in", Material.SPHERE, 22, 15, helium_l=28, median_hours=408)
STUFFING_18 = BalloonType("clear stuffing latex 18 in", Material.LATEX, 18, 11, air_only=True)
