"""The bench as pipes, in whole seconds: how much work flows, what a minimum cut says, how late each can start.

Between two moments at which nothing changes, a slot, hands are shared by all gases and each gas by its points.
Batches are numbers here, in the order of their keys, and so are gases; `HANDS_ONLY` needs no filling point, and is
the last of what is counted by gas.
"""

from bisect import insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Whole = NDArray[np.int64]
Mask = NDArray[np.bool_]

HANDS_ONLY = -1


@dataclass(frozen=True, slots=True)
class Bench:
    """Hands by time, in pieces that do not overlap and have at least one hand; points by gas and piece."""

    starts: Whole
    ends: Whole
    hands: Whole
    points: Whole


@dataclass(frozen=True, slots=True)
class Workload:
    """The batches: gas by its number, seconds of work, and the moment by which each must be done."""

    gas: Whole
    work: Whole
    ends: Whole

    def only(self, chosen: Mask | Whole) -> "Workload":
        return Workload(self.gas[chosen], self.work[chosen], self.ends[chosen])


@dataclass(frozen=True, slots=True)
class Slots:
    """starts, lengths and hands of each, points by gas and slot; first and last tell the slots first:last of each
    batch."""

    starts: Whole
    lengths: Whole
    hands: Whole
    points: Whole
    first: Whole
    last: Whole


@dataclass(frozen=True, slots=True)
class Flow:
    """short: seconds of work that do not fit. cut: the batches on the source's side of a minimum cut, the
    smallest such set; nobody where all fit. edges: seconds along each edge of the graph."""

    load: Workload
    slots: Slots
    short: int
    cut: Mask
    edges: "csr_array"

    def points_bind(self) -> bool:
        """Whether points rather than hands hold the cut up, for most of its capacity."""
        mine = replace(self.slots, first=self.slots.first[self.cut], last=self.slots.last[self.cut])
        rates = _rates(_busy(self.load.gas[self.cut], mine), mine)
        scarce = rates < mine.hands
        by_points, by_all = int((rates * mine.lengths)[scarce].sum()), int((rates * mine.lengths).sum())
        return 2 * by_points > by_all if by_all else bool(scarce.any())

    def amounts(self) -> tuple[Whole, Whole, Whole]:
        """Who works in which slot for how many seconds: batches, slots, seconds."""
        batches, slots = len(self.load.work), len(self.slots.starts)
        entries = self.edges[1 : batches + 1].tocoo()
        out = (entries.data > 0) & (entries.col > batches)
        node = entries.col[out] - 1 - batches
        slot = node % slots if slots else node
        return entries.row[out].astype(np.int64), slot.astype(np.int64), entries.data[out].astype(np.int64)


def slots_of(bench: Bench, begins: Whole, ends: Whole, also: int | None = None) -> Slots:
    """The slots with hands, between all moments at which something changes, and one more moment if told."""
    more = [] if also is None else [also]
    changes = np.unique(np.concatenate((bench.starts, bench.ends, begins, ends, np.array(more, np.int64))))
    piece = np.searchsorted(bench.starts, changes[:-1], side="right") - 1
    inside = (piece >= 0) & (changes[:-1] < bench.ends[piece]) if len(bench.starts) else np.zeros(len(piece), bool)
    starts = changes[:-1][inside]
    first = np.searchsorted(starts, begins)
    last = np.maximum(np.searchsorted(starts, ends), first)
    piece = piece[inside]
    return Slots(starts, np.diff(changes)[inside], bench.hands[piece], bench.points[:, piece], first, last)


def fit_due_first(bench: Bench, load: Workload, begins: Whole) -> bool:
    """Whether all fit when each slot is given to those who are due first. That they do is a proof, that they do not
    is none: only a flow can tell."""
    slots = slots_of(bench, begins, load.ends)
    if load.work[slots.first == slots.last].any():
        return False
    room = (np.vstack((slots.points, slots.hands)) * slots.lengths).T.tolist()
    columns = (slots.first, slots.last, load.gas, load.work)
    coming = sorted(zip(*(column.tolist() for column in columns), strict=True), reverse=True)
    waiting: list[list[int]] = []
    for slot, free in enumerate(room):
        while coming and coming[-1][0] == slot:
            insort(waiting, [*coming.pop()[1:]])
        if _serve(waiting, free):
            waiting = [one for one in waiting if one[2]]
        if waiting and waiting[0][0] <= slot + 1:
            return False
    return not any(work for *_, work in coming)


def _serve(waiting: list[list[int]], free: list[int]) -> bool:
    """Takes off the work that can be done, and tells whether anyone is done. waiting: (last slot, gas, work) in the
    order they are due. free: hand-seconds by gas, and last of all hands."""
    anyone = False
    for one in waiting:
        _, gas, work = one
        hands = free[HANDS_ONLY]
        given = free[gas] if free[gas] < hands else hands
        if given >= work:
            given, anyone = work, True
        one[2] = work - given
        free[gas] -= given
        if gas != HANDS_ONLY:
            free[HANDS_ONLY] -= given
        if given == hands:
            break
    return anyone


def fill(bench: Bench, load: Workload, begins: Whole) -> Flow:
    """As much of the work as fits, none before it begins."""
    from scipy.sparse.csgraph import maximum_flow  # noqa: PLC0415  a second to load: not for who only starts the app

    slots = slots_of(bench, begins, load.ends)
    graph, sink = _graph(load, slots)
    found = maximum_flow(graph, 0, sink)
    short = int(load.work.sum()) - int(found.flow_value)
    nobody = np.zeros(len(load.work), bool)
    cut = _source_side(graph - found.flow)[1 : len(load.work) + 1] if short else nobody
    return Flow(load, slots, short, cut, found.flow)


def _pairs(slots: Slots) -> tuple[Whole, Whole]:
    """Each batch with each of its slots."""
    count = slots.last - slots.first
    batch = np.repeat(np.arange(len(count)), count)
    place = np.arange(len(batch)) - np.repeat(np.cumsum(count) - count, count)
    return batch, place + slots.first[batch]


def _graph(load: Workload, slots: Slots) -> "tuple[csr_array, int]":
    """Nodes: the source, the batches, each gas in each slot, the slots, the sink. Edges are listed by the node that
    they leave, and so need no sorting."""
    from scipy.sparse import csr_array  # noqa: PLC0415  as above

    batches, gases, many = len(load.work), *slots.points.shape
    batch, slot = _pairs(slots)
    first_gas, first_slot = 1 + batches, 1 + batches + gases * many
    sink = first_slot + many
    gas = load.gas[batch]
    rates = np.vstack((slots.points, slots.hands))  # the last row is that of HANDS_ONLY
    into = first_gas + np.where(gas == HANDS_ONLY, gases, gas) * many + slot
    leaving = np.concatenate(([batches], slots.last - slots.first, np.ones((gases + 1) * many, int), [0]))
    heads = (1 + np.arange(batches), into, first_slot + np.tile(np.arange(many), gases), np.full(many, sink))
    seconds = rates * slots.lengths
    widths = (load.work, np.minimum(load.work[batch], seconds[gas, slot]), seconds.ravel())
    # Wider than all the work is as good as open, and counts in 32 bits.
    data = np.minimum(np.concatenate(widths), load.work.sum()).astype(np.int32)
    starts = np.concatenate(([0], np.cumsum(leaving))).astype(np.int32)
    indices = np.concatenate(heads).astype(np.int32)
    return csr_array((data, indices, starts), shape=(sink + 1, sink + 1)), sink


def _source_side(residual: "csr_array") -> Mask:
    from scipy.sparse.csgraph import breadth_first_order  # noqa: PLC0415  as above

    residual.eliminate_zeros()
    reached = np.zeros(residual.shape[0], bool)
    reached[breadth_first_order(residual, 0, return_predecessors=False)] = True
    return reached


def latest_allowed(bench: Bench, load: Workload, begins: Whole, batch: int, chosen: Mask) -> int:
    """The latest start of the batch with which the chosen batches are not too much for their hours; as it begins
    where there is none."""
    others = chosen.copy()
    others[batch] = False
    slots = slots_of(bench, begins[others], load.ends[others], int(load.ends[batch]))
    busy = _busy(load.gas[others], slots)
    before = _rates(busy, slots)
    busy[int(load.gas[batch])] = np.ones(len(slots.starts), bool)
    after = _rates(busy, slots)
    lacking = int(load.work[chosen].sum()) - int((before * slots.lengths).sum())
    if lacking <= 0:
        return int(load.ends[batch])
    mine = slots.starts < load.ends[batch]
    gain, starts, lengths = (after - before)[mine][::-1], slots.starts[mine][::-1], slots.lengths[mine][::-1]
    total = np.cumsum(gain * lengths)
    place = int(np.searchsorted(total, lacking))
    if place == len(total):
        return int(begins[batch])
    left = lacking - (int(total[place - 1]) if place else 0)
    return int(starts[place] + lengths[place]) - -(-left // int(gain[place]))


def worked_back(bench: Bench, end: int, work: int) -> int:
    """When all hands must begin to have worked so many hand-seconds by the end; the end where there are too few."""
    left = work
    for start, stop, hands in zip(bench.starts[::-1], bench.ends[::-1], bench.hands[::-1], strict=True):
        last = min(int(stop), end)
        if hands * (last - start) >= left:
            return last - -(-left // int(hands))
        left -= max(int(hands * (last - start)), 0)
    return end


def _busy(gas: Whole, slots: Slots) -> dict[int, Mask]:
    """By gas, the slots in which a batch of it may be worked on."""
    busy = {}
    for one in np.unique(gas):
        mine, change = gas == one, np.zeros(len(slots.starts) + 1, np.int64)
        np.add.at(change, slots.first[mine], 1)
        np.add.at(change, slots.last[mine], -1)
        busy[int(one)] = np.cumsum(change[:-1]) > 0
    return busy


def _rates(busy: Mapping[int, Mask], slots: Slots) -> Whole:
    """Hands that the busy gases can use at once in each slot."""
    points, staff_only = np.zeros(len(slots.starts), np.int64), np.zeros(len(slots.starts), bool)
    for gas, where in busy.items():
        if gas == HANDS_ONLY:
            staff_only = where
        else:
            points += where * slots.points[gas]
    return np.where(staff_only, slots.hands, np.minimum(points, slots.hands))


def apart(slots: Slots) -> Sequence[Whole]:
    """The batches in groups that share no open slot, so that each group can be solved on its own."""
    groups: list[list[int]] = []
    reaches = -1
    for batch in np.argsort(slots.first, kind="stable"):
        if not groups or slots.first[batch] >= reaches:
            groups.append([])
        groups[-1].append(int(batch))
        reaches = max(reaches, int(slots.last[batch]))
    return [np.array(sorted(group)) for group in groups]
