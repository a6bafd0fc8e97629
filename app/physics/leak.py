"""This module calculates how helium leaves a latex balloon through its wall, and so how long the balloon floats.

A sphere with a wall of constant mass loses gas at a rate that grows as the wall thins:
dV/dt = −K·V^(4/3), so V^(−1/3) grows evenly with time. One constant is calibrated to the trade's
15 hours for an 11-inch balloon; the rest is geometry, the gas law and the permeability of rubber.

Losses add up over places when they are counted in *budget hours*, which are hours at 20 °C and sea level:
a balloon has a budget when it is tied, every place uses it up at that place's loss rate, and the balloon is up
while it has used less than its budget. See Michaels & Bixler, J. Polym. Sci. 50, 413 (1961), for permeation.
"""

import math
from dataclasses import dataclass

from app.physics.air import REFERENCE_AIR, REFERENCE_K, STANDARD_PRESSURE_PA, Air, lift_g_per_l
from app.physics.balloon import coat_g, reference_litres, sphere_litres

STATED_LOAD_G = 0.75
"""The load in grams with which the hours of foil and spheres are stated."""


@dataclass(frozen=True, slots=True)
class Rubber:
    """What the trade and the handbooks say about latex and its treatment; each figure is a setting of the shop.

    calibration: hours per gram, chosen so that an 11-inch balloon floats for 15 hours.
    activation_k: the activation energy of the permeation divided by the gas constant, in kelvin.
    coat_g: the grams of treatment that stay in an 11-inch balloon.
    wet_hours: how long the treatment dries; until then the balloon loses gas as if it were untreated.
    slowed: how many times slower it loses gas after that.
    """

    calibration: float = 24.1
    activation_k: float = 3007.0
    coat_g: float = 0.6
    wet_hours: float = 2.0
    slowed: float = 13.8


RUBBER = Rubber()


def loss_rate(air: Air, rubber: Rubber = RUBBER) -> float:
    """Returns the budget hours that an untreated latex balloon uses up in one hour in this air.

    It is 1 at 20 °C and sea level. Source: ideal gas law, and permeation by Michaels & Bixler (1961).
    """
    warmth = math.exp(rubber.activation_k * (1.0 / air.kelvin - 1.0 / REFERENCE_K))
    slowing = warmth * REFERENCE_K / air.kelvin
    return math.cbrt(air.litres_per_reference_litre) / slowing


def budget_hours(
    filled_l: float,
    rubber_g: float,
    carried_g: float,
    size_factor: float = 1.0,
    purity: float = 1.0,
    rubber: Rubber = RUBBER,
) -> float:
    """Returns the median hours that a latex balloon floats at 20 °C and sea level; 0.0 when it does not rise.

    filled_l: litres when tied, measured at 20 °C and sea level. rubber_g: grams of latex. carried_g: grams of
    balloon and load together. size_factor: corrects large balloons. purity: the share of helium in the gas.
    Raises ValueError for a volume or mass that is not above 0, and for carried_g below rubber_g. Source: the
    leak law at the head of this module.
    """
    if filled_l <= 0 or rubber_g <= 0 or carried_g < rubber_g:
        raise ValueError("volume and rubber must be above 0 and the load not below 0")
    sinks_at_l = carried_g / lift_g_per_l(REFERENCE_AIR.celsius, REFERENCE_AIR.elevation_m, purity)
    change = 1.0 / math.cbrt(sinks_at_l) - 1.0 / math.cbrt(filled_l)
    return max(0.0, rubber.calibration * rubber_g * size_factor * change)


def steady_budget_hours(
    filled_l: float, full_l: float, film_g: float, carried_g: float, stated_hours: float, purity: float = 1.0
) -> float:
    """Returns the median hours that a foil or sphere floats at 20 °C and sea level; 0.0 when it does not rise.

    Film loses a steady amount, found from its stated hours: those of a full one with pure helium and 0.75 g on it.
    filled_l, full_l: litres when tied and when full, measured at 20 °C and sea level. film_g, carried_g: grams of
    film, and of film and load together. purity: the share of helium in the gas. Raises ValueError for a figure that
    is not above 0. Source: reasoned from the ideal gas law; no published data.
    """
    if min(filled_l, full_l, film_g, carried_g, stated_hours) <= 0:
        raise ValueError("volumes, masses and hours must be above 0")
    lift = lift_g_per_l(REFERENCE_AIR.celsius, REFERENCE_AIR.elevation_m)
    lost_in_an_hour = (full_l - (film_g + STATED_LOAD_G) / lift) / stated_hours
    if lost_in_an_hour <= 0:
        return 0.0
    return max(0.0, (filled_l - carried_g / (lift * purity)) / lost_in_an_hour)


def steady_loss_rate(air: Air) -> float:
    """Returns the budget hours that a foil or sphere uses up in one hour in this air: 1 at sea level, less where
    the air presses less. Source: as `steady_budget_hours`; warmth beyond the gas law is not included."""
    return air.pressure_pa / STANDARD_PRESSURE_PA


def float_hours(
    diameter_in: float,
    rubber_g: float,
    load_g: float = 0.75,
    celsius: float = 20.0,
    elevation_m: float = 0.0,
    treated: bool = False,
    size_factor: float = 1.0,
    purity: float = 1.0,
    rubber: Rubber = RUBBER,
) -> float:
    """Returns the median hours that a latex balloon floats in the air in which it was filled; 0.0 when it does
    not rise.

    diameter_in: the fill size in inches, above 0. rubber_g, load_g: grams; the treatment is added when treated is
    True. celsius: °C. elevation_m: metres. size_factor: 0.75 for nominal 24 in, 0.55 for 36 in, else 1. purity:
    the share of helium in the gas. Raises ValueError outside the ranges of `Air`, for a size, mass or factor that
    is not above 0 and for a load below 0. Source: the leak law at the head of this module.
    """
    if not (diameter_in > 0 and load_g >= 0 and rubber_g > 0 and size_factor > 0):
        raise ValueError("size, rubber and factor must be above 0 and the load not below 0")
    air = Air(celsius, elevation_m)
    carried = rubber_g + load_g + (coat_g(diameter_in, rubber.coat_g) if treated else 0.0)
    filled = reference_litres(sphere_litres(diameter_in), air)
    untreated = budget_hours(filled, rubber_g, carried, size_factor, purity, rubber) / loss_rate(air, rubber)
    if not treated or untreated <= rubber.wet_hours:
        return untreated
    return rubber.wet_hours + (untreated - rubber.wet_hours) * rubber.slowed
