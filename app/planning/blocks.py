"""The flow of a bench laid down as blocks: who is worked on when, with how many hands."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby, pairwise
from typing import NamedTuple

import numpy as np

from app.planning.flow import HANDS_ONLY, Flow, Slots, Whole, Workload
from app.planning.moments import moment_of


class Block(NamedTuple):
    """A stretch of work on one batch with so many hands at once."""

    key: str
    start: datetime
    end: datetime
    hands: int


def lay(flow: Flow, load: Workload, keys: Sequence[str]) -> Iterator[Block]:
    """The flow as blocks; a batch that goes on in the next slot with as many hands is one block."""
    who, where, amount = flow.amounts()
    order = np.lexsort((who, load.ends[who], _laid_as(load.gas[who]), where))
    pieces: dict[int, list[tuple[int, int, int]]] = {}
    rows = zip(where[order], who[order], amount[order], strict=True)
    for slot, in_slot in groupby(rows, key=lambda row: int(row[0])):
        laid = 0
        for _, batch, seconds in in_slot:
            for piece in _wrapped(flow.slots, slot, laid, int(seconds)):
                _join(pieces.setdefault(int(batch), []), piece)
            laid += int(seconds)
    for batch, stretches in pieces.items():
        for start, end, hands in stretches:
            yield Block(keys[batch], moment_of(start), moment_of(end), hands)


def _laid_as(gas: Whole) -> Whole:
    return np.where(gas == HANDS_ONLY, gas.max(initial=0) + 1, gas)


def _wrapped(slots: Slots, slot: int, laid: int, seconds: int) -> Iterator[tuple[int, int, int]]:
    """Work laid from `laid` on along the hands' hours put end to end, as (start, end, hands) in the slot."""
    start, length = int(slots.starts[slot]), int(slots.lengths[slot])
    whole, rest = divmod(seconds, length)
    offset = laid % length
    turns = sorted({0, length, offset, (offset + rest) % length})
    for begin, end in pairwise(turns):
        one_more = (begin - offset) % length < rest
        if hands := whole + one_more:
            yield start + begin, start + end, hands


def _join(stretches: list[tuple[int, int, int]], piece: tuple[int, int, int]) -> None:
    if stretches and stretches[-1][1:] == (piece[0], piece[2]):
        stretches[-1] = (stretches[-1][0], piece[1], piece[2])
    else:
        stretches.append(piece)
