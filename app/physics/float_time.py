"""This module calculates how long one full balloon lasts indoors: until it sinks, or until light has aged it."""

import math
from dataclasses import dataclass

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling, FloatDefaults, endurance, filling_loss_rate
from app.physics.light import Surroundings, light_rate


@dataclass(frozen=True, slots=True)
class FloatTime:
    """hours: 0 if it does not rise. by_light: whether light limits them, so that it would float for longer."""

    hours: float
    by_light: bool = False


def float_time(
    balloon_type: BalloonType,
    air: Air,
    float_defaults: FloatDefaults,
    *,
    treated: bool = False,
    certainty: float | None = None,
) -> FloatTime:
    """Returns for how long one balloon lasts indoors, full of helium in this air, but no longer than latex is good
    in the light there. Source of that limit: from memory.

    certainty: the chance, between 0 and 1, with which it lasts so long; None is the median. Raises ValueError like
    `endurance`, but not for a type that takes air only, which does not rise.
    """
    if balloon_type.air_only:
        return FloatTime(0.0)
    filling = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, air, treated)
    owns, loss = endurance(filling, float_defaults), filling_loss_rate(filling, air, float_defaults)
    budget = owns.budget if certainty is None else owns.spendable(certainty)
    if budget <= 0:
        return FloatTime(0.0)
    rate = light_rate(balloon_type.material, Gas.HELIUM, Surroundings.INDOORS, float_defaults.light)
    floats, good = owns.hours_after(budget, loss), 1.0 / rate if rate > 0 else math.inf
    return FloatTime(min(floats, good), good < floats)
