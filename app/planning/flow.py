"""The bench as pipes, in whole seconds: how much work flows, what a minimum cut says, how late each can start.

Between two moments at which nothing changes, a slot, hands are shared by all gases and each gas by its points.
Batches are numbers here, in the order of their keys; `HANDS_ONLY` needs no filling point.
"""

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
SETS_REMEMBERED = 24


@dataclass(frozen=True, slots=True)
class Bench:
    """Hands by time, in pieces that do not overlap and have at least one hand; points by gas and piece."""

    starts: Whole
    ends: Whole
    hands: Whole
    points: Whole


@dataclass(frozen=True, slots=True)
class Load:
    """The batches: gas by its number, seconds of work, and the moment by which each must be done."""

    gas: Whole
    work: Whole
    ends: Whole

    def only(self, chosen: Mask | Whole) -> "Load":
        return Load(self.gas[chosen], self.work[chosen], self.ends[chosen])


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
    smallest such set; nobody where all fit. points_bind: whether points rather than hands hold the cut up, for most
    of its capacity. batch, slot, seconds: who works how much in which slot."""

    slots: Slots
    short: int
    cut: Mask
    points_bind: bool
    batch: Whole
    slot: Whole
    seconds: Whole


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


def fill(bench: Bench, load: Load, begins: Whole) -> Flow:
    """As much of the work as fits, none before it begins."""
    from scipy.sparse.csgraph import maximum_flow  # noqa: PLC0415  a second to load: not for who only starts the app

    slots = slots_of(bench, begins, load.ends)
    batch, slot = _pairs(slots)
    graph, sink = _graph(load, slots, batch, slot)
    found = maximum_flow(graph, 0, sink)
    short = int(load.work.sum()) - int(found.flow_value)
    nobody = np.zeros(len(load.work), bool)
    cut = _source_side(graph - found.flow)[1 : len(load.work) + 1] if short else nobody
    amounts = _amounts(found.flow, len(load.work), len(slots.starts))
    return Flow(slots, short, cut, _points_bind(load, slots, cut), *amounts)


def _points_bind(load: Load, slots: Slots, cut: Mask) -> bool:
    mine = replace(slots, first=slots.first[cut], last=slots.last[cut])
    rates = _rates(_busy(load.gas[cut], mine), mine)
    by_points = int((rates * slots.lengths)[rates < slots.hands].sum())
    return 2 * by_points > int((rates * slots.lengths).sum())


def _pairs(slots: Slots) -> tuple[Whole, Whole]:
    """Each batch with each of its slots."""
    count = slots.last - slots.first
    batch = np.repeat(np.arange(len(count)), count)
    place = np.arange(len(batch)) - np.repeat(np.cumsum(count) - count, count)
    return batch, place + slots.first[batch]


def _graph(load: Load, slots: Slots, batch: Whole, slot: Whole) -> "tuple[csr_array, int]":
    """Nodes: the source, the batches, each gas in each slot, the slots, the sink; edges by tail, then by head."""
    from scipy.sparse import csr_array  # noqa: PLC0415  as above

    batches, gases, many = len(load.work), *slots.points.shape
    first_gas, first_slot = 1 + batches, 1 + batches + gases * many
    sink = first_slot + many
    gas = load.gas[batch]
    widest = np.where(gas == HANDS_ONLY, slots.hands[slot], slots.points[gas, slot]) if gases else slots.hands[slot]
    into = np.where(gas == HANDS_ONLY, first_slot + slot, first_gas + gas * many + slot)
    every_slot = np.arange(many)
    edges = (
        (np.zeros(batches, int), 1 + np.arange(batches), load.work),
        (1 + batch, into, np.minimum(load.work[batch], widest * slots.lengths[slot])),
        (first_gas + np.arange(gases * many), first_slot + np.tile(every_slot, gases),
         (slots.points * slots.lengths).ravel()),
        (first_slot + every_slot, np.full(many, sink), slots.hands * slots.lengths),
    )  # fmt: skip
    tails, heads, widths = (np.concatenate(part) for part in zip(*edges, strict=True))
    widths = np.minimum(
        widths, load.work.sum()
    )  # wider than all the work is as good as open, and counts in 32 bits
    rows = np.concatenate(([0], np.cumsum(np.bincount(tails, minlength=sink + 1))))
    parts = (widths.astype(np.int32), heads.astype(np.int32), rows.astype(np.int32))
    return csr_array(parts, shape=(sink + 1, sink + 1)), sink


def _source_side(residual: "csr_array") -> Mask:
    from scipy.sparse.csgraph import breadth_first_order  # noqa: PLC0415  as above

    residual.eliminate_zeros()
    reached = np.zeros(residual.shape[0], bool)
    reached[breadth_first_order(residual, 0, return_predecessors=False)] = True
    return reached


def _amounts(flow: "csr_array", batches: int, slots: int) -> tuple[Whole, Whole, Whole]:
    """Seconds by batch and slot, from the edges that leave the batches."""
    edges = slice(flow.indptr[1], flow.indptr[batches + 1])
    batch = np.repeat(np.arange(batches), np.diff(flow.indptr[1 : batches + 2]))
    node, seconds = flow.indices[edges].astype(np.int64) - 1 - batches, flow.data[edges].astype(np.int64)
    out = (seconds > 0) & (node >= 0)
    slot = node[out] % slots if slots else node[out]
    return batch[out], slot, seconds[out]


def due_last_first(load: Load) -> Whole:
    return np.lexsort((np.arange(len(load.ends)), -load.ends))


def latest_starts(bench: Bench, load: Load, begins: Whole, order: Whole) -> tuple[Whole, Flow]:
    """The latest starts at which a bench that fits still does, one batch after another in the given order; who is
    not in it keeps its own.

    Each is the largest whole second that all violated sets allow: a minimum cut names a set of batches that is
    too much for its hours, and from the batch's end we step back until the set has gained what it lacks.
    """
    starts, flow = begins.copy(), fill(bench, load, begins)
    known: list[Mask] = []
    for batch in order:
        alone = np.zeros(len(begins), bool)
        alone[batch] = True
        sets = [alone, *(one for one in known if one[batch])]
        starts[batch] = min(_latest_allowed(bench, load, starts, int(batch), chosen) for chosen in sets)
        while (flow := fill(bench, load, starts)).short:
            known = [flow.cut, *known][:SETS_REMEMBERED]
            starts[batch] = _latest_allowed(bench, load, starts, int(batch), flow.cut)
    return starts, flow


def _latest_allowed(bench: Bench, load: Load, begins: Whole, batch: int, chosen: Mask) -> int:
    """The latest start of the batch with which the chosen batches are not too much for their hours."""
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
    points, hands_only = np.zeros(len(slots.starts), np.int64), np.zeros(len(slots.starts), bool)
    for gas, where in busy.items():
        if gas == HANDS_ONLY:
            hands_only = where
        else:
            points += where * slots.points[gas]
    return np.where(hands_only, slots.hands, np.minimum(points, slots.hands))


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
