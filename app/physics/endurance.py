"""This module gives every filled balloon a budget of hours, and every place the rate at which it uses them up.

The budget of latex with helium comes from the leak, that of foil and spheres from their stated hours, and that of
air-filled balloons from the hours for which they look their best.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas, coat_g, net_lift_g, reference_litres, sphere_diameter_in
from app.physics.leak import Rubber, budget_hours, chance_still_up, hours_at_chance
from app.physics.leak import loss_rate as latex_loss_rate
from app.physics.material import Leak, materials_that

MEDIAN = 0.5


class Surroundings(StrEnum):
    """Where balloons are. Air-filled latex looks its best longest indoors, and shortest in the sun."""

    INDOORS = "indoors"
    SHADE = "shade"
    SUN = "sun"

    @property
    def outdoors(self) -> bool:
        """Whether they are outdoors, in the shade or in the sun."""
        return self is not Surroundings.INDOORS


@dataclass(frozen=True, slots=True)
class FloatDefaults:
    """The shop's figures for how long balloons last. Each is a setting; the defaults are common practice or from
    memory.

    load_g: grams of ribbon and tag on a loose balloon.
    purity: the share of helium in the gas.
    spread_*: σ of the log-normal float time of latex without and with treatment, and of foil and spheres.
    air_hours_*: how many hours air-filled latex looks its best (from memory).
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

    def air_hours(self, surroundings: Surroundings) -> float:
        """Returns the hours for which air-filled latex looks its best in these surroundings."""
        return {
            Surroundings.INDOORS: self.air_hours_indoors,
            Surroundings.SHADE: self.air_hours_shade,
            Surroundings.SUN: self.air_hours_sun,
        }[surroundings]


@dataclass(frozen=True, slots=True)
class Filling:
    """How one balloon is filled: its type and gas, the litres measured in the air where it is filled, and whether
    it is treated."""

    balloon_type: BalloonType
    gas: Gas
    litres: float
    air: Air
    treated: bool = False


@dataclass(frozen=True, slots=True)
class Endurance:
    """How long one filled balloon lasts.

    budget: the median budget hours that it has, 0 when it does not rise. spread: σ of the logarithm of its float
    time; 0 means that it lasts exactly its budget. After the first wet_hours, each hour uses up only 1/slowed.
    """

    budget: float
    spread: float
    wet_hours: float = 0.0
    slowed: float = 1.0

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
        """Returns the chance, 0 to 1, that it is still up after the stages, given as (hours, loss rate).

        For an air-filled balloon it is the chance that it still looks its best.
        """
        return chance_still_up(self.used(stages), self.budget, self.spread)

    def hours_at(self, loss_rate: float, chance: float = MEDIAN) -> float:
        """Returns the hours after which it is still up with at least this chance, in one place of this loss rate.

        loss_rate: budget hours used up in an hour. Raises ValueError unless 0 < chance < 1.
        """
        untreated = hours_at_chance(self.budget, self.spread, chance) / loss_rate
        return min(untreated, self.wet_hours) + max(untreated - self.wet_hours, 0.0) * self.slowed


def carried_g(filling: Filling, float_defaults: FloatDefaults) -> float:
    """Returns the grams that the gas must carry: the balloon, its load and its treatment."""
    coat = coat_g(sphere_diameter_in(filling.litres), float_defaults.rubber.coat_g) if filling.treated else 0.0
    return filling.balloon_type.mass_g + float_defaults.load_g + coat


def endurance(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
    """Returns how long this filled balloon lasts, as a budget that each place uses up.

    Raises ValueError when treatment is asked for a material that cannot be treated or a balloon filled with air,
    and when a balloon type that takes air only is filled with helium.
    """
    traits = filling.balloon_type.material.traits
    if filling.treated and (not traits.can_be_treated or filling.gas is Gas.AIR):
        raise ValueError(f"only {materials_that(lambda one: one.can_be_treated)} filled with helium is treated")
    if filling.gas is Gas.AIR:
        return Endurance(budget=1.0, spread=0.0)
    if filling.balloon_type.air_only:
        raise ValueError(f"{filling.balloon_type.name} takes air only")
    return _LEAKS[traits.leak].endurance(filling, float_defaults)


def filling_loss_rate(
    filling: Filling, air: Air, surroundings: Surroundings, float_defaults: FloatDefaults
) -> float:
    """Returns the budget hours that the filled balloon uses up in one hour in this air and these surroundings.

    It is 0 for air-filled foil and spheres, which do not lose their looks, and 1 for those with helium.
    """
    traits = filling.balloon_type.material.traits
    if filling.gas is Gas.AIR:
        return 1.0 / float_defaults.air_hours(surroundings) if traits.fades_in_air else 0.0
    return _LEAKS[traits.leak].loss_rate(air, float_defaults)


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
        return Endurance(budget, float_defaults.spread_treated, rubber.wet_hours, rubber.slowed)
    return Endurance(budget, float_defaults.spread_untreated)


def _permeation_rate(air: Air, float_defaults: FloatDefaults) -> float:
    return latex_loss_rate(air, float_defaults.rubber)


def _steady(filling: Filling, float_defaults: FloatDefaults) -> Endurance:
    """Returns the stated hours, where the balloon rises."""
    rises = net_lift_g(filling.litres, filling.air, carried_g(filling, float_defaults), float_defaults.purity) > 0
    return Endurance((filling.balloon_type.median_hours or 0.0) if rises else 0.0, float_defaults.spread_film)


def _steady_rate(_air: Air, _float_defaults: FloatDefaults) -> float:
    return 1.0


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
