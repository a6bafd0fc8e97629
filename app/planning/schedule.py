"""This module answers exactly whether the bench can make all batches in time, and plans them as late as possible.

In all of planning's core, hands means the number of staff at the bench, and a hand-second is the work that one
person does in a second. All batches share the hands, and the batches of one gas share its filling points.

Work may be interrupted, and several hands may work on a batch at once, up to the number of points of its gas.
Between two moments in which nothing changes, the bench is then a pipe, batch → gas → hands, and all batches can be
ready exactly when a flow fills every one of them (Horn, Naval Research Logistics Quarterly 21, 177, 1974, for one
hand a batch; here a batch may take more). The minimum cut (Ford & Fulkerson 1956) names the batches that together
are too much for their hours.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, pairwise

from app.planning.arrays import IntArray, np
from app.planning.blocks import Block, blocks_of
from app.planning.due_first import fill_due_first
from app.planning.flow import HANDS_ONLY, Bench, Workload, fit_due_first, groups_sharing_no_slot, slots_of
from app.planning.kept_flow import KeptFlow
from app.planning.latest import due_last_first, latest_starts
from app.planning.moments import moment_of, seconds_down, seconds_up
from app.planning.slot import FlowJob
from app.planning.staff_hours import StaffHours

MOST_SECONDS = 2**31 - 1


@dataclass(frozen=True, slots=True)
class Batch:
    """Work on one batch between two moments, which have a time zone.

    work_seconds: hand-seconds, 0 or more. gas: the key of its filling points; None when it needs hands only.
    """

    key: str
    gas: str | None
    work_seconds: float
    not_before: datetime
    ready_by: datetime


@dataclass(frozen=True, slots=True)
class Shift:
    """The number of hands from start to end; shifts that overlap add up."""

    start: datetime
    end: datetime
    hands: int


@dataclass(frozen=True, slots=True)
class Absence:
    """The hands, and the filling points by gas, that are missing at the bench from start to end, such as a crew at
    a venue."""

    start: datetime
    end: datetime
    hands: int
    points: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Shortage:
    """Batches that together are too much for their hours, found by a minimum cut.

    keys: the batches. start, end: the hours for which they are too much. short_seconds: the hand-seconds by which
    they are too much. all_seconds: the same for the whole bench. gas: the gas of which there are too few filling
    points; None when there are too few hands.
    """

    short_seconds: int
    all_seconds: int
    keys: tuple[str, ...]
    start: datetime
    end: datetime
    gas: str | None


@dataclass(frozen=True, slots=True)
class Plan:
    """The latest plan of a bench.

    short_seconds: hand-seconds that do not fit; 0 when everything fits. starts: by batch key, the latest start at
    which the whole bench still fits. blocks: when each batch is worked on, in order of time. Starts and blocks are
    empty when not everything fits.
    """

    fits: bool
    short_seconds: int
    starts: Mapping[str, datetime]
    blocks: tuple[Block, ...]

    @property
    def splits(self) -> int:
        """How often work on a batch is resumed after a pause, or goes on with another number of hands."""
        return len(self.blocks) - len({block.key for block in self.blocks})


@dataclass(frozen=True, slots=True)
class Case:
    """A bench and its batches in whole seconds, ready for a flow. Batches are sorted by key, gases by name."""

    batches: tuple[Batch, ...]
    gases: tuple[str, ...]
    bench: Bench
    load: Workload
    begins: IntArray

    @classmethod
    def of(
        cls,
        batches: Sequence[Batch],
        shifts: Sequence[Shift],
        points: Mapping[str, int],
        absences: Sequence[Absence] = (),
    ) -> "Case":
        """Returns the case of these batches on a bench with these shifts, filling points by gas, and absences.

        Raises ValueError for a gas without points, a repeated key, a figure below 0 and a moment without a zone.
        """
        gases = tuple(sorted(points))
        if any(number < 0 for number in (*points.values(), *(shift.hands for shift in shifts))):
            raise ValueError("staff and points cannot be below 0")
        bench = _bench(shifts, [points[gas] for gas in gases], absences, gases)
        return cls((), gases, bench, *_workload_of((), gases)).with_batches(batches)

    def with_batches(self, batches: Sequence[Batch]) -> "Case":
        """Returns the case of these batches on the same bench. Raises ValueError like `of`."""
        by_key = tuple(sorted(batches, key=lambda batch: batch.key))
        _check(by_key, self.gases)
        return Case(by_key, self.gases, self.bench, *_workload_of(by_key, self.gases))

    def groups(self) -> Sequence[IntArray]:
        """Returns the batches in groups that share no time, so that each group can be solved on its own."""
        return groups_sharing_no_slot(slots_of(self.bench, self.begins, self.load.ends))

    def jobs(self) -> dict[str, FlowJob]:
        """Returns the work on the batches by their keys, none of which has a place yet."""
        columns = (column.tolist() for column in (self.load.gas, self.begins, self.load.ends, self.load.work))
        return {
            batch.key: FlowJob(gas=gas, begin=begin, end=end, left=work)
            for batch, gas, begin, end, work in zip(self.batches, *columns, strict=True)
        }

    def keys(self, group: IntArray) -> list[str]:
        """Returns the keys of the batches with these numbers."""
        return [self.batches[place].key for place in group]


def fits_due_first(case: Case) -> bool:
    """Returns whether all batches are ready when those due first are served first. False proves nothing."""
    return fit_due_first(case.bench, case.load, case.begins)


def latest_starts_of(case: Case, keys: Sequence[str]) -> dict[str, datetime]:
    """Returns the latest starts of these batches, chosen in this order while all others keep their not-before. The
    batches of the case must fit."""
    rank = {key: place for place, key in enumerate(keys)}
    starts: dict[str, datetime] = {}
    for group in case.groups():
        in_group = case.keys(group)
        order = sorted(
            (place for place, key in enumerate(in_group) if key in rank), key=lambda one: rank[in_group[one]]
        )
        if not order:
            continue
        latest, _ = latest_starts(case.bench, case.load.only(group), case.begins[group], _whole(order))
        starts |= {in_group[place]: moment_of(latest[place]) for place in order}
    return starts


def starts_one_after_another(case: Case, keys: Sequence[str]) -> dict[str, datetime]:
    """Returns the latest starts of these batches when all hands work on one after another, each done by its
    ready-by.

    The batches are given from the last to the first. A batch for which there is no time starts at its ready-by.
    """
    place = {batch.key: number for number, batch in enumerate(case.batches)}
    hours, ends, works = StaffHours.of(case.bench), case.load.ends.tolist(), case.load.work.tolist()
    starts, free_until = {}, max(ends, default=0)
    for number in (place[key] for key in keys):
        free_until = hours.latest(min(ends[number], free_until), works[number])
        starts[case.batches[number].key] = moment_of(free_until)
    return starts


def make_plan(
    batches: Sequence[Batch], shifts: Sequence[Shift], points: Mapping[str, int], absences: Sequence[Absence] = ()
) -> Plan:
    """Returns the latest plan in which all batches are ready. points: the number of filling points by gas.

    It counts in whole seconds: not-before is rounded up, ready-by down, work up. Starts are found batch by batch,
    those that are due last first, then by key, so they are unique. Between two moments in which nothing changes,
    the work of each gas follows that of the one before, in the order of their names, with work that needs no
    filling point last; the batches of a gas follow in the order in which they are due. Raises ValueError for a gas
    without points, a repeated key, a figure below 0 and a moment without a zone.
    """
    case = Case.of(batches, shifts, points, absences)
    if not fits_due_first(case):
        flow, jobs = KeptFlow.empty(case.bench), case.jobs()
        fill_due_first(flow, jobs)
        if short := flow.short(jobs):
            return Plan(False, short, {}, ())
    starts: dict[str, datetime] = {}
    blocks: list[Block] = []
    for group in case.groups():
        load, keys = case.load.only(group), case.keys(group)
        latest, flow = latest_starts(case.bench, load, case.begins[group], due_last_first(load))
        starts |= {key: moment_of(start) for key, start in zip(keys, latest, strict=True)}
        blocks.extend(blocks_of(flow, keys))
    return Plan(True, 0, starts, tuple(sorted(blocks, key=lambda block: (block.start, block.key))))


def _check(batches: Sequence[Batch], gases: Sequence[str]) -> None:
    """Raises ValueError for a gas without points, work below 0, and a repeated key."""
    for batch in batches:
        if batch.gas is not None and batch.gas not in gases:
            raise ValueError(f"{batch.key}: there is no filling point for {batch.gas}")
        if batch.work_seconds < 0:
            raise ValueError(f"{batch.key}: work cannot be below 0")
    for one, other in pairwise(batches):
        if one.key == other.key:
            raise ValueError(f"{one.key}: two batches have this key")


def _workload_of(batches: Sequence[Batch], gases: Sequence[str]) -> tuple[Workload, IntArray]:
    """Returns the workload of the batches, and the second at which each may begin."""
    number = {gas: place for place, gas in enumerate(gases)}
    gas = [HANDS_ONLY if batch.gas is None else number[batch.gas] for batch in batches]
    begins = [seconds_up(batch.not_before) for batch in batches]
    ends = [seconds_down(batch.ready_by) for batch in batches]
    work = [-int(-batch.work_seconds // 1) for batch in batches]
    if sum(work) > MOST_SECONDS:
        raise ValueError("that is more work than can be counted: over 68 years for one person")
    return Workload(_whole(gas), _whole(work), _whole(ends)), _whole(begins)


def _bench(
    shifts: Sequence[Shift], points: Sequence[int], absences: Sequence[Absence], gases: Sequence[str]
) -> Bench:
    """Returns the bench: in each piece of time, the hands of the shifts and the points, less those that are
    away."""
    spans: list[Shift | Absence] = [*shifts, *absences]
    ends = ((seconds_up(one.start), seconds_down(one.end)) for one in spans)
    moments = sorted({*chain.from_iterable(ends)})
    hands = _summed(moments, [(shift, shift.hands) for shift in shifts])
    hands = np.maximum(hands - _summed(moments, [(crew, crew.hands) for crew in absences]), 0)
    points_left = [
        np.maximum(number - _summed(moments, [(crew, crew.points.get(gas, 0)) for crew in absences]), 0)
        for gas, number in zip(gases, points, strict=True)
    ]
    has_hands = hands > 0
    by_gas = np.array(points_left, dtype=np.int64).reshape(len(gases), len(hands))
    return Bench(
        _whole(moments[:-1])[has_hands], _whole(moments[1:])[has_hands], hands[has_hands], by_gas[:, has_hands]
    )


def _summed(moments: Sequence[int], spans: Sequence[tuple[Shift | Absence, int]]) -> IntArray:
    """Returns the sum of the numbers that hold from each moment to the next."""
    place = {moment: number for number, moment in enumerate(moments)}
    change = np.zeros(len(moments), dtype=np.int64)
    for span, number in spans:
        start, end = seconds_up(span.start), seconds_down(span.end)
        if start < end:
            change[place[start]] += number
            change[place[end]] -= number
    return np.cumsum(change)[:-1]


def _whole(numbers: Sequence[int]) -> IntArray:
    return np.array(numbers, dtype=np.int64)
