"""This module measures how long the bench really takes for one balloon, from the taps of its batches.

A batch is measured from its first to its last tap, as the work of one person. It measures one figure of the work
times; everything else (preparation, flow, other handling) is subtracted as the shop has set it, so each batch gives
a number of seconds for that figure, and their median is the measured value. A tap forgotten at the start makes a
batch short, one forgotten at the end makes it long. Such batches are excluded by how far they lie from the middle
on a logarithmic scale, in median absolute deviations, starting from the shortest half of all (Rousseeuw & Leroy,
Robust Regression and Outlier Detection, 1987, from memory), so that nearly half of the batches may be wrong.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from statistics import median

from app.physics.endurance import Filling
from app.planning.work import WorkTimes, seconds_per_balloon

FEWEST_BATCHES = 8
"""The number of batches that must be left before a new value is offered; no source."""
CONFIDENCE = 0.95
DEVIATIONS = 3.0
MAD_TO_SIGMA = 1.4826
"""The median absolute deviation times this is σ of a normal distribution: 1 / Φ⁻¹(3/4)."""
ALWAYS_EXCLUDED_BEYOND, NEVER_EXCLUDED_WITHIN = math.log(2.0), math.log(1.4)
"""Logarithms of how many times longer or shorter than the middle a batch took. Beyond twice, it was not the same
work; within 1.4 times, it may always have been. No source."""
ROUNDING = 1e-9
"""By so much two equal logarithms may differ."""
MOST_PASSES = 10


class WorkFigure(StrEnum):
    """The figures of `WorkTimes` that are measured; each value is the name of the field."""

    HANDLE = "handle_seconds"
    SEAL = "seal_seconds"
    TREAT = "treat_seconds"
    STUFF = "stuff_seconds"


class ExclusionReason(StrEnum):
    """Why a batch does not count, in words for a person."""

    CLOSED = "the shop closed in between"
    GAS = "faster than the gas flows"
    SMALL = "too few balloons: most of the time is preparation"
    FAST = "far too fast: started before the first tap"
    SLOW = "far too slow: the last tap came late, or there was other work in between"


FORGOTTEN = frozenset(ExclusionReason) - {ExclusionReason.SMALL}
"""The reasons that speak of forgotten taps; a small batch says nothing about them."""


class Outcome(StrEnum):
    """What a measurement leads to.

    OFFERED: the measured value is offered. AGREES: the shop's own value agrees with it. TOO_FEW: too few batches
    count. MOSTLY_EXCLUDED: at least as many batches were excluded as count. NEGATIVE: the measured value is
    below 0. HANDLING_FIRST: another value for handling must be accepted or refused first.
    """

    OFFERED = "offered"
    AGREES = "as it is"
    TOO_FEW = "too few"
    MOSTLY_EXCLUDED = "most forgotten"
    NEGATIVE = "below nothing"
    HANDLING_FIRST = "after handling"


@dataclass(frozen=True, slots=True)
class TimedBatch:
    """What the taps of a batch say.

    balloons: the number filled, including those that burst; at least 1. seconds: from the first to the last tap.
    spans_closing: whether the shop closed in between. points: the number of filling points for it.
    """

    key: str
    filling: Filling
    balloons: int
    seconds: float
    spans_closing: bool = False
    points: int = 1


@dataclass(frozen=True, slots=True)
class MeasuredBatch:
    """A batch with the seconds for one balloon that it gives for the figure. why: the reason it does not count, or
    None when it counts."""

    batch: TimedBatch
    seconds: float
    why: ExclusionReason | None = None


@dataclass(frozen=True, slots=True)
class WorkTimeFinding:
    """What the batches say about one figure.

    current_seconds: the shop's value. seconds: the median of the batches that count. low, high: its confidence
    interval with 95 %. These three are None when too few batches count.
    """

    figure: WorkFigure
    current_seconds: float
    outcome: Outcome
    evidence: tuple[MeasuredBatch, ...]
    seconds: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def used(self) -> tuple[MeasuredBatch, ...]:
        """The batches from which the value was measured."""
        return tuple(each for each in self.evidence if each.why is None)

    @property
    def excluded(self) -> tuple[MeasuredBatch, ...]:
        """The batches that were left out; `why` of each says the reason."""
        return tuple(each for each in self.evidence if each.why is not None)

    @property
    def offered(self) -> int | None:
        """The measured value that the owner may save, in whole seconds; None when the outcome is another one."""
        return round(self.seconds) if self.seconds is not None and self.outcome is Outcome.OFFERED else None


def measure_work_times(batches: Iterable[TimedBatch], work_times: WorkTimes) -> list[WorkTimeFinding]:
    """Returns one finding for each figure.

    The figures for treating and stuffing are calculated with the shop's own value for handling, so they are not
    offered while another value for handling is.
    """
    by_figure: dict[WorkFigure, list[TimedBatch]] = {figure: [] for figure in WorkFigure}
    for batch in batches:
        by_figure[figure_of(batch.filling)].append(batch)
    found = [_find(figure, of_figure, work_times) for figure, of_figure in by_figure.items()]
    if found[0].outcome is not Outcome.OFFERED:
        return found
    return [
        replace(one, outcome=Outcome.HANDLING_FIRST)
        if one.figure in (WorkFigure.TREAT, WorkFigure.STUFF) and one.outcome is Outcome.OFFERED
        else one
        for one in found
    ]


def figure_of(filling: Filling) -> WorkFigure:
    """Returns the figure that a batch filled like this measures."""
    traits = filling.balloon_type.material.traits
    if traits.is_stuffed(air_only=filling.balloon_type.air_only):
        return WorkFigure.STUFF
    if not traits.is_tied:
        return WorkFigure.SEAL
    return WorkFigure.TREAT if filling.treated else WorkFigure.HANDLE


def with_figure(work_times: WorkTimes, figure: WorkFigure, seconds: float) -> WorkTimes:
    """Returns the work times with this figure set to this many seconds."""
    changes: dict[str, float] = {figure.value: seconds}
    return replace(work_times, **changes)


def seconds_each(batch: TimedBatch, figure: WorkFigure, work_times: WorkTimes) -> float:
    """Returns the seconds of the figure for one balloon, measured by this batch alone.

    It is below 0 when the batch took less than the rest of its work should take.
    """
    rest = seconds_per_balloon(batch.filling, work_times) - _present(figure, work_times)
    return (batch.seconds - work_times.prepare_minutes * 60) / batch.balloons - rest


def median_interval(values: Sequence[float], confidence: float = CONFIDENCE) -> tuple[float, float] | None:
    """Returns two of the values between which the true median lies with at least this confidence, 0 to 1.

    It holds for every distribution: it uses order statistics and the binomial distribution. Returns None when there
    are too few values for that confidence.
    """
    ordered, n = sorted(values), len(values)
    allowed = int(Fraction(1 - confidence) / 2 * 2**n)
    below, term, place = 0, 1, 0
    while place < n / 2 and below + term <= allowed:
        below += term
        term = term * (n - place) // (place + 1)
        place += 1
    return (ordered[place - 1], ordered[n - place]) if place else None


def _present(figure: WorkFigure, work_times: WorkTimes) -> float:
    """Returns the shop's own value of a figure, in seconds."""
    return float(getattr(work_times, figure.value))


def _find(figure: WorkFigure, batches: Sequence[TimedBatch], work_times: WorkTimes) -> WorkTimeFinding:
    """Returns the finding for one figure from the batches that measure it."""
    evidence = _measure(figure, batches, work_times)
    found = WorkTimeFinding(figure, _present(figure, work_times), Outcome.TOO_FEW, evidence)
    counted = [each.seconds for each in found.used]
    interval = median_interval(counted)
    if len(counted) < FEWEST_BATCHES or interval is None:
        return found
    middle = median(counted)
    outcome = _outcome(found, middle, *interval)
    return replace(found, outcome=outcome, seconds=middle, low=interval[0], high=interval[1])


def _outcome(found: WorkTimeFinding, middle: float, low: float, high: float) -> Outcome:
    """Returns what a measurement with this median and this interval leads to."""
    if sum(each.why in FORGOTTEN for each in found.excluded) >= len(found.used):
        return Outcome.MOSTLY_EXCLUDED
    if low <= found.current_seconds <= high or round(middle) == found.current_seconds:
        return Outcome.AGREES
    return Outcome.OFFERED if middle >= 0 else Outcome.NEGATIVE


def _measure(figure: WorkFigure, batches: Sequence[TimedBatch], work_times: WorkTimes) -> tuple[MeasuredBatch, ...]:
    """Returns each batch with its seconds and the reason why it does not count, if there is one.

    Which batches are too fast or too slow depends on the median of those that count, so both are found in turn
    until the excluded ones no longer change.
    """
    measured = [
        MeasuredBatch(batch, seconds_each(batch, figure, work_times), _reason_by_itself(batch, work_times))
        for batch in batches
    ]
    candidates = [one for one in measured if one.why is None]
    outliers = _outliers(candidates, _present(figure, work_times))
    for _ in range(MOST_PASSES if candidates else 0):
        found = median(one.seconds for one in candidates if one.batch.key not in outliers)
        before, outliers = outliers, _outliers(candidates, max(found, 0.0))
        if outliers == before:
            break
    return tuple(replace(one, why=one.why or outliers.get(one.batch.key)) for one in measured)


def _reason_by_itself(batch: TimedBatch, work_times: WorkTimes) -> ExclusionReason | None:
    """Returns why a batch does not count, as far as that can be said without looking at the other batches."""
    flow = batch.balloons * batch.filling.litres / work_times.l_per_s(batch.filling.gas)
    if batch.spans_closing:
        return ExclusionReason.CLOSED
    if batch.seconds < flow / max(batch.points, 1):
        return ExclusionReason.GAS
    work = batch.balloons * seconds_per_balloon(batch.filling, work_times)
    return ExclusionReason.SMALL if work < work_times.prepare_minutes * 60 / 2 else None


def _outliers(candidates: Sequence[MeasuredBatch], seconds: float) -> dict[str, ExclusionReason]:
    """Returns, by batch key, the batches that were too fast or too slow, and which of the two.

    Each batch is compared with the time that it would have taken if the figure were this many seconds; a batch is
    an outlier when the logarithm of that ratio lies too far from the middle of all.
    """
    if not candidates:
        return {}
    logs = [math.log(one.batch.seconds / _expected_seconds(one, seconds)) for one in candidates]
    middle, limit = _middle_and_limit(logs)
    return {
        one.batch.key: ExclusionReason.SLOW if log > middle else ExclusionReason.FAST
        for one, log in zip(candidates, logs, strict=True)
        if abs(log - middle) > limit + ROUNDING
    }


def _expected_seconds(measured: MeasuredBatch, seconds: float) -> float:
    """Returns the time from first to last tap that the batch would have taken if the figure were this many seconds.

    All other work in it stays as it is.
    """
    return measured.batch.seconds + measured.batch.balloons * (seconds - measured.seconds)


def _middle_and_limit(logs: Sequence[float]) -> tuple[float, float]:
    """Returns the median of the logarithms near the shortest half, and how far from it one may lie.

    It trims only once, because trimming again what was trimmed would never end. Where none lies near the middle of
    the shortest half, as with two that are four times apart, they agree on nothing: then the limit is inf, because
    nobody can say which of them is wrong.
    """
    start = median(_shortest_half(sorted(logs)))
    near = [one for one in logs if abs(one - start) <= ALWAYS_EXCLUDED_BEYOND]
    if not near:
        return start, math.inf
    middle = median(near)
    spread = MAD_TO_SIGMA * median(abs(one - middle) for one in near)
    return middle, min(max(DEVIATIONS * spread, NEVER_EXCLUDED_WITHIN), ALWAYS_EXCLUDED_BEYOND)


def _shortest_half(ordered: Sequence[float]) -> Sequence[float]:
    """Returns those just over half of the sorted values that lie closest together."""
    half = len(ordered) // 2 + 1
    first = min(range(len(ordered) - half + 1), key=lambda place: ordered[place + half - 1] - ordered[place])
    return ordered[first : first + half]
