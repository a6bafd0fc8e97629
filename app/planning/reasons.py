"""This module puts together why a batch is filled when it is: how long its balloons last, how much of that the
order uses, what the bench needs, and what the finishing needs. Pages say it in sentences."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.leak import hours_at_chance
from app.physics.material import Material
from app.planning.window import HOUR, BenchWindow, Leg, stages_from

LONGEST = timedelta(days=3650)
"""Further ahead no end of the float is looked for."""


class Lasting(StrEnum):
    """What limits a batch. FLOATS: helium that leaks through the wall. STATED: the hours stated for its balloon
    type. LOOKS: how long air-filled balloons look their best. UNLIMITED: nothing."""

    FLOATS = "floats"
    STATED = "stated"
    LOOKS = "looks"
    UNLIMITED = "unlimited"

    @classmethod
    def of(cls, material: Material, gas: Gas) -> "Lasting":
        """Returns what limits balloons of the material that are filled with the gas."""
        traits = material.traits
        if gas is Gas.AIR:
            return cls.LOOKS if traits.fades_in_air else cls.UNLIMITED
        return cls.FLOATS if traits.hours_are_computed else cls.STATED


@dataclass(frozen=True, slots=True)
class FloatReason:
    """How long the balloons of a batch last, and how much of that the order uses.

    hours_before, hours_after: the median hours if they stayed where they wait until ready by, and if they stayed
    where they are last; inf if they have no limit there. certainty: the chance from which the shop calls a batch
    safe. may_use, uses: the shares of the float time that may be used for that chance, and that are used from start
    to until. certain_until: until when they are up with that certainty; None without a limit.
    """

    lasting: Lasting
    material: Material
    hours_before: float
    hours_after: float
    certainty: float
    may_use: float
    uses: float
    start: datetime
    until: datetime
    certain_until: datetime | None


def float_reason(
    material: Material, gas: Gas, endurance: Endurance, legs: Sequence[Leg], certainty: float, start: datetime
) -> FloatReason:
    """Returns how long balloons last that are filled at start and take these legs.

    certainty: a chance between 0 and 1.
    """
    budget = endurance.budget
    allowed, used = hours_at_chance(budget, endurance.spread, certainty), endurance.used(stages_from(start, legs))
    return FloatReason(
        lasting=Lasting.of(material, gas),
        material=material,
        hours_before=_median_hours(endurance, legs[0]),
        hours_after=_median_hours(endurance, legs[-1]),
        certainty=certainty,
        may_use=allowed / budget if budget > 0 else 0.0,
        uses=used / budget if budget > 0 else math.inf,
        start=start,
        until=legs[-1].ends,
        certain_until=certain_until(start, legs, endurance, certainty),
    )


def certain_until(start: datetime, legs: Sequence[Leg], endurance: Endurance, certainty: float) -> datetime | None:
    """Returns until when balloons filled at start are up with this certainty if they stay where the last leg is;
    None if that is never, or in more than ten years."""
    left, at = hours_at_chance(endurance.budget, endurance.spread, certainty), start
    for ends, rate in _rates_from(start, legs, endurance):
        used = rate * ((ends - at) / HOUR)
        if used >= left:
            return at + HOUR * (left / rate) if rate > 0 else at
        left, at = left - used, ends
    return None


def _rates_from(start: datetime, legs: Sequence[Leg], endurance: Endurance) -> Iterator[tuple[datetime, float]]:
    """Yields each time with one loss rate by its end; the last one goes on."""
    dry, at = start + timedelta(hours=endurance.wet_hours), start
    for leg in (*legs[:-1], Leg(max(start, legs[-1].ends) + LONGEST, legs[-1].loss_rate)):
        for ends, rate in ((min(dry, leg.ends), leg.loss_rate), (leg.ends, leg.loss_rate / endurance.slowed)):
            if ends > at:
                yield ends, rate
                at = ends


def _median_hours(endurance: Endurance, leg: Leg) -> float:
    return endurance.hours_at(leg.loss_rate) if leg.loss_rate > 0 else math.inf


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
