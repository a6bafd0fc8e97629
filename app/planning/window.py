"""This module calculates the float window of a batch: not before, inflate by, the chance at the end, the verdict,
and what limits it: float, light or wind.

Legs say where the balloons are: the first leg is the shop and has no beginning, the last one ends when the balloons
need no longer float. Hours between two moments are real hours, so moments are aware UTC.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise

from app.physics.endurance import Endurance
from app.physics.light import TWICE
from app.planning.shoptime import minute_up

HOUR = timedelta(hours=1)
ROUNDING = 1e-9
"""A sum of hours carries rounding errors."""
LIGHT, TWICE_THE_LIGHT = 1.0 + ROUNDING, TWICE + ROUNDING
"""The shares of the limits of light at which the verdict turns."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A stay in one place until it ends. loss_rate, light_rate: the budget hours, and the share of the limits of
    light, that the balloons use up in an hour there."""

    ends: datetime
    loss_rate: float
    light_rate: float = 0.0


class Verdict(StrEnum):
    SAFE = "safe"
    RISKY = "risky"
    WONT_LAST = "wont-last"

    @property
    def rank(self) -> int:
        """0 for the best, more for worse ones."""
        return _RANKS[self]


_RANKS = {verdict: place for place, verdict in enumerate(Verdict)}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Returns the worst of the verdicts; SAFE if there is none."""
    return max(verdicts, key=lambda verdict: verdict.rank, default=Verdict.SAFE)


class Limit(StrEnum):
    """What keeps a batch from being safe. FLOAT: too few would still be up. LIGHT: latex is in the light for too
    long. WIND: it is stronger than the shop's limit."""

    FLOAT = "float"
    LIGHT = "light"
    WIND = "wind"


@dataclass(frozen=True, slots=True)
class Certainty:
    """The chances, between 0 and 1, from which the shop calls a batch safe, or at least risky."""

    safe: float = 0.95
    risky: float = 0.80

    def verdict(self, chance: float) -> Verdict:
        """Returns the verdict for the chance, 0 to 1, that as many as promised still float at the end."""
        if chance >= self.safe:
            return Verdict.SAFE
        return Verdict.RISKY if chance >= self.risky else Verdict.WONT_LAST


def light_verdict(used: float) -> Verdict:
    """Returns the verdict for the share of the limits of light that was used up: over 1 at best risky, over 2 it
    won't last. Source: from memory."""
    if used <= LIGHT:
        return Verdict.SAFE
    return Verdict.RISKY if used <= TWICE_THE_LIGHT else Verdict.WONT_LAST


@dataclass(frozen=True, slots=True)
class FloatOutcome:
    """What becomes of a batch that starts at a given moment.

    chance: 0 to 1, that as many as promised still float at the end of the last leg. light: the share of the limits
    of light that is used up then. verdicts: by what limits it.
    """

    chance: float
    light: float
    verdicts: Mapping[Limit, Verdict]

    @property
    def verdict(self) -> Verdict:
        """The worst of the verdicts."""
        return worst(self.verdicts.values())

    @property
    def lasts(self) -> bool:
        """Whether float and light are safe, whatever the wind is."""
        return all(self.verdicts[limit] is Verdict.SAFE for limit in (Limit.FLOAT, Limit.LIGHT))

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What keeps it from being safe, the worst first."""
        wrong = [limit for limit, verdict in self.verdicts.items() if verdict is not Verdict.SAFE]
        return tuple(sorted(wrong, key=lambda limit: -self.verdicts[limit].rank))


@dataclass(frozen=True, slots=True)
class FloatWindow:
    """When a batch may be filled so that it floats long enough, and how sure that is.

    not_before: the earliest start that is safe; None when there is no limit, or when no start is safe.
    own_inflate_by: the latest start if the batch had the bench to itself. inflate_by: the latest start on the bench
    that is shared with all other orders, once it was asked; until then as own_inflate_by. outcome: that of a start
    at inflate_by, or of the real start.
    """

    not_before: datetime | None
    own_inflate_by: datetime
    inflate_by: datetime
    outcome: FloatOutcome

    @property
    def chance(self) -> float:
        """The chance, 0 to 1, that as many as promised float at the end."""
        return self.outcome.chance

    @property
    def verdict(self) -> Verdict:
        """The verdict of the outcome."""
        return self.outcome.verdict


def stages_from(start: datetime, legs: Sequence[Leg]) -> list[tuple[float, float]]:
    """Returns (hours, loss rate) for each leg, or rest of a leg, that a balloon tied at `start` still has ahead."""
    stages = []
    for leg in legs:
        hours = (leg.ends - start) / HOUR
        if hours > 0:
            stages.append((hours, leg.loss_rate))
            start = leg.ends
    return stages


def chance_at_end(start: datetime, legs: Sequence[Leg], endurance: Endurance) -> float:
    """Returns the chance, 0 to 1, that as many as promised of a batch tied at `start` still float when the last leg
    ends."""
    return endurance.chance(stages_from(start, legs))


def light_used(start: datetime, legs: Sequence[Leg]) -> float:
    """Returns the share of the limits of light that balloons filled at `start` have used up at the end."""
    used = 0.0
    for leg in legs:
        hours = (leg.ends - start) / HOUR
        if hours > 0:
            used += hours * leg.light_rate
            start = leg.ends
    return used


def not_before(
    legs: Sequence[Leg], endurance: Endurance, certainty: float, inflate_by: datetime | None = None
) -> datetime | None:
    """Returns the earliest start, rounded up to the minute, with which the promise is kept to the end with this
    certainty, and with which light leaves as good a verdict as with any later start in the first place.

    certainty: a chance between 0 and 1. inflate_by: the latest start; at a venue outdoors it may be days after the
    first leg has ended. Returns None when the balloons do not rise, and when any start will do because the first
    place uses up nothing.
    """
    budget = endurance.spendable(certainty)
    if budget <= 0:
        return None
    latest = max(legs[0].ends, inflate_by) if inflate_by else legs[0].ends
    wet, light = timedelta(hours=endurance.wet_hours), _light_to_spend(legs, latest)
    starts = (
        _earliest(legs, lambda at: endurance.used(stages_from(at, legs)), budget, wet),
        _earliest(legs, lambda at: light_used(at, legs), light) if light else None,
    )
    return max((at for at in starts if at), default=None)


def _light_to_spend(legs: Sequence[Leg], latest: datetime) -> float | None:
    """Returns the share of the limits of light that may be used up: the least at which the verdict turns and that
    the latest fill in the first place does not pass; None if it passes both."""
    unavoidable = light_used(latest, legs)
    return next((share for share in (LIGHT, TWICE_THE_LIGHT) if unavoidable <= share), None)


def _earliest(
    legs: Sequence[Leg], used: Callable[[datetime], float], budget: float, wet: timedelta = timedelta()
) -> datetime | None:
    """Returns the earliest start that uses up no more than the budget, rounded up to the minute; None when any
    start will do.

    What a start uses up, drawn over the start, is a line with corners: at the ends of the legs, and for treated
    balloons also the wet hours before them. The answer lies on the first piece that falls below the budget.
    """
    corners = sorted({leg.ends - back for leg in legs for back in (timedelta(), wet)})
    day_before = corners[0] - timedelta(days=1)
    points = [(at, used(at)) for at in (day_before, *corners)]
    (left, spent_left), (right, spent_right) = next(pair for pair in pairwise(points) if pair[1][1] <= budget)
    slope = (spent_left - spent_right) / ((right - left) / HOUR)
    return minute_up(right - HOUR * ((budget - spent_right) / slope)) if slope > 0 else None


@dataclass(frozen=True, slots=True)
class FloatPlan:
    """What decides whether a batch is safe, whenever it starts. wind: the best verdict that the wind at the venue
    allows."""

    endurance: Endurance
    legs: tuple[Leg, ...]
    wind: Verdict = Verdict.SAFE

    def chance(self, start: datetime) -> float:
        """Returns the chance, 0 to 1, that as many as promised float at the end if the batch starts then."""
        return chance_at_end(start, self.legs, self.endurance)

    def outcome(self, start: datetime, certainty: Certainty) -> FloatOutcome:
        """Returns what becomes of the batch if it starts then."""
        chance, light = self.chance(start), light_used(start, self.legs)
        verdicts = {
            Limit.FLOAT: certainty.verdict(chance),
            Limit.LIGHT: light_verdict(light),
            Limit.WIND: self.wind,
        }
        return FloatOutcome(chance, light, verdicts)

    def start_to_judge(self, started: datetime | None, planned: datetime) -> datetime:
        """Returns the start by which the batch is judged: the real one, or the planned one if there is none.

        A start after the end of the last leg says only when somebody tapped, so the planned one counts.
        """
        return planned if started is None or started > self.legs[-1].ends else started

    def window(self, inflate_by: datetime, certainty: Certainty, started: datetime | None = None) -> FloatWindow:
        """Returns the float window of the batch.

        started: when the batch was really started; None when it starts at inflate_by.
        """
        return _window(self, inflate_by, certainty, started)


@lru_cache(1024)
def _window(plan: FloatPlan, inflate_by: datetime, certainty: Certainty, started: datetime | None) -> FloatWindow:
    """Returns the window. It is found once: each way that is tried for an order has most of its batches as they
    were."""
    earliest = not_before(plan.legs, plan.endurance, certainty.safe, inflate_by)
    return FloatWindow(earliest, inflate_by, inflate_by, plan.outcome(started or inflate_by, certainty))
