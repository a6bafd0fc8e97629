"""This module solves the bench as a network of pipes, in whole seconds: how much work fits, which batches are too
much together, and how late each one can start.

A slot is the time between two moments in which nothing changes. In a slot all batches share the hands, and the
batches of one gas share its filling points. Batches are numbered here in the order of their keys, and gases in the
order of their names; `HANDS_ONLY` stands for work that needs no filling point, and is the last column wherever
something is counted by gas.
"""

from bisect import insort
from collections.abc import Sequence
from dataclasses import dataclass

from app.planning.arrays import BoolArray, IntArray, np

HANDS_ONLY = -1


@dataclass(frozen=True, slots=True)
class Bench:
    """The hands and filling points that are there, in pieces of time that do not overlap.

    starts, ends: seconds since 1970 of each piece. hands: of each piece, at least 1. points: by gas and piece.
    """

    starts: IntArray
    ends: IntArray
    hands: IntArray
    points: IntArray


@dataclass(frozen=True, slots=True)
class Workload:
    """The batches: the number of each one's gas, its hand-seconds of work, and the second by which it must be
    done."""

    gas: IntArray
    work: IntArray
    ends: IntArray

    def only(self, chosen: BoolArray | IntArray) -> "Workload":
        """Returns the workload of the chosen batches alone, which are then numbered from 0."""
        return Workload(self.gas[chosen], self.work[chosen], self.ends[chosen])


@dataclass(frozen=True, slots=True)
class Slots:
    """The slots of a bench, and which of them each batch can use.

    starts, lengths, hands: of each slot. points: by gas and slot. first, last: each batch can use the slots from
    its first up to, but not including, its last.
    """

    starts: IntArray
    lengths: IntArray
    hands: IntArray
    points: IntArray
    first: IntArray
    last: IntArray


def slots_of(bench: Bench, begins: IntArray, ends: IntArray, extra_moment: int | None = None) -> Slots:
    """Returns the slots in which there are hands, for batches that begin and end at these seconds.

    A slot ends wherever something changes, and at the extra moment if one is given.
    """
    extra = [] if extra_moment is None else [extra_moment]
    changes = np.unique(np.concatenate((bench.starts, bench.ends, begins, ends, np.array(extra, np.int64))))
    piece = np.searchsorted(bench.starts, changes[:-1], side="right") - 1
    inside = (piece >= 0) & (changes[:-1] < bench.ends[piece]) if len(bench.starts) else np.zeros(len(piece), bool)
    starts = changes[:-1][inside]
    first = np.searchsorted(starts, begins)
    last = np.maximum(np.searchsorted(starts, ends), first)
    piece = piece[inside]
    return Slots(starts, np.diff(changes)[inside], bench.hands[piece], bench.points[:, piece], first, last)


def fit_due_first(bench: Bench, load: Workload, begins: IntArray) -> bool:
    """Returns whether all batches fit when each slot is given to those that are due first.

    True proves that they fit. False proves nothing: only a flow can then say whether they fit.
    """
    slots = slots_of(bench, begins, load.ends)
    if load.work[slots.first == slots.last].any():
        return False
    room = (np.vstack((slots.points, slots.hands)) * slots.lengths).T.tolist()
    columns = (slots.first, slots.last, load.gas, load.work)
    not_begun = sorted(zip(*(column.tolist() for column in columns), strict=True), reverse=True)
    waiting: list[list[int]] = []
    for slot, free in enumerate(room):
        while not_begun and not_begun[-1][0] == slot:
            insort(waiting, [*not_begun.pop()[1:]])
        if _serve(waiting, free):
            waiting = [one for one in waiting if one[2]]
        if waiting and waiting[0][0] <= slot + 1:
            return False
    return not any(work for *_, work in not_begun)


def _serve(waiting: list[list[int]], free: list[int]) -> bool:
    """Subtracts from the waiting batches the work that one slot can do, and returns whether any of them is done.

    waiting: [last slot, gas, work left] of each batch, in the order in which they are due. free: the hand-seconds
    of the slot by gas, and as the last one those of all hands.
    """
    any_done = False
    for one in waiting:
        _, gas, work = one
        hands = free[HANDS_ONLY]
        given = free[gas] if free[gas] < hands else hands
        if given >= work:
            given, any_done = work, True
        one[2] = work - given
        free[gas] -= given
        if gas != HANDS_ONLY:
            free[HANDS_ONLY] -= given
        if given == hands:
            break
    return any_done


def groups_sharing_no_slot(slots: Slots) -> Sequence[IntArray]:
    """Returns the batches in groups that share no slot, so that each group can be solved on its own."""
    groups: list[list[int]] = []
    group_end = -1
    for batch in np.argsort(slots.first, kind="stable"):
        if not groups or slots.first[batch] >= group_end:
            groups.append([])
        groups[-1].append(int(batch))
        group_end = max(group_end, int(slots.last[batch]))
    return [np.array(sorted(group)) for group in groups]
