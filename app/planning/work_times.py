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
from app.planning.work import Pace, is_stuffed, seconds_per_balloon

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


class Figure(StrEnum):
    """Of `Pace`, by the field's name."""

    HANDLE = "handle_seconds"
    SEAL = "seal_seconds"
    TREAT = "treat_seconds"
    STUFF = "stuff_seconds"


class Apart(StrEnum):
    """Why a batch is not counted, in words."""

    CLOSED = "the shop closed in between"
    GAS = "faster than the gas flows"
    SMALL = "few balloons: preparation is most of it"
    FAST = "far too fast: begun before its first tap"
    SLOW = "far too slow: its last tap came late, or other work in between"


FORGOTTEN = frozenset(Apart) - {Apart.SMALL}


class Outcome(StrEnum):
    OFFERED = "offered"
    AS_IT_IS = "as it is"
    TOO_FEW = "too few"
    MOST_FORGOTTEN = "most forgotten"
    BELOW_NOTHING = "below nothing"
    AFTER_HANDLING = "after handling"


@dataclass(frozen=True, slots=True)
class Measured:
    """A batch by its taps. balloons: filled, those that burst included; at least 1. seconds: from the first to the
    last tap. over_closing: whether the shop closed in between. points: where it can be filled at once."""

    key: str
    filling: Filling
    balloons: int
    seconds: float
    over_closing: bool = False
    points: int = 1


@dataclass(frozen=True, slots=True)
class Each:
    """A batch with the seconds of the figure that it gives for one balloon. why: it is not counted."""

    batch: Measured
    seconds: float
    why: Apart | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What the batches say about a figure. seconds: the median of those counted, low and high its interval with
    95 %; None where they are too few for one."""

    figure: Figure
    present: float
    outcome: Outcome
    evidence: tuple[Each, ...]
    seconds: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def used(self) -> tuple[Each, ...]:
        return tuple(each for each in self.evidence if each.why is None)

    @property
    def apart(self) -> tuple[Each, ...]:
        return tuple(each for each in self.evidence if each.why is not None)

    @property
    def offered(self) -> int | None:
        """In whole seconds."""
        return round(self.seconds) if self.seconds is not None and self.outcome is Outcome.OFFERED else None


def find_pace(batches: Iterable[Measured], pace: Pace) -> list[Finding]:
    """One finding for each figure. Treating and stuffing are reckoned with the handling that the shop has, so they
    wait while another is offered for it."""
    by_figure: dict[Figure, list[Measured]] = {figure: [] for figure in Figure}
    for batch in batches:
        by_figure[figure_of(batch.filling)].append(batch)
    found = [_find(figure, mine, pace) for figure, mine in by_figure.items()]
    if found[0].outcome is not Outcome.OFFERED:
        return found
    return [
        replace(one, outcome=Outcome.AFTER_HANDLING)
        if one.figure in (Figure.TREAT, Figure.STUFF) and one.outcome is Outcome.OFFERED
        else one
        for one in found
    ]


def figure_of(filling: Filling) -> Figure:
    """The figure that a batch says most about."""
    if is_stuffed(filling.kind.material, air_only=filling.kind.air_only):
        return Figure.STUFF
    if not filling.kind.stretches:
        return Figure.SEAL
    return Figure.TREAT if filling.treated else Figure.HANDLE


def with_figure(pace: Pace, figure: Figure, seconds: float) -> Pace:
    changes: dict[str, float] = {figure.value: seconds}
    return replace(pace, **changes)


def seconds_each(batch: Measured, figure: Figure, pace: Pace) -> float:
    """What the figure would be by this batch alone; below 0 where it went faster than all the rest."""
    rest = seconds_per_balloon(batch.filling, pace) - _present(figure, pace)
    return (batch.seconds - pace.prepare_minutes * 60) / batch.balloons - rest


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


def _present(figure: Figure, pace: Pace) -> float:
    return float(getattr(pace, figure.value))


def _find(figure: Figure, batches: Sequence[Measured], pace: Pace) -> Finding:
    evidence = _sort_out(figure, batches, pace)
    found = Finding(figure, _present(figure, pace), Outcome.TOO_FEW, evidence)
    counted = [each.seconds for each in found.used]
    interval = median_interval(counted)
    if len(counted) < FEWEST or interval is None:
        return found
    middle = median(counted)
    outcome = _outcome(found, middle, *interval)
    return replace(found, outcome=outcome, seconds=middle, low=interval[0], high=interval[1])


def _outcome(found: Finding, middle: float, low: float, high: float) -> Outcome:
    if sum(each.why in FORGOTTEN for each in found.apart) >= len(found.used):
        return Outcome.MOST_FORGOTTEN
    if low <= found.present <= high or round(middle) == found.present:
        return Outcome.AS_IT_IS
    return Outcome.OFFERED if middle >= 0 else Outcome.BELOW_NOTHING


def _sort_out(figure: Figure, batches: Sequence[Measured], pace: Pace) -> tuple[Each, ...]:
    """Each batch, with why it is not counted. How long one should take follows what is found, until none moves from
    one side to the other any more."""
    each = [Each(batch, seconds_each(batch, figure, pace), _plainly_apart(batch, pace)) for batch in batches]
    rest = [one for one in each if one.why is None]
    why = _far_off(rest, _present(figure, pace))
    for _ in range(MOST_PASSES if rest else 0):
        found = median(one.seconds for one in rest if one.batch.key not in why)
        before, why = why, _far_off(rest, max(found, 0.0))
        if why == before:
            break
    return tuple(replace(one, why=one.why or why.get(one.batch.key)) for one in each)


def _plainly_apart(batch: Measured, pace: Pace) -> Apart | None:
    flow = batch.balloons * batch.filling.litres / pace.l_per_s(batch.filling.gas)
    if batch.over_closing:
        return Apart.CLOSED
    if batch.seconds < flow / max(batch.points, 1):
        return Apart.GAS
    work = batch.balloons * seconds_per_balloon(batch.filling, pace)
    return Apart.SMALL if work < pace.prepare_minutes * 60 / 2 else None


def _far_off(rest: Sequence[Each], seconds: float) -> dict[str, Apart]:
    """By their key, those too far from the middle of how many times longer they took than with so many seconds."""
    if not rest:
        return {}
    logs = [math.log(one.batch.seconds / _reckoned(one, seconds)) for one in rest]
    middle, reach = _middle_and_reach(logs)
    return {
        one.batch.key: Apart.SLOW if off > middle else Apart.FAST
        for one, off in zip(rest, logs, strict=True)
        if abs(off - middle) > reach
    }


def _reckoned(each: Each, seconds: float) -> float:
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
