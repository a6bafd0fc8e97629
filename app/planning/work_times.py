"""How long the bench really takes for one balloon, found from its taps: robust against those that were forgotten.

A batch is measured from its first to its last tap, by one hand. What its own figure leaves to the rest
(preparation, flow, other handling) is taken as the shop has it, so each batch gives so many seconds of that figure;
their median is what was measured. Taps forgotten at the start make a batch short, at the end long: those are set
apart by how far they lie from the middle on a logarithmic scale, in median absolute deviations, starting from the
shortest half of all (Rousseeuw & Leroy, Robust Regression and Outlier Detection, 1987, from memory), so that nearly
half may be wrong.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from statistics import median

from app.physics.endurance import Filling
from app.planning.work import WorkTimes, seconds_per_balloon

FEWEST = 8
"""Batches that must be left before anything is offered; no source."""
SURENESS = 0.95
DEVIATIONS = 3.0
MAD_TO_SIGMA = 1.4826
"""Of a normal distribution: 1 / Φ⁻¹(3/4)."""
FURTHEST, NEAREST = math.log(2.0), math.log(1.4)
"""More than twice, or less than half, as long as the middle was not the same work; within 1.4 times it may always
have been. No source."""
MOST_PASSES = 10


class WorkFigure(StrEnum):
    """Of `Pace`, by the field's name."""

    HANDLE = "handle_seconds"
    SEAL = "seal_seconds"
    TREAT = "treat_seconds"
    STUFF = "stuff_seconds"


class ExclusionReason(StrEnum):
    """Why a batch is not counted, in words."""

    CLOSED = "the shop closed in between"
    GAS = "faster than the gas flows"
    SMALL = "few balloons: preparation is most of it"
    FAST = "far too fast: begun before its first tap"
    SLOW = "far too slow: its last tap came late, or other work in between"


FORGOTTEN = frozenset(ExclusionReason) - {ExclusionReason.SMALL}


class Outcome(StrEnum):
    OFFERED = "offered"
    AS_IT_IS = "as it is"
    TOO_FEW = "too few"
    MOST_FORGOTTEN = "most forgotten"
    BELOW_NOTHING = "below nothing"
    AFTER_HANDLING = "after handling"


@dataclass(frozen=True, slots=True)
class TimedBatch:
    """A batch by its taps. balloons: filled, those that burst included; at least 1. seconds: from the first to the
    last tap. over_closing: whether the shop closed in between. points: where it can be filled at once."""

    key: str
    filling: Filling
    balloons: int
    seconds: float
    over_closing: bool = False
    points: int = 1


@dataclass(frozen=True, slots=True)
class MeasuredBatch:
    """A batch with the seconds of the figure that it gives for one balloon. why: it is not counted."""

    batch: TimedBatch
    seconds: float
    why: ExclusionReason | None = None


@dataclass(frozen=True, slots=True)
class WorkTimeFinding:
    """What the batches say about a figure. seconds: the median of those counted, low and high its interval with
    95 %; None where they are too few for one."""

    figure: WorkFigure
    present: float
    outcome: Outcome
    evidence: tuple[MeasuredBatch, ...]
    seconds: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def used(self) -> tuple[MeasuredBatch, ...]:
        return tuple(each for each in self.evidence if each.why is None)

    @property
    def apart(self) -> tuple[MeasuredBatch, ...]:
        return tuple(each for each in self.evidence if each.why is not None)

    @property
    def offered(self) -> int | None:
        """In whole seconds."""
        return round(self.seconds) if self.seconds is not None and self.outcome is Outcome.OFFERED else None


def measure_work_times(batches: Iterable[TimedBatch], work_times: WorkTimes) -> list[WorkTimeFinding]:
    """One finding for each figure. Treating and stuffing are reckoned with the handling that the shop has, so they
    wait while another is offered for it."""
    by_figure: dict[WorkFigure, list[TimedBatch]] = {figure: [] for figure in WorkFigure}
    for batch in batches:
        by_figure[figure_of(batch.filling)].append(batch)
    found = [_find(figure, mine, work_times) for figure, mine in by_figure.items()]
    if found[0].outcome is not Outcome.OFFERED:
        return found
    return [
        replace(one, outcome=Outcome.AFTER_HANDLING)
        if one.figure in (WorkFigure.TREAT, WorkFigure.STUFF) and one.outcome is Outcome.OFFERED
        else one
        for one in found
    ]


def figure_of(filling: Filling) -> WorkFigure:
    """The figure that a batch says most about."""
    traits = filling.balloon_type.material.traits
    if traits.is_stuffed(air_only=filling.balloon_type.air_only):
        return WorkFigure.STUFF
    if not traits.is_tied:
        return WorkFigure.SEAL
    return WorkFigure.TREAT if filling.treated else WorkFigure.HANDLE


def with_figure(work_times: WorkTimes, figure: WorkFigure, seconds: float) -> WorkTimes:
    changes: dict[str, float] = {figure.value: seconds}
    return replace(work_times, **changes)


def seconds_each(batch: TimedBatch, figure: WorkFigure, work_times: WorkTimes) -> float:
    """What the figure would be by this batch alone; below 0 where it went faster than all the rest."""
    rest = seconds_per_balloon(batch.filling, work_times) - _present(figure, work_times)
    return (batch.seconds - work_times.prepare_minutes * 60) / batch.balloons - rest


def median_interval(values: Sequence[float], sureness: float = SURENESS) -> tuple[float, float] | None:
    """Two of the values between which the median lies at least so surely, whatever the distribution: by order
    statistics and the binomial. None when even the first and last are not enough."""
    ordered, n = sorted(values), len(values)
    allowed = int(Fraction(1 - sureness) / 2 * 2**n)
    below, term, place = 0, 1, 0
    while place < n / 2 and below + term <= allowed:
        below += term
        term = term * (n - place) // (place + 1)
        place += 1
    return (ordered[place - 1], ordered[n - place]) if place else None


def _present(figure: WorkFigure, work_times: WorkTimes) -> float:
    return float(getattr(work_times, figure.value))


def _find(figure: WorkFigure, batches: Sequence[TimedBatch], work_times: WorkTimes) -> WorkTimeFinding:
    evidence = _sort_out(figure, batches, work_times)
    found = WorkTimeFinding(figure, _present(figure, work_times), Outcome.TOO_FEW, evidence)
    counted = [each.seconds for each in found.used]
    interval = median_interval(counted)
    if len(counted) < FEWEST or interval is None:
        return found
    middle = median(counted)
    outcome = _outcome(found, middle, *interval)
    return replace(found, outcome=outcome, seconds=middle, low=interval[0], high=interval[1])


def _outcome(found: WorkTimeFinding, middle: float, low: float, high: float) -> Outcome:
    if sum(each.why in FORGOTTEN for each in found.apart) >= len(found.used):
        return Outcome.MOST_FORGOTTEN
    if low <= found.present <= high or round(middle) == found.present:
        return Outcome.AS_IT_IS
    return Outcome.OFFERED if middle >= 0 else Outcome.BELOW_NOTHING


def _sort_out(
    figure: WorkFigure, batches: Sequence[TimedBatch], work_times: WorkTimes
) -> tuple[MeasuredBatch, ...]:
    """Each batch, with why it is not counted. How long one should take follows what is found, until none moves from
    one side to the other any more."""
    each = [
        MeasuredBatch(batch, seconds_each(batch, figure, work_times), _plainly_apart(batch, work_times))
        for batch in batches
    ]
    rest = [one for one in each if one.why is None]
    why = _far_off(rest, _present(figure, work_times))
    for _ in range(MOST_PASSES if rest else 0):
        found = median(one.seconds for one in rest if one.batch.key not in why)
        before, why = why, _far_off(rest, max(found, 0.0))
        if why == before:
            break
    return tuple(replace(one, why=one.why or why.get(one.batch.key)) for one in each)


def _plainly_apart(batch: TimedBatch, work_times: WorkTimes) -> ExclusionReason | None:
    flow = batch.balloons * batch.filling.litres / work_times.l_per_s(batch.filling.gas)
    if batch.over_closing:
        return ExclusionReason.CLOSED
    if batch.seconds < flow / max(batch.points, 1):
        return ExclusionReason.GAS
    work = batch.balloons * seconds_per_balloon(batch.filling, work_times)
    return ExclusionReason.SMALL if work < work_times.prepare_minutes * 60 / 2 else None


def _far_off(rest: Sequence[MeasuredBatch], seconds: float) -> dict[str, ExclusionReason]:
    """By their key, those too far from the middle of how many times longer they took than with so many seconds."""
    if not rest:
        return {}
    logs = [math.log(one.batch.seconds / _reckoned(one, seconds)) for one in rest]
    middle, reach = _middle_and_reach(logs)
    return {
        one.batch.key: ExclusionReason.SLOW if off > middle else ExclusionReason.FAST
        for one, off in zip(rest, logs, strict=True)
        if abs(off - middle) > reach
    }


def _reckoned(each: MeasuredBatch, seconds: float) -> float:
    """What the batch would have taken: preparation and the rest stay as they are within it."""
    return each.batch.seconds + each.batch.balloons * (seconds - each.seconds)


def _middle_and_reach(logs: Sequence[float]) -> tuple[float, float]:
    """The median of those near the shortest half, and how far from it one may lie. In one step: to trim again and
    again what was trimmed would never end."""
    start = median(_shortest_half(sorted(logs)))
    near = [one for one in logs if abs(one - start) <= FURTHEST]
    middle = median(near)
    spread = MAD_TO_SIGMA * median(abs(one - middle) for one in near)
    return middle, min(max(DEVIATIONS * spread, NEAREST), FURTHEST)


def _shortest_half(ordered: Sequence[float]) -> Sequence[float]:
    half = len(ordered) // 2 + 1
    first = min(range(len(ordered) - half + 1), key=lambda place: ordered[place + half - 1] - ordered[place])
    return ordered[first : first + half]
