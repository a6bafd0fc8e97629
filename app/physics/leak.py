"""Helium leaving a latex balloon through its wall.

A sphere with a wall of constant mass loses gas at a rate that grows as the wall thins:
dV/dt = −K·V^(4/3), so V^(−1/3) grows evenly with time. One constant is calibrated to the trade's
15 hours for an 11-inch balloon; the rest is geometry, the gas law and the permeability of rubber.

Losses add up over places when they are counted in *budget hours*, hours at 20 °C and sea level:
a balloon owns a budget when it is tied, every place spends it at its own pace, and the balloon is up
while less is spent than it owns. See Michaels & Bixler, J. Polym. Sci. 50, 413 (1961), for permeation.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

from app.physics.air import REFERENCE_AIR, REFERENCE_K, Air, lift_g_per_l
from app.physics.balloon import coat_g, reference_litres, sphere_litres

_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Rubber:
    """What the trade and the handbooks say of latex and its treatment; each a setting of the shop.

    calibration: hours per gram, so that 11 in floats 15 h. activation_k: activation energy of the
    permeation over the gas constant, kelvin. coat_g: treatment left in an 11-inch balloon, grams.
    wet_hours: while the coat dries the loss is the untreated one. slowed: then it is so many times slower.
    """

    calibration: float = 24.1
    activation_k: float = 3007.0
    coat_g: float = 0.6
    wet_hours: float = 2.0
    slowed: float = 13.8


RUBBER = Rubber()


def loss_rate(air: Air, rubber: Rubber = RUBBER) -> float:
    """Budget hours that one hour in this air costs an untreated latex balloon; 1 at 20 °C and sea level."""
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
    """Median hours at 20 °C and sea level; 0.0 when it does not rise.

    filled_l: litres when tied, measured at 20 °C and sea level. rubber_g: grams of latex. carried_g:
    balloon and load, grams. purity: share of helium in the gas. Raises ValueError for a volume or mass that is
    not above 0.
    """
    if filled_l <= 0 or rubber_g <= 0 or carried_g < rubber_g:
        raise ValueError("volume and rubber must be above 0 and the load not below 0")
    sinks_at_l = carried_g / lift_g_per_l(REFERENCE_AIR.celsius, REFERENCE_AIR.elevation_m, purity)
    gained = 1.0 / math.cbrt(sinks_at_l) - 1.0 / math.cbrt(filled_l)
    return max(0.0, rubber.calibration * rubber_g * size_factor * gained)


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
    """Median hours that a latex balloon floats where it was filled; 0.0 when it does not rise.

    diameter_in: inches filled, over 0. rubber_g, load_g: grams; the coat is added when treated. celsius: °C,
    elevation_m: metres. size_factor: 0.75 for nominal 24 in, 0.55 for 36 in, else 1. Raises ValueError
    outside the ranges of `Air`, for a size or mass not above 0 and for a load below 0.
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
    """Chance, 0 to 1, that a balloon is still up after so many hours (or budget hours).

    Log-normal about the median with the given spread (σ of the logarithm); a spread of 0 is a hard limit.
    0 when the median is not above 0, 1 when no time has passed. Raises ValueError below 0 hours or spread.
    """
    if not (hours >= 0 and spread >= 0):
        raise ValueError("hours and spread must not be below 0")
    if median_hours <= 0:
        return 0.0
    if hours == 0:
        return 1.0
    if spread == 0:
        return 1.0 if hours <= median_hours * (1 + 1e-9) else 0.0  # sums of stages round
    return _NORMAL.cdf(math.log(median_hours / hours) / spread)


def sure_hours(median_hours: float, spread: float, chance: float) -> float:
    """The inverse: hours after which it is still up with at least that chance.

    The quantile is rounded up in its third place (1.645 for 95 %), as printed tables have it, so never short.
    Raises ValueError unless 0 < chance < 1.
    """
    if not 0.0 < chance < 1.0:
        raise ValueError(f"a chance of {chance} is not between 0 and 1")
    quantile = math.ceil(_NORMAL.inv_cdf(chance) * 1000.0) / 1000.0
    return max(0.0, median_hours) * math.exp(-quantile * spread)
