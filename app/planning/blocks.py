"""This module turns the flow of a bench into blocks: which batch is worked on when, with how many hands."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import pairwise
from typing import NamedTuple

from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import KeptFlow
from app.planning.moments import moment_of
from app.planning.slot import FlowJob, Name, Slot


class Block(NamedTuple):
    """Work on one batch from start to end, with the same number of hands all the time."""

    key: str
    start: datetime
    end: datetime
    hands: int


def blocks_of(flow: KeptFlow, keys: Sequence[str]) -> Iterator[Block]:
    """Yields the flow as blocks; keys are those of the batches, in the order of their numbers.

    A batch that goes on in the next slot with the same number of hands is one block.
    """
    pieces: dict[Name, list[tuple[int, int, int]]] = {batch: [] for batch in range(len(keys))}
    for slot in flow.slots:
        used = 0
        for batch in sorted(slot.users, key=lambda one: _rank(flow.jobs[one], one)):
            for piece in _wrapped(slot, used, slot.users[batch]):
                _append(pieces[batch], piece)
            used += slot.users[batch]
    for key, stretches in zip(keys, pieces.values(), strict=True):
        for start, end, hands in stretches:
            yield Block(key, moment_of(start), moment_of(end), hands)


def _rank(job: FlowJob, batch: Name) -> tuple[bool, int, int, Name]:
    """Returns a sort key of the batches in a slot, in which work without a filling point comes last."""
    return job.gas == HANDS_ONLY, job.gas, job.end, batch


def _wrapped(slot: Slot, used: int, seconds: int) -> Iterator[tuple[int, int, int]]:
    """Yields the work on one batch in a slot as (start, end, hands).

    Imagine the hours of the slot's hands put end to end: the first `used` hand-seconds are taken by other batches,
    and this work takes the next ones. What passes the end of the slot goes on at its start with the next hand.
    """
    length = slot.end - slot.start
    full_length_hands, rest = divmod(seconds, length)
    offset = used % length
    changes = sorted({0, length, offset, (offset + rest) % length})
    for begin, end in pairwise(changes):
        one_more = (begin - offset) % length < rest
        if hands := full_length_hands + one_more:
            yield slot.start + begin, slot.start + end, hands


def _append(stretches: list[tuple[int, int, int]], piece: tuple[int, int, int]) -> None:
    """Adds a piece to the stretches, or lengthens the last one if the piece follows it with as many hands."""
    if stretches and stretches[-1][1:] == (piece[0], piece[2]):
        stretches[-1] = (stretches[-1][0], piece[1], piece[2])
    else:
        stretches.append(piece)
