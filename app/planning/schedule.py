"""Can the bench make all of it in time? Exact, for hands shared by all batches and filling points by gas.

Work may be interrupted, and a batch may take several hands at once, up to its gas's points. Between two moments
at which nothing changes the bench is then a pipe, batch → gas → hands, and all can be ready exactly when a flow
fills every batch (Horn, Naval Research Logistics Quarterly 21, 177, 1974, for one hand a batch; here a batch may
take more). The minimum cut (Ford & Fulkerson 1956) names the batches that together are too much for their hours.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, pairwise

import numpy as np

from app.planning.blocks import Block, lay
from app.planning.flow import (
    HANDS_ONLY,
    Bench,
    Flow,
    Whole,
    Workload,
    apart,
    fill,
    fit_due_first,
    slots_of,
    worked_back,
)
from app.planning.latest import due_last_first, latest_starts
from app.planning.moments import moment_of, seconds_down, seconds_up

MOST_SECONDS = 2**31 - 1


@dataclass(frozen=True, slots=True)
class Batch:
    """work_seconds: hand-seconds, not below 0. gas: a filling point's, None needs hands only. Moments are aware."""

    key: str
    gas: str | None
    work_seconds: float
    not_before: datetime
    ready_by: datetime


@dataclass(frozen=True, slots=True)
class Shift:
    """So many hands from start to end; shifts that overlap add up."""

    start: datetime
    end: datetime
    hands: int


@dataclass(frozen=True, slots=True)
class Absence:
    """Hands, and filling points by gas, that are missing at the bench from start to end: a crew at a venue."""

    start: datetime
    end: datetime
    hands: int
    points: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Shortage:
    """What does not fit, by a minimum cut. keys: the batches that together are too much for the hours from start to
    end. short_seconds: hand-seconds that they are too many. all_seconds: the same of the whole bench. gas: whose
    filling points hold them up; None is want of hands."""

    short_seconds: int
    all_seconds: int
    keys: tuple[str, ...]
    start: datetime
    end: datetime
    gas: str | None


@dataclass(frozen=True, slots=True)
class Plan:
    """short_seconds: hand-seconds that do not fit; 0 when it fits. starts: by key, the latest at which the whole
    bench still fits. blocks: who is worked on when, in order of time. Both are empty when it does not fit."""

    fits: bool
    short_seconds: int
    starts: Mapping[str, datetime]
    blocks: tuple[Block, ...]

    @property
    def splits(self) -> int:
        """How often work on a batch is taken up again, or goes on with other hands."""
        return len(self.blocks) - len({block.key for block in self.blocks})


@dataclass(frozen=True, slots=True)
class Case:
    """A bench in whole seconds. groups: its batches as they share no hour, so that each is solved on its own."""

    batches: tuple[Batch, ...]
    gases: tuple[str, ...]
    bench: Bench
    load: Workload
    begins: Whole

    @classmethod
    def of(
        cls,
        batches: Sequence[Batch],
        shifts: Sequence[Shift],
        points: Mapping[str, int],
        away: Sequence[Absence] = (),
    ) -> "Case":
        """Raises ValueError for a gas without points, a repeated key, a figure below 0, a moment without a zone."""
        todo, gases = tuple(sorted(batches, key=lambda batch: batch.key)), tuple(sorted(points))
        _check(todo, shifts, points)
        bench = _bench(shifts, [points[gas] for gas in gases], away, gases)
        return cls(todo, gases, bench, *_load(todo, gases))

    @property
    def groups(self) -> Sequence[Whole]:
        return apart(slots_of(self.bench, self.begins, self.load.ends))

    def flows(self) -> Iterator[tuple[Whole, Flow]]:
        for group in self.groups:
            yield group, fill(self.bench, self.load.only(group), self.begins[group])

    def fits_plainly(self) -> bool:
        """Proved without a flow; where it is not, a flow must tell."""
        return fit_due_first(self.bench, self.load, self.begins)

    def keys(self, group: Whole) -> list[str]:
        return [self.batches[place].key for place in group]


def find_shortage(case: Case) -> Shortage | None:
    """None when all can be ready, mostly without a flow; else the first of the groups that do not fit, with what
    all of them lack."""
    if case.fits_plainly():
        return None
    lacking = fill(case.bench, case.load, case.begins).short
    if not lacking:
        return None
    group, flow = next((group, flow) for group, flow in case.flows() if flow.short)
    return _shortage(case, group, flow, lacking)


def _shortage(case: Case, group: Whole, flow: Flow, lacking: int) -> Shortage:
    chosen = np.flatnonzero(flow.cut)
    first, last = case.begins[group][chosen].min(), case.load.ends[group][chosen].max()
    gas, work = case.load.gas[group][chosen], case.load.work[group][chosen]
    busiest = max(np.unique(gas), key=lambda one: int(work[gas == one].sum()))
    held_up = flow.points_bind() and busiest != HANDS_ONLY
    gas_name = case.gases[busiest] if held_up else None
    keys = tuple(case.keys(group[chosen]))
    return Shortage(flow.short, lacking, keys, moment_of(first), moment_of(last), gas_name)


def latest_of(case: Case, keys: Sequence[str]) -> dict[str, datetime]:
    """The latest starts of these batches, each chosen in turn, while the others keep their not-before; the bench
    must fit."""
    rank = {key: place for place, key in enumerate(keys)}
    starts: dict[str, datetime] = {}
    for group in case.groups:
        mine = case.keys(group)
        order = sorted((place for place, key in enumerate(mine) if key in rank), key=lambda one: rank[mine[one]])
        latest, _ = latest_starts(case.bench, case.load.only(group), case.begins[group], _whole(order))
        starts |= {mine[place]: moment_of(latest[place]) for place in order}
    return starts


def finishing_fits(case: Case, keys: Sequence[str]) -> dict[str, datetime]:
    """Starts of these batches when they are worked on one after another by all hands, the first of them last, each
    done by its ready-by; what has no room begins at its ready-by."""
    place = {batch.key: number for number, batch in enumerate(case.batches)}
    starts, free_until = {}, None
    for key in keys:
        end, work = int(case.load.ends[place[key]]), int(case.load.work[place[key]])
        free_until = worked_back(case.bench, end if free_until is None else min(end, free_until), work)
        starts[key] = moment_of(free_until)
    return starts


def make_plan(
    batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int], away: Sequence[Absence] = ()
) -> Plan:
    """The latest plan in which all are ready. points: filling points by gas.

    Counts in whole seconds: not-before is rounded up, ready-by down, work up. Starts are found batch by batch, by
    ready-by descending, then key; so they are unique. Inside a stretch in which nothing changes, gases are laid
    end to end in the order of their names, hands-only work last, their batches in the order they are due, and
    wrapped over the hands. Raises ValueError for a gas without points, a repeated key, a figure below 0 and a
    moment without a zone.
    """
    case = Case.of(batches, shifts, points, away)
    short = 0 if case.fits_plainly() else sum(flow.short for _, flow in case.flows())
    if short:
        return Plan(False, short, {}, ())
    starts: dict[str, datetime] = {}
    blocks: list[Block] = []
    for group in case.groups:
        load, keys = case.load.only(group), case.keys(group)
        latest, flow = latest_starts(case.bench, load, case.begins[group], due_last_first(load))
        starts |= {key: moment_of(start) for key, start in zip(keys, latest, strict=True)}
        blocks.extend(lay(flow, load, keys))
    return Plan(True, 0, starts, tuple(sorted(blocks, key=lambda block: (block.start, block.key))))


def _check(batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int]) -> None:
    for batch in batches:
        if batch.gas is not None and batch.gas not in points:
            raise ValueError(f"{batch.key}: there is no filling point for {batch.gas}")
        if batch.work_seconds < 0:
            raise ValueError(f"{batch.key}: work cannot be below 0")
    for one, other in pairwise(batches):
        if one.key == other.key:
            raise ValueError(f"{one.key}: two batches have this key")
    if any(number < 0 for number in (*points.values(), *(shift.hands for shift in shifts))):
        raise ValueError("hands and points cannot be below 0")


def _load(batches: Sequence[Batch], gases: Sequence[str]) -> tuple[Workload, Whole]:
    number = {gas: place for place, gas in enumerate(gases)}
    gas = [HANDS_ONLY if batch.gas is None else number[batch.gas] for batch in batches]
    begins = [seconds_up(batch.not_before) for batch in batches]
    ends = [seconds_down(batch.ready_by) for batch in batches]
    work = [-int(-batch.work_seconds // 1) for batch in batches]
    if sum(work) > MOST_SECONDS:
        raise ValueError("that is more work than can be counted: over 68 years of one hand")
    return Workload(_whole(gas), _whole(work), _whole(ends)), _whole(begins)


def _bench(shifts: Sequence[Shift], points: Sequence[int], away: Sequence[Absence], gases: Sequence[str]) -> Bench:
    """Hands summed over the shifts, less who is away, piece by piece; and so the points."""
    stretches: list[Shift | Absence] = [*shifts, *away]
    ends = ((seconds_up(one.start), seconds_down(one.end)) for one in stretches)
    moments = sorted({*chain.from_iterable(ends)})
    hands = _summed(moments, [(shift, shift.hands) for shift in shifts])
    hands = np.maximum(hands - _summed(moments, [(crew, crew.hands) for crew in away]), 0)
    left = [
        np.maximum(number - _summed(moments, [(crew, crew.points.get(gas, 0)) for crew in away]), 0)
        for gas, number in zip(gases, points, strict=True)
    ]
    some = hands > 0
    by_gas = np.array(left, dtype=np.int64).reshape(len(gases), len(hands))
    return Bench(_whole(moments[:-1])[some], _whole(moments[1:])[some], hands[some], by_gas[:, some])


def _summed(moments: Sequence[int], stretches: Sequence[tuple[Shift | Absence, int]]) -> Whole:
    """How many there are from each moment to the next."""
    place = {moment: number for number, moment in enumerate(moments)}
    change = np.zeros(len(moments), dtype=np.int64)
    for stretch, number in stretches:
        start, end = seconds_up(stretch.start), seconds_down(stretch.end)
        if start < end:
            change[place[start]] += number
            change[place[end]] -= number
    return np.cumsum(change)[:-1]


def _whole(numbers: Sequence[int]) -> Whole:
    return np.array(numbers, dtype=np.int64)
