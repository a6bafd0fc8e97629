"""This module turns the flow of a bench into blocks: which batch is worked on when, with how many hands."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby, pairwise
from typing import NamedTuple

from app.planning.arrays import IntArray, np
from app.planning.flow import HANDS_ONLY, Flow, Slots, Workload
from app.planning.moments import moment_of


class Block(NamedTuple):
    """Work on one batch from start to end, with the same number of hands all the time."""

    key: str
    start: datetime
    end: datetime
    hands: int


def blocks_of(flow: Flow, load: Workload, keys: Sequence[str]) -> Iterator[Block]:
    """Yields the flow as blocks; keys are those of the batches, in the order of their numbers.

    A batch that goes on in the next slot with the same number of hands is one block.
    """
    batches, slots, amounts = flow.seconds_by_slot()
    order = np.lexsort((batches, load.ends[batches], _hands_only_last(load.gas[batches]), slots))
    pieces: dict[int, list[tuple[int, int, int]]] = {}
    rows = zip(slots[order], batches[order], amounts[order], strict=True)
    for slot, in_slot in groupby(rows, key=lambda row: int(row[0])):
        used = 0
        for _, batch, seconds in in_slot:
            for piece in _wrapped(flow.slots, slot, used, int(seconds)):
                _append(pieces.setdefault(int(batch), []), piece)
            used += int(seconds)
    for batch, stretches in pieces.items():
        for start, end, hands in stretches:
            yield Block(keys[batch], moment_of(start), moment_of(end), hands)


def _hands_only_last(gas: IntArray) -> IntArray:
    """Returns the numbers of the gases as a sort key in which work without a filling point comes last."""
    return np.where(gas == HANDS_ONLY, gas.max(initial=0) + 1, gas)


def _wrapped(slots: Slots, slot: int, used: int, seconds: int) -> Iterator[tuple[int, int, int]]:
    """Yields the work on one batch in a slot as (start, end, hands).

    Imagine the hours of the slot's hands put end to end: the first `used` hand-seconds are taken by other batches,
    and this work takes the next ones. What passes the end of the slot goes on at its start with the next hand.
    """
    start, length = int(slots.starts[slot]), int(slots.lengths[slot])
    full_length_hands, rest = divmod(seconds, length)
    offset = used % length
    changes = sorted({0, length, offset, (offset + rest) % length})
    for begin, end in pairwise(changes):
        one_more = (begin - offset) % length < rest
        if hands := full_length_hands + one_more:
            yield start + begin, start + end, hands


def _append(stretches: list[tuple[int, int, int]], piece: tuple[int, int, int]) -> None:
    """Adds a piece to the stretches, or lengthens the last one if the piece follows it with as many hands."""
    if stretches and stretches[-1][1:] == (piece[0], piece[2]):
        stretches[-1] = (stretches[-1][0], piece[1], piece[2])
    else:
        stretches.append(piece)
