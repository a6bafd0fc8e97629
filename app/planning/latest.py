"""How late each batch can start when all must still fit, chosen one after another.

Every set of batches that would be too much for its hours bounds the start of each of its members. So starts are
guessed for many batches at once, each by those that it meets when they are simply laid back from their ends, and
one flow tells whether all of them hold; where they do not, its minimum cut is one more set, and fewer are guessed.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.planning.flow import HANDS_ONLY, Bench, Flow, Mask, Whole, Workload, fill, fit_due_first, latest_allowed

SETS_REMEMBERED = 24


def due_last_first(load: Workload) -> Whole:
    return np.lexsort((np.arange(len(load.ends)), -load.ends))


def latest_starts(bench: Bench, load: Workload, begins: Whole, order: Whole) -> tuple[Whole, Flow]:
    """The latest starts at which a bench that fits still does, one batch after another in the given order; who is
    not in it keeps its own.

    Each is the largest whole second at which the bench fits, those before it at their starts, the others at their
    own. No guess is too early; so where all of a run fit together, each of them is the latest.
    """
    starts, laid, known = begins.copy(), _PlacedBatches.empty(bench, load), list[int]()
    flow, done, run = None, 0, len(order)
    while flow is None or done < len(order):
        tried, further = starts.copy(), laid.copy()
        for batch in order[done : done + run].tolist():
            tried[batch] = max(further.guess(batch, tried, known), begins[batch])
        flow = fill(bench, load, tried)
        if flow.short:
            known, run = [_bits(flow.cut), *known], max(run // 2, 1)
        else:
            starts, laid, known, done, run = tried, further, known[:SETS_REMEMBERED], done + run, run * 2
    return starts, flow


@dataclass(slots=True)
class _BenchPiece:
    """Time in which nothing changes: what hands and points are free, and as bits, which batches are laid there."""

    start: int
    end: int
    hands: int
    points: list[int]
    batches: int = 0


@dataclass(slots=True)
class _PlacedBatches:
    """The batches guessed so far, each laid back from its end in what those before it leave. of_gas, parts: as
    bits, the batches of each gas, and sets of batches that share no tight hour with others."""

    bench: Bench
    load: Workload
    of_gas: dict[int, int]
    pieces: list[_BenchPiece]
    parts: list[int]

    @classmethod
    def empty(cls, bench: Bench, load: Workload) -> "_PlacedBatches":
        columns = (bench.starts, bench.ends, bench.hands, bench.points.T)
        pieces = [
            _BenchPiece(start=start, end=end, hands=hands, points=points)
            for start, end, hands, points in zip(*(part.tolist() for part in columns), strict=True)
        ]
        return cls(bench, load, {int(gas): _bits(load.gas == gas) for gas in np.unique(load.gas)}, pieces, [])

    def copy(self) -> "_PlacedBatches":
        pieces = [_BenchPiece(one.start, one.end, one.hands, [*one.points], one.batches) for one in self.pieces]
        return _PlacedBatches(self.bench, self.load, self.of_gas, pieces, [*self.parts])

    def guess(self, batch: int, starts: Whole, known: Sequence[int]) -> int:
        """The latest start that the batch alone, those near it and the known sets allow."""
        alone = 1 << batch
        near = self._joined(alone | self._write(batch))
        sets = {alone, near, *(one for one in known if one & alone)}
        start, tight = min((self._allowed(batch, starts, one), one) for one in sets)
        while near != alone and start > starts[batch] and (cut := self._cut(near, batch, starts, start)) & alone:
            start, tight = self._allowed(batch, starts, cut), cut
        joined = self._joined(tight)
        self.parts = [joined, *(part for part in self.parts if not part & joined)]
        return start

    def _cut(self, near: int, batch: int, starts: Whole, start: int) -> int:
        """Which of those near are too much for their hours when the batch begins at the start; 0 where all fit."""
        chosen, begins = np.flatnonzero(_mask(near, len(starts))), starts.copy()
        begins[batch] = start
        load = self.load.only(chosen)
        if fit_due_first(self.bench, load, begins[chosen]):
            return 0
        cut = np.zeros(len(starts), bool)
        cut[chosen[fill(self.bench, load, begins[chosen]).cut]] = True
        return _bits(cut)

    def _joined(self, some: int) -> int:
        joined = some
        for part in self.parts:
            if part & some:
                joined |= part
        return joined

    def _allowed(self, batch: int, starts: Whole, chosen: int) -> int:
        return latest_allowed(self.bench, self.load, starts, batch, _mask(chosen, len(starts)))

    def _write(self, batch: int) -> int:
        """Lays the batch and tells whom it meets."""
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
        """How many pieces end by the moment, which is made to lie between two of them."""
        place = bisect_left(self.pieces, moment, key=lambda piece: piece.start)
        if place and self.pieces[place - 1].end > moment:
            whole = self.pieces[place - 1]
            self.pieces.insert(place, _BenchPiece(moment, whole.end, whole.hands, [*whole.points], whole.batches))
            whole.end = moment
        return place

    def _take(self, piece: _BenchPiece, batch: int, gas: int, hands: int) -> None:
        piece.hands -= hands
        piece.batches |= 1 << batch
        if gas != HANDS_ONLY:
            piece.points[gas] -= hands


def _bits(mask: Mask) -> int:
    return int.from_bytes(np.packbits(mask, bitorder="little").tobytes(), "little")


def _mask(bits: int, count: int) -> Mask:
    octets = np.frombuffer(bits.to_bytes(-(-count // 8), "little"), np.uint8)
    return np.unpackbits(octets, count=count, bitorder="little").astype(bool)
