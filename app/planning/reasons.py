"""This module puts together why a batch is filled when it is: how long its balloons last, how much of that the
order uses, what the bench needs, and what the finishing needs. Pages say it in sentences."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.material import Material
from app.physics.promise import Promise, Scatter
from app.planning.bench_window import BenchWindow
from app.planning.window import FloatPlan, Leg, not_before, stages_from


class Lasting(StrEnum):
    """What limits a batch. FLOATS: helium that leaks through the wall. STATED: the hours stated for its balloon
    type. LOOKS: how long air-filled latex is good in the light. UNLIMITED: nothing."""

    FLOATS = "floats"
    STATED = "stated"
    LOOKS = "looks"
    UNLIMITED = "unlimited"

    @classmethod
    def of(cls, material: Material, gas: Gas) -> "Lasting":
        """Returns what limits balloons of the material that are filled with the gas."""
        traits = material.traits
        if gas is Gas.AIR:
            return cls.LOOKS if traits.ages_in_light else cls.UNLIMITED
        return cls.FLOATS if traits.hours_are_computed else cls.STATED


@dataclass(frozen=True, slots=True)
class FloatReason:
    """How long the balloons of a batch last, and how much of that the order uses.

    hours_before, hours_after: the median hours of one balloon if it stayed where it waits until ready by, and if it
    stayed where it is last, but never more hours than latex is good in the light there; inf if there is no limit.
    by_light: whether light limits hours that would be longer. certainty: the chance from which the shop calls a
    batch safe. promise: how many of them are to be up. may_use, uses: the shares of the float time, or of the
    light, that may be used for that, and that are used from start to until. floats_from: the earliest start with
    which they use no more than that, whatever light allows; None if any start will do.
    """

    lasting: Lasting
    material: Material
    hours_before: float
    hours_after: float
    certainty: float
    promise: Promise
    may_use: float
    uses: float
    start: datetime
    until: datetime
    by_light: bool
    floats_from: datetime | None


def float_reason(material: Material, gas: Gas, plan: FloatPlan, certainty: float, start: datetime) -> FloatReason:
    """Returns how long balloons of the plan last if they are filled at start.

    certainty: a chance between 0 and 1.
    """
    lasting, lights = Lasting.of(material, gas), _light_hours(plan.legs)
    if lasting is Lasting.LOOKS:
        plan = _light_as_budget(plan)
    endurance, legs = plan.endurance, plan.legs
    budget, used = endurance.budget, endurance.used(stages_from(start, legs))
    floats = [endurance.median_hours(leg.loss_rate) for leg in (legs[0], legs[-1])]
    before, after = (min(both) for both in zip(floats, lights, strict=True))
    return FloatReason(
        lasting=lasting,
        material=material,
        hours_before=before,
        hours_after=after,
        certainty=certainty,
        promise=plan.endurance.promise,
        may_use=endurance.spendable(certainty) / budget if budget > 0 else 0.0,
        uses=used / budget if budget > 0 else math.inf,
        start=start,
        until=legs[-1].ends,
        by_light=lasting is Lasting.FLOATS and [before, after] != floats,
        floats_from=not_before(tuple(replace(leg, light_rate=0.0) for leg in legs), endurance, certainty),
    )


def _light_hours(legs: Sequence[Leg]) -> tuple[float, float]:
    """Returns for how many hours the balloons are good in the light where they wait, and where they are after that,
    by the strongest light there; inf without a limit. Where no light ages them after the wait, that of the wait
    counts."""
    waiting = legs[0].light_rate
    rates = waiting, max((leg.light_rate for leg in legs[1:]), default=0.0) or waiting
    before, there = (1.0 / rate if rate > 0 else math.inf for rate in rates)
    return before, there


def _light_as_budget(plan: FloatPlan) -> FloatPlan:
    """Returns a plan in which the limits of light are the budget, for balloons that need not float."""
    endurance = Endurance(1.0, Scatter(0.0), promise=plan.endurance.promise)
    return FloatPlan(endurance, tuple(Leg(leg.ends, leg.light_rate) for leg in plan.legs))


@dataclass(frozen=True, slots=True)
class WorkReason:
    """When the bench, or a crew at the venue, must start a batch.

    work: how long one person fills it. window: when it may be filled. not_before: the earliest start that is safe,
    even while the shop is closed. alone_by: the latest start if the batch had the bench to itself. order_by: when
    one person who makes the whole order must start; None if unknown. started_at: its real start.
    """

    at_venue: bool
    work: timedelta
    window: BenchWindow
    not_before: datetime | None
    alone_by: datetime
    order_by: datetime | None
    started_at: datetime | None

    @property
    def opens_later(self) -> bool:
        """Whether the shop is still closed at the earliest start that is safe."""
        return (
            self.not_before is not None
            and self.window.earliest is not None
            and self.not_before < self.window.earliest < self.window.inflate_by
        )


@dataclass(frozen=True, slots=True)
class FinishingReason:
    """What follows the last fill. starts_by: the latest start of the finishing; None if unknown."""

    drying: timedelta
    finishing: timedelta
    starts_by: datetime | None
    ready_by: datetime


@dataclass(frozen=True, slots=True)
class TimeReasons:
    """Why a batch is filled when it is."""

    lasts: FloatReason
    work: WorkReason
    finishing: FinishingReason

    @property
    def closed_between(self) -> bool:
        """Whether the shop is closed at some time between the latest start of this batch alone and ready by."""
        busy = self.work.work + self.finishing.drying + self.finishing.finishing
        return not self.work.at_venue and self.finishing.ready_by - self.work.alone_by > busy + timedelta(minutes=1)
