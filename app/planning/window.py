"""The float window of a batch: not before, inflate by, the chance at the end, the verdict.

Legs tell where the balloons are: the first leg is the shop and reaches back as far as one likes, the last
ends when they need no longer be up. Hours between two moments are real hours, so moments are aware UTC.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from app.physics.endurance import Endurance
from app.physics.leak import sure_hours
from app.planning.shoptime import minute_down, minute_up
from app.planning.workplace import Workplace

HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Leg:
    """A stay in one place until it ends, at a pace in budget hours an hour."""

    ends: datetime
    loss_rate: float


class Verdict(StrEnum):
    SAFE = "safe"
    RISKY = "risky"
    WONT_LAST = "wont-last"


@dataclass(frozen=True, slots=True)
class Certainty:
    """The shop's certainty and its lower limit, as chances between 0 and 1."""

    safe: float = 0.95
    risky: float = 0.80

    def verdict(self, chance: float) -> Verdict:
        if chance >= self.safe:
            return Verdict.SAFE
        return Verdict.RISKY if chance >= self.risky else Verdict.WONT_LAST


@dataclass(frozen=True, slots=True)
class FloatWindow:
    """not_before: None when there is no such hour. chance: at the end of the last leg, when started at inflate_by
    or when it was begun."""

    not_before: datetime | None
    inflate_by: datetime
    chance: float
    verdict: Verdict


def stages_from(start: datetime, legs: Sequence[Leg]) -> list[tuple[float, float]]:
    """(hours, pace) of what is left of the legs for a balloon tied at `start`."""
    stages = []
    for leg in legs:
        hours = (leg.ends - start) / HOUR
        if hours > 0:
            stages.append((hours, leg.loss_rate))
            start = leg.ends
    return stages


def chance_at_end(start: datetime, legs: Sequence[Leg], endurance: Endurance) -> float:
    """Chance, 0 to 1, that a balloon tied at `start` is still up when the last leg ends."""
    return endurance.chance(stages_from(start, legs))


def not_before(legs: Sequence[Leg], endurance: Endurance, certainty: float) -> datetime | None:
    """The earliest start, rounded up to the minute, that keeps the certainty.

    None when it does not rise, and when any start will do because the place costs it nothing.

    What a start spends is a broken line in time: its corners are the ends of the legs, and for treated
    balloons the same less the wet hours. Found on the first piece that dips under the sure budget.
    """
    budget = sure_hours(endurance.budget, endurance.spread, certainty)
    if budget <= 0:
        return None
    wet = timedelta(hours=endurance.wet_hours)
    corners = sorted({leg.ends - back for leg in legs for back in (timedelta(), wet)})
    day_before = corners[0] - timedelta(days=1)
    points = [(at, endurance.used(stages_from(at, legs))) for at in (day_before, *corners)]
    (left, spent_left), (right, spent_right) = next(pair for pair in pairwise(points) if pair[1][1] <= budget)
    slope = (spent_left - spent_right) / ((right - left) / HOUR)
    return minute_up(right - HOUR * ((budget - spent_right) / slope)) if slope > 0 else None


def ready_chain(
    ready_by: datetime, workplace: Workplace, finishing: timedelta, drying: timedelta, work: timedelta
) -> datetime | None:
    """The latest start of a fill that leaves drying and the tail done by ready_by, while work can be done.

    Drying needs no hands and goes on while the shop is closed.
    """
    tail_start = workplace.latest_start(ready_by, finishing)
    if tail_start is None:
        return None
    start = workplace.latest_start(tail_start - drying, work)
    return minute_down(start) if start else None


def float_window(
    endurance: Endurance,
    legs: Sequence[Leg],
    inflate_by: datetime,
    certainty: Certainty,
    started: datetime | None = None,
) -> FloatWindow:
    """The window and verdict of a batch; begun is its real start, where that is not its inflate_by."""
    chance = chance_at_end(started or inflate_by, legs, endurance)
    earliest = not_before(legs, endurance, certainty.safe)
    return FloatWindow(earliest, inflate_by, chance, certainty.verdict(chance))


@dataclass(frozen=True, slots=True)
class Window:
    """When a batch may be filled, as those who fill can use it: its earliest start falls in working hours."""

    earliest: datetime | None
    inflate_by: datetime
    ready_by: datetime

    @property
    def is_empty(self) -> bool:
        return self.earliest is not None and self.earliest > self.inflate_by

    def open_before(self, now: datetime) -> bool:
        return self.earliest is None or self.earliest <= now

    def is_early(self, now: datetime, soon: timedelta) -> bool:
        """Whether a start now is too early. An empty window has no right hour: it waits until it is due,
        `soon` before inflate_by."""
        return now < self.inflate_by - soon if self.is_empty else not self.open_before(now)


def bench_window(
    not_before: datetime | None, inflate_by: datetime, ready_by: datetime, workplace: Workplace
) -> Window:
    """An earliest start while nobody can work moves to the next opening, unless that is too late."""
    if not_before is not None and not_before <= inflate_by:
        not_before = min(workplace.first_open(not_before), inflate_by)
    return Window(not_before, inflate_by, ready_by)


Works = Sequence[tuple[timedelta, timedelta]]
"""The batches of an order as (work, drying)."""


def one_person_start(
    ready_by: datetime, workplace: Workplace, finishing: timedelta, works: Works
) -> datetime | None:
    """The latest first start when one hand fills the batches one after another; None when it is never open."""
    tail_start = workplace.latest_start(ready_by, finishing)
    if tail_start is None:
        return None
    start: datetime | None = tail_start
    for work, drying in sorted(works, key=lambda pair: pair[1]):
        if start is None:
            return None
        start = workplace.latest_start(min(start, tail_start - drying), work)
    return minute_down(start) if start else None


def one_person_ready(now: datetime, workplace: Workplace, finishing: timedelta, works: Works) -> datetime | None:
    """When one hand that begins now has filled the batches, those that dry longest first, and done the tail."""
    cursor = dry = now
    for work, drying in sorted(works, key=lambda pair: pair[1], reverse=True):
        filled = workplace.first_end(cursor, work)
        if filled is None:
            return None
        cursor, dry = filled, max(dry, filled + drying)
    return workplace.first_end(dry, finishing)
