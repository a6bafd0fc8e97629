"""This module says what a late collection does to filled balloons: their chance at the end of the event, until when
they keep the promise, and whether filling them again helps.

Foil and spheres are topped up. Tied latex cannot be topped up, so it is replaced. Both are common practice, without
a source; either makes a batch start again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.physics.endurance import Endurance
from app.physics.material import Material
from app.planning.shoptime import minute_down
from app.planning.window import HOUR, Certainty, FloatOutcome, FloatPlan, Leg


class Remedy(StrEnum):
    """What is done to filled balloons that waited too long."""

    TOP_UP = "top-up"
    REPLACE = "replace"


def remedy_of(material: Material) -> Remedy:
    """Returns what helps balloons with helium of this material."""
    return Remedy.TOP_UP if material.traits.can_be_topped_up else Remedy.REPLACE


@dataclass(frozen=True, slots=True)
class LateCollection:
    """What becomes of a batch that is collected late.

    agreed: its outcome if it had left as agreed. waited: its outcome now that it waits. kept_until: until when the
    promise is kept with the certainty from which the shop says safe; None if nothing limits it. refilled: its
    outcome if it is filled again just before it leaves; None if that makes it no better. refilled_until: until when
    it would then keep the promise.
    """

    agreed: FloatOutcome
    waited: FloatOutcome
    kept_until: datetime | None
    refilled: FloatOutcome | None
    refilled_until: datetime | None = None


def legs_after_wait(legs: Sequence[Leg], collected_at: datetime) -> tuple[Leg, ...]:
    """Returns the legs of balloons that stay in the first place until they are collected.

    A later place that would have ended by then is skipped. If the event is over by then, they end in the last place
    as they leave the first.
    """
    first, *later = legs
    waits = replace(first, ends=max(first.ends, collected_at))
    return waits, *(replace(leg, ends=max(leg.ends, waits.ends)) for leg in later)


def kept_until(start: datetime, legs: Sequence[Leg], endurance: Endurance, certainty: float) -> datetime | None:
    """Returns until when the promise of a batch tied at `start` is kept with this certainty, rounded down to the
    minute, if it stays in the last place for good; None if that place uses up nothing.

    certainty: a chance between 0 and 1. A batch that does not rise keeps it until `start`.
    """
    left, at, wet_end = endurance.spendable(certainty), start, start + timedelta(hours=endurance.wet_hours)
    for leg in legs:
        for ends, slowed in ((min(wet_end, leg.ends), 1.0), (leg.ends, endurance.slowed)):
            hours = max((ends - at) / HOUR, 0.0)
            if hours * leg.loss_rate / slowed > left:
                return minute_down(at + HOUR * (left * slowed / leg.loss_rate))
            left -= hours * leg.loss_rate / slowed
            at = max(at, ends)
    return _kept_in_last_place(at, wet_end, left, legs[-1].loss_rate, endurance.slowed)


def _kept_in_last_place(
    at: datetime, wet_end: datetime, left: float, loss_rate: float, slowed: float
) -> datetime | None:
    """Returns when what is left of the budget is used up in a place of this loss rate."""
    if loss_rate <= 0:
        return None
    wet = max((wet_end - at) / HOUR, 0.0)
    if wet * loss_rate >= left:
        return minute_down(at + HOUR * (left / loss_rate))
    return minute_down(at + HOUR * (wet + (left - wet * loss_rate) * slowed / loss_rate))


def late_collection(
    plan: FloatPlan, start: datetime, collected_at: datetime, certainty: Certainty, refill: timedelta = timedelta()
) -> LateCollection:
    """Returns what becomes of a batch that was tied at `start` and is collected at `collected_at`.

    refill: how long it takes to fill it again; that would be done by the time it is collected.
    """
    waiting = replace(plan, legs=legs_after_wait(plan.legs, collected_at))
    waited = waiting.outcome(start, certainty)
    new_start = max(start, collected_at - refill)
    again = waiting.outcome(new_start, certainty)
    is_better = (again.verdict.rank, -again.chance) < (waited.verdict.rank, -waited.chance)
    return LateCollection(
        agreed=plan.outcome(start, certainty),
        waited=waited,
        kept_until=kept_until(start, waiting.legs, plan.endurance, certainty.safe),
        refilled=again if is_better else None,
        refilled_until=kept_until(new_start, waiting.legs, plan.endurance, certainty.safe) if is_better else None,
    )
