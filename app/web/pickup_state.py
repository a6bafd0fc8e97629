"""This module says in which state a hand-over is: a word and a sign, the same on the list and on the time line."""

from datetime import datetime
from enum import StrEnum

from app.quoting.request import HandOver
from app.quoting.states import HandOverStep
from app.store.queries.pickup_rows import PickupRow


class PickupState(StrEnum):
    """The state of a hand-over.

    LATE: it should have left, and is not ready. NOT_COLLECTED, NOT_LEFT: it is ready and should have left. FILLED:
    all is filled, and something is still to do before it is ready. PACKED: the crew has what it needs.
    """

    NOT_STARTED = "not-started"
    IN_PROGRESS = "in-progress"
    FILLED = "filled"
    PACKED = "packed"
    READY = "ready"
    LATE = "late"
    NOT_COLLECTED = "not-collected"
    NOT_LEFT = "not-left"
    GONE = "gone"


STATE_WORDS = {
    PickupState.NOT_STARTED: "Not started",
    PickupState.IN_PROGRESS: "In progress",
    PickupState.FILLED: "Filled",
    PickupState.PACKED: "Packed",
    PickupState.READY: "Ready",
    PickupState.LATE: "Late",
    PickupState.NOT_COLLECTED: "Not collected",
    PickupState.NOT_LEFT: "Should have left",
    PickupState.GONE: "Handed over",
}


def state_of_pickup(row: PickupRow, now: datetime) -> PickupState:
    """Returns the state of a hand-over."""
    if row.is_gone:
        return PickupState.GONE
    is_over = now > row.leaves_at
    if row.has_step(HandOverStep.READY):
        waits = PickupState.NOT_COLLECTED if row.hand_over == HandOver.COLLECT else PickupState.NOT_LEFT
        return waits if is_over and not row.at_venue else PickupState.READY
    if row.has_step(HandOverStep.PACKED):
        return PickupState.PACKED
    if is_over:
        return PickupState.LATE
    if row.all_filled:
        return PickupState.FILLED
    return PickupState.IN_PROGRESS if any(batch.started_at for batch in row.batches) else PickupState.NOT_STARTED


def state_words(row: PickupRow, state: PickupState) -> str:
    """Returns the state in words: “In progress 12/30”, “Ready”."""
    words = STATE_WORDS[state]
    return f"{words} {row.filled}/{row.quantity}" if state is PickupState.IN_PROGRESS else words
