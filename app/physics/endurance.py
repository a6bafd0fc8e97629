"""This module gives every filled balloon a budget of hours, and every place the rate at which it uses them up.

The budget of latex with helium comes from the leak, that of foil and spheres from their stated hours. Air-filled
balloons use up nothing: they need not float.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas, coat_g, reference_litres, sphere_diameter_in
from app.physics.leak import Rubber, budget_hours, steady_budget_hours, steady_loss_rate
from app.physics.leak import loss_rate as latex_loss_rate
from app.physics.light import LightLimits
from app.physics.material import Leak, materials_that
from app.physics.promise import ONE_BALLOON, PROMISED_SHARE, Promise, Scatter, chance_of, spendable_share

UNTREATED, TREATED, FILM = Scatter(0.25, 0.05), Scatter(0.45, 0.10), Scatter(0.21, 0.15)
"""The default scatters of untreated latex, of treated latex, and of film: computed from an assumed variation, from
memory, and from stated hours read as what nine in ten do."""


@dataclass(frozen=True, slots=True)
class FloatDefaults:
    """The shop's figures for how long balloons last. Each is a setting; the defaults are common practice or from
    memory.

    load_g: grams that hang on a loose balloon: its ribbon and its tag.
    purity: the share of helium in the gas.
    untreated, treated, film: the scatter of the float time of latex without and with treatment, and of foil and
    spheres. promised_share: at least this share of a batch is promised to be up.
    light: for how many hours latex is good in the light.
    """

    rubber: Rubber = field(default_factory=Rubber)
    load_g: float = 0.75
    purity: float = 1.0
    untreated: Scatter = UNTREATED
    treated: Scatter = TREATED
    film: Scatter = FILM
    promised_share: float = PROMISED_SHARE
    light: LightLimits = field(default_factory=LightLimits)


@dataclass(frozen=True, slots=True)
class Filling:
    """How one balloon is filled.

    litres: its gas, measured in the air where it is filled. load_g: grams that hang on it, without a coat; None
    is the load of a loose balloon.
    """

    balloon_type: BalloonType
    gas: Gas
    litres: float
    air: Air
    treated: bool = False
    load_g: float | None = None


@dataclass(frozen=True, slots=True)
class Endurance:
    """How long the balloons of a batch last.

    budget: the median budget hours of one, 0 when it does not rise. scatter: of the float times; without any, all
    last exactly their budget. After the first wet_hours, each hour uses up only 1/slowed. promise: how many of the
    batch are to be up.
    """

    budget: float
    scatter: Scatter
    wet_hours: float = 0.0
    slowed: float = 1.0
    promise: Promise = ONE_BALLOON

    def used(self, stages: Iterable[tuple[float, float]]) -> float:
        """Returns the budget hours used up over these stages, given as (hours, loss rate), in their order.

        The first stage starts when the balloon is tied.
        """
        wet_left, used = self.wet_hours, 0.0
        for hours, loss_rate in stages:
            wet = min(wet_left, hours)
            wet_left -= wet
            used += loss_rate * (wet + (hours - wet) / self.slowed)
        return used

    def chance(self, stages: Iterable[tuple[float, float]]) -> float:
        """Returns the chance, 0 to 1, that the promise is kept after the stages, given as (hours, loss rate)."""
        used = self.used(stages)
        if self.budget <= 0:
            return 0.0
        return chance_of(self.budget / used if used > 0 else math.inf, self.scatter, self.promise)

    def spendable(self, certainty: float) -> float:
        """Returns the budget hours that may be used up for the promise to be kept with this certainty.

        certainty: a chance; raises ValueError unless it is between 0 and 1.
        """
        return max(0.0, self.budget) * spendable_share(self.scatter, certainty, self.promise)

    def hours_after(self, budget: float, loss_rate: float) -> float:
        """Returns after how many hours this budget is used up, in one place of this loss rate, which is above 0."""
        untreated = budget / loss_rate
        return min(untreated, self.wet_hours) + max(untreated - self.wet_hours, 0.0) * self.slowed

    def median_hours(self, loss_rate: float) -> float:
        """Returns the hours after which one balloon is as likely down as up, in one place of this loss rate."""
        return self.hours_after(self.budget, loss_rate) if loss_rate > 0 else math.inf


def carried_g(filling: Filling, float_defaults: FloatDefaults) -> float:
    """Returns the grams that the gas must carry: the balloon, its load and its treatment."""
    coat = coat_g(sphere_diameter_in(filling.litres), float_defaults.rubber.coat_g) if filling.treated else 0.0
    load = float_defaults.load_g if filling.load_g is None else filling.load_g
    return filling.balloon_type.mass_g + load + coat


def endurance(filling: Filling, float_defaults: FloatDefaults, promise: Promise = ONE_BALLOON) -> Endurance:
    """Returns how long balloons filled like this last, as a budget that each place uses up.

    Raises ValueError when treatment is asked for a material that cannot be treated or a balloon filled with air,
    and when a balloon type that takes air only is filled with helium.
    """
    traits = filling.balloon_type.material.traits
    if filling.treated and (not traits.can_be_treated or filling.gas is Gas.AIR):
        raise ValueError(f"only {materials_that(lambda one: one.can_be_treated)} filled with helium is treated")
    if filling.gas is Gas.AIR:
        return Endurance(1.0, Scatter(0.0), promise=promise)
    if filling.balloon_type.air_only:
        raise ValueError(f"{filling.balloon_type.name} takes air only")
    return replace(_LEAKS[traits.leak].endurance(filling, float_defaults), promise=promise)


def filling_loss_rate(filling: Filling, air: Air, float_defaults: FloatDefaults) -> float:
    """Returns the budget hours that the filled balloon uses up in one hour in this air; 0 when filled with air."""
    if filling.gas is Gas.AIR:
        return 0.0
    return _LEAKS[filling.balloon_type.material.traits.leak].loss_rate(air, float_defaults)


def _permeation(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
    """Returns how long a balloon lasts whose helium leaks through its wall."""
    rubber = float_defaults.rubber
    budget = budget_hours(
        reference_litres(filling.litres, filling.air),
        filling.balloon_type.mass_g,
        carried_g(filling, float_defaults),
        filling.balloon_type.size_factor,
        float_defaults.purity,
        rubber,
    )
    if filling.treated:
        return Endurance(budget, float_defaults.treated, rubber.wet_hours, rubber.slowed)
    return Endurance(budget, float_defaults.untreated)


def _permeation_rate(air: Air, float_defaults: FloatDefaults) -> float:
    return latex_loss_rate(air, float_defaults.rubber)


def _steady(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
    balloon_type = filling.balloon_type
    budget = steady_budget_hours(
        reference_litres(filling.litres, filling.air),
        balloon_type.full_litres,
        balloon_type.mass_g,
        carried_g(filling, float_defaults),
        balloon_type.median_hours or 0.0,
        float_defaults.purity,
    )
    return Endurance(budget, float_defaults.film)


def _steady_rate(air: Air, _float_defaults: FloatDefaults) -> float:
    return steady_loss_rate(air)


@dataclass(frozen=True, slots=True)
class _LeakPhysics:
    """endurance: returns how long a balloon filled with helium lasts. loss_rate: returns the budget hours that it
    uses up in one hour in that air."""

    endurance: Callable[[Filling, FloatDefaults], Endurance]
    loss_rate: Callable[[Air, FloatDefaults], float]


_LEAKS: Mapping[Leak, _LeakPhysics] = {
    Leak.PERMEATION: _LeakPhysics(_permeation, _permeation_rate),
    Leak.STEADY: _LeakPhysics(_steady, _steady_rate),
}
