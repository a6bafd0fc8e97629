"""The way in which latest starts were found before a flow was kept: with a flow for every guess. It is slow, and
the quick way must answer as it does.

This module finds how late each batch can start, one after another, so that all of them still fit.

Every set of batches that would be too much for its hours limits the start of each of its members. So the module
guesses starts for many batches at once: each batch is placed as late as possible before its end, and the batches
that it meets there are such a set. One flow then says whether all of the guesses fit. When they do not, its
minimum cut is one more set that limits starts, and fewer batches are guessed the next time.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.planning.flow import (
    HANDS_ONLY,
    Bench,
    BoolArray,
    IntArray,
    Slots,
    Workload,
    fit_due_first,
    slots_of,
)
from tests.planning.old_plan.flow import Flow, largest_flow

SETS_REMEMBERED = 24


def slots_in_use(gas: IntArray, slots: Slots) -> dict[int, BoolArray]:
    """Returns, by gas, the slots in which a batch of that gas may be worked on."""
    in_use = {}
    for one in np.unique(gas):
        of_gas, change = gas == one, np.zeros(len(slots.starts) + 1, np.int64)
        np.add.at(change, slots.first[of_gas], 1)
        np.add.at(change, slots.last[of_gas], -1)
        in_use[int(one)] = np.cumsum(change[:-1]) > 0
    return in_use


def usable_hands(in_use: dict[int, BoolArray], slots: Slots) -> IntArray:
    """Returns how many hands the gases in use can employ at once in each slot."""
    points, any_hand = np.zeros(len(slots.starts), np.int64), np.zeros(len(slots.starts), bool)
    for gas, where in in_use.items():
        if gas == HANDS_ONLY:
            any_hand = where
        else:
            points += where * slots.points[gas]
    return np.where(any_hand, slots.hands, np.minimum(points, slots.hands))


def due_last_first(load: Workload) -> IntArray:
    """Returns the numbers of the batches, those that are due last first; of equal ones, the lower number first."""
    return np.lexsort((np.arange(len(load.ends)), -load.ends))


def latest_starts(bench: Bench, load: Workload, begins: IntArray, order: IntArray) -> tuple[IntArray, Flow]:
    """Returns the latest starts, in seconds, at which a bench that fits still fits, and the flow with these starts.

    The starts are chosen one batch after another in the given order; a batch that is not in it keeps its own start.
    Each is the latest second at which everything fits while the batches chosen before keep their chosen starts and
    all others their own. No guess is ever too early, so when all guesses made at once fit, each of them is
    the latest.
    """
    starts, placed, limiting_sets = begins.copy(), _PlacedBatches.empty(bench, load), list[int]()
    flow, done, batch_count = None, 0, len(order)
    while flow is None or done < len(order):
        tried_starts, tried_placed = starts.copy(), placed.copy()
        for batch in order[done : done + batch_count].tolist():
            tried_starts[batch] = max(tried_placed.guess(batch, tried_starts, limiting_sets), begins[batch])
        flow = largest_flow(bench, load, tried_starts)
        if flow.short:
            limiting_sets, batch_count = [_bits(flow.cut), *limiting_sets], max(batch_count // 2, 1)
        else:
            starts, placed = tried_starts, tried_placed
            limiting_sets, done, batch_count = limiting_sets[:SETS_REMEMBERED], done + batch_count, batch_count * 2
    return starts, flow


def latest_start_allowed(bench: Bench, load: Workload, begins: IntArray, batch: int, chosen: BoolArray) -> int:
    """Returns the latest second at which the batch can start so that the chosen batches are not too much for their
    hours; its present begin when there is no such start.

    It asks how many hand-seconds the other chosen batches leave undone, and how far back from its end the batch
    must start so that the hands and points which only it can use make up for them.
    """
    others = chosen.copy()
    others[batch] = False
    slots = slots_of(bench, begins[others], load.ends[others], int(load.ends[batch]))
    in_use = slots_in_use(load.gas[others], slots)
    without = usable_hands(in_use, slots)
    in_use[int(load.gas[batch])] = np.ones(len(slots.starts), bool)
    with_batch = usable_hands(in_use, slots)
    missing = int(load.work[chosen].sum()) - int((without * slots.lengths).sum())
    if missing <= 0:
        return int(load.ends[batch])
    in_time = slots.starts < load.ends[batch]
    gain, starts, lengths = (
        (with_batch - without)[in_time][::-1],
        slots.starts[in_time][::-1],
        slots.lengths[in_time][::-1],
    )
    total = np.cumsum(gain * lengths)
    place = int(np.searchsorted(total, missing))
    if place == len(total):
        return int(begins[batch])
    left = missing - (int(total[place - 1]) if place else 0)
    return int(starts[place] + lengths[place]) - -(-left // int(gain[place]))


@dataclass(slots=True)
class _BenchPiece:
    """A piece of time in which nothing changes: the hands and points that are free in it, and the batches that are
    placed in it, as a number with one bit for each batch."""

    start: int
    end: int
    hands: int
    points: list[int]
    batches: int = 0


@dataclass(slots=True)
class _PlacedBatches:
    """The batches guessed so far, each placed as late before its end as those placed earlier leave room.

    Sets of batches are numbers with one bit for each batch. of_gas: the batches of each gas. parts: sets of batches
    such that no two of them compete for the same hours.
    """

    bench: Bench
    load: Workload
    of_gas: dict[int, int]
    pieces: list[_BenchPiece]
    parts: list[int]

    @classmethod
    def empty(cls, bench: Bench, load: Workload) -> "_PlacedBatches":
        """Returns the bench with no batch placed yet."""
        columns = (bench.starts, bench.ends, bench.hands, bench.points.T)
        pieces = [
            _BenchPiece(start=start, end=end, hands=hands, points=points)
            for start, end, hands, points in zip(*(part.tolist() for part in columns), strict=True)
        ]
        return cls(bench, load, {int(gas): _bits(load.gas == gas) for gas in np.unique(load.gas)}, pieces, [])

    def copy(self) -> "_PlacedBatches":
        """Returns a copy, on which guesses can be tried."""
        pieces = [_BenchPiece(one.start, one.end, one.hands, [*one.points], one.batches) for one in self.pieces]
        return _PlacedBatches(self.bench, self.load, self.of_gas, pieces, [*self.parts])

    def guess(self, batch: int, starts: IntArray, limiting_sets: Sequence[int]) -> int:
        """Places the batch, and returns the latest start that it alone, the batches near it and the limiting sets
        allow."""
        alone = 1 << batch
        near = self._with_their_parts(alone | self._place(batch))
        sets = {alone, near, *(one for one in limiting_sets if one & alone)}
        start, tightest = min((self._allowed(batch, starts, one), one) for one in sets)
        while near != alone and start > starts[batch] and (cut := self._cut(near, batch, starts, start)) & alone:
            start, tightest = self._allowed(batch, starts, cut), cut
        joined = self._with_their_parts(tightest)
        self.parts = [joined, *(part for part in self.parts if not part & joined)]
        return start

    def _cut(self, near: int, batch: int, starts: IntArray, start: int) -> int:
        """Returns which of the near batches are too much for their hours when the batch starts at this second; 0
        when all of them fit."""
        chosen, begins = np.flatnonzero(_mask(near, len(starts))), starts.copy()
        begins[batch] = start
        load = self.load.only(chosen)
        if fit_due_first(self.bench, load, begins[chosen]):
            return 0
        cut = np.zeros(len(starts), bool)
        cut[chosen[largest_flow(self.bench, load, begins[chosen]).cut]] = True
        return _bits(cut)

    def _with_their_parts(self, some: int) -> int:
        """Returns these batches together with all batches of every part that has one of them."""
        joined = some
        for part in self.parts:
            if part & some:
                joined |= part
        return joined

    def _allowed(self, batch: int, starts: IntArray, chosen: int) -> int:
        """Returns the latest start of the batch with which the chosen batches, given as bits, are not too much
        for their hours."""
        return latest_start_allowed(self.bench, self.load, starts, batch, _mask(chosen, len(starts)))

    def _place(self, batch: int) -> int:
        """Places the batch as late as it can be before its end, and returns the batches that it competes with
        there."""
        gas, left = int(self.load.gas[batch]), int(self.load.work[batch])
        place, met = self._split(int(self.load.ends[batch])), 0
        while left > 0 and place:
            place -= 1
            piece = self.pieces[place]
            points = piece.hands + 1 if gas == HANDS_ONLY else piece.points[gas]
            free = min(piece.hands, points)
            met |= piece.batches & (self.of_gas[gas] if points == free else -1)
            if free * (piece.end - piece.start) > left:
                place = self._split(piece.end + -left // free)
                piece = self.pieces[place]
            if free:
                self._take(piece, batch, gas, free)
                left -= free * (piece.end - piece.start)
        return met

    def _split(self, moment: int) -> int:
        """Cuts the piece in which this second lies in two, if need be, and returns how many pieces end by it."""
        place = bisect_left(self.pieces, moment, key=lambda piece: piece.start)
        if place and self.pieces[place - 1].end > moment:
            whole = self.pieces[place - 1]
            self.pieces.insert(place, _BenchPiece(moment, whole.end, whole.hands, [*whole.points], whole.batches))
            whole.end = moment
        return place

    def _take(self, piece: _BenchPiece, batch: int, gas: int, hands: int) -> None:
        """Gives the batch this many hands, and points of its gas, in a piece."""
        piece.hands -= hands
        piece.batches |= 1 << batch
        if gas != HANDS_ONLY:
            piece.points[gas] -= hands


def _bits(mask: BoolArray) -> int:
    """Returns a set of batches as a number with one bit for each batch."""
    return int.from_bytes(np.packbits(mask, bitorder="little").tobytes(), "little")


def _mask(bits: int, count: int) -> BoolArray:
    """Returns a set of batches, given as bits, as a mask over all `count` batches."""
    octets = np.frombuffer(bits.to_bytes(-(-count // 8), "little"), np.uint8)
    return np.unpackbits(octets, count=count, bitorder="little").astype(bool)
