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
from statistics import NormalDist

from app.physics.air import REFERENCE_AIR, REFERENCE_K, Air, lift_g_per_l
from app.physics.balloon import coat_g, reference_litres, sphere_litres

_NORMAL = NormalDist()


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


def chance_still_up(hours: float, median_hours: float, spread: float) -> float:
    """Returns the chance, 0 to 1, that a balloon is still up after this many hours (or budget hours).

    Float times are log-normal about the median, with the given spread (σ of the logarithm); with a spread of 0
    every balloon sinks exactly at the median. The chance is 0 when the median is not above 0, else 1 when no time
    has passed. Raises ValueError when hours or spread is below 0.
    """
    if not (hours >= 0 and spread >= 0):
        raise ValueError("hours and spread must not be below 0")
    if median_hours <= 0:
        return 0.0
    if hours == 0:
        return 1.0
    if spread == 0:
        return 1.0 if hours <= median_hours * (1 + 1e-9) else 0.0  # a sum of hours carries rounding errors
    return _NORMAL.cdf(math.log(median_hours / hours) / spread)


def hours_at_chance(median_hours: float, spread: float, chance: float) -> float:
    """Returns the hours after which a balloon is still up with at least this chance: `chance_still_up` inverted.

    The normal quantile is rounded up at its third decimal (1.645 for 95 %), as printed tables have it, so that the
    chance is never missed. Raises ValueError unless 0 < chance < 1.
    """
    if not 0.0 < chance < 1.0:
        raise ValueError(f"a chance of {chance} is not between 0 and 1")
    quantile = math.ceil(_NORMAL.inv_cdf(chance) * 1000.0) / 1000.0
    return max(0.0, median_hours) * math.exp(-quantile * spread)
