"""One measure for all: what a filled balloon owns in hours, and how fast a place spends them.

Latex by the leak, foil and sphere by their stated hours, air-filled by the hours it looks its best.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas, coat_g, net_lift_g, reference_litres, sphere_diameter_in
from app.physics.leak import Rubber, budget_hours, chance_still_up, loss_rate, sure_hours
from app.physics.material import Leak, either

MEDIAN = 0.5


class Surroundings(StrEnum):
    INDOORS = "indoors"
    SHADE = "shade"
    SUN = "sun"

    @property
    def outdoors(self) -> bool:
        return self is not Surroundings.INDOORS


@dataclass(frozen=True, slots=True)
class FloatDefaults:
    """The shop's figures for what a balloon does; defaults are common practice or memory, each a setting.

    load_g: ribbon and tag on a loose balloon, grams. purity: share of helium in the gas. spread_*: σ of the
    log-normal. air_hours_*: how long air-filled latex looks its best (from memory).
    """

    rubber: Rubber = field(default_factory=Rubber)
    load_g: float = 0.75
    purity: float = 1.0
    spread_untreated: float = 0.25
    spread_treated: float = 0.45
    spread_film: float = 0.3
    air_hours_indoors: float = 120.0
    air_hours_shade: float = 24.0
    air_hours_sun: float = 6.0

    def air_hours(self, where: Surroundings) -> float:
        return {
            Surroundings.INDOORS: self.air_hours_indoors,
            Surroundings.SHADE: self.air_hours_shade,
            Surroundings.SUN: self.air_hours_sun,
        }[where]


@dataclass(frozen=True, slots=True)
class Filling:
    """How one balloon is filled: its kind, gas, litres as measured where it is filled, treated or not."""

    balloon_type: BalloonType
    gas: Gas
    litres: float
    air: Air
    treated: bool = False


@dataclass(frozen=True, slots=True)
class Endurance:
    """budget: hours it owns, 0 when it does not rise. spread: 0 is a hard limit. After the first
    wet_hours every hour counts 1/slowed."""

    budget: float
    spread: float
    wet_hours: float = 0.0
    slowed: float = 1.0

    def used(self, stages: Iterable[tuple[float, float]]) -> float:
        """Budget hours spent over (hours, pace) stages in their order, starting when it is tied."""
        wet_left, spent = self.wet_hours, 0.0
        for hours, stage_pace in stages:
            wet = min(wet_left, hours)
            wet_left -= wet
            spent += stage_pace * (wet + (hours - wet) / self.slowed)
        return spent

    def chance(self, stages: Iterable[tuple[float, float]]) -> float:
        """Chance, 0 to 1, of being still up (air-filled: still at its best) after the stages."""
        return chance_still_up(self.used(stages), self.budget, self.spread)

    def hours_at(self, stage_pace: float, chance: float = MEDIAN) -> float:
        """Hours in one place of that pace after which it is still up with at least that chance, between 0 and 1.
        Raises ValueError for another chance."""
        untreated = sure_hours(self.budget, self.spread, chance) / stage_pace
        return min(untreated, self.wet_hours) + max(untreated - self.wet_hours, 0.0) * self.slowed


def carried_g(filling: Filling, float_defaults: FloatDefaults) -> float:
    """Grams that the gas must carry: the balloon, its load and its treatment."""
    coat = coat_g(sphere_diameter_in(filling.litres), float_defaults.rubber.coat_g) if filling.treated else 0.0
    return filling.balloon_type.mass_g + float_defaults.load_g + coat


def endurance(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
    """What the filled balloon owns. Raises ValueError for treated foil or air, and an air-only kind in helium."""
    traits = filling.balloon_type.material.traits
    if filling.treated and (not traits.can_be_treated or filling.gas is Gas.AIR):
        raise ValueError(f"only {either(lambda one: one.can_be_treated)} filled with helium is treated")
    if filling.gas is Gas.AIR:
        return Endurance(budget=1.0, spread=0.0)
    if filling.balloon_type.air_only:
        raise ValueError(f"{filling.balloon_type.name} takes air only")
    return _LEAKS[traits.leak].endurance(filling, float_defaults)


def spending(filling: Filling, air: Air, where: Surroundings, float_defaults: FloatDefaults) -> float:
    """The pace, in budget hours an hour, at which a place spends what the filled balloon owns."""
    traits = filling.balloon_type.material.traits
    if filling.gas is Gas.AIR:
        return 1.0 / float_defaults.air_hours(where) if traits.fades_in_air else 0.0
    return _LEAKS[traits.leak].pace(air, float_defaults)


def _permeation(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
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
        return Endurance(budget, float_defaults.spread_treated, rubber.wet_hours, rubber.slowed)
    return Endurance(budget, float_defaults.spread_untreated)


def _permeation_pace(air: Air, float_defaults: FloatDefaults) -> float:
    return loss_rate(air, float_defaults.rubber)


def _steady(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
    """The stated hours, where it rises."""
    rises = net_lift_g(filling.litres, filling.air, carried_g(filling, float_defaults), float_defaults.purity) > 0
    return Endurance((filling.balloon_type.median_hours or 0.0) if rises else 0.0, float_defaults.spread_film)


def _steady_pace(_air: Air, _float_defaults: FloatDefaults) -> float:
    return 1.0


@dataclass(frozen=True, slots=True)
class _LeakPhysics:
    """endurance: what a balloon filled with helium owns. pace: how fast that air spends it, in budget hours an
    hour."""

    endurance: Callable[[Filling, FloatDefaults], Endurance]
    pace: Callable[[Air, FloatDefaults], float]


_LEAKS: Mapping[Leak, _LeakPhysics] = {
    Leak.PERMEATION: _LeakPhysics(_permeation, _permeation_pace),
    Leak.STEADY: _LeakPhysics(_steady, _steady_pace),
}
