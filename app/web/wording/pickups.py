"""This module sums up the pick-ups of a day, and what is still to do for one of them."""

from collections import Counter
from collections.abc import Collection, Sequence

from app.quoting.states import HandOverStep
from app.store.queries.pickup_rows import PickupRow
from app.web.pickup_state import STATE_WORDS, PickupState

STEPS_TO_DO = {
    HandOverStep.DRY: "let the treated balloons dry",
    HandOverStep.ASSEMBLED: "assemble",
    HandOverStep.WEIGHTED: "tie the weights on",
    HandOverStep.BAGGED: "bag",
    HandOverStep.CAUTIONED: "give the caution",
}
"""Steps as what is to be done. A step that only says that all before it is done is not among them."""


def day_summary(states: Sequence[PickupState], from_earlier: int) -> str:
    """Returns how many pick-ups there are and in which states: “7 pick-ups, 1 of them from earlier days: 2 not
    started, 3 ready, 2 handed over”."""
    parts = ", ".join(words for _, words in state_counts(states))
    number = f"{len(states)} {'pick-up' if len(states) == 1 else 'pick-ups'}"
    earlier = f", {from_earlier} of them from earlier days" if from_earlier else ""
    return f"{number}{earlier}: {parts}"


def state_counts(states: Sequence[PickupState]) -> list[tuple[PickupState, str]]:
    """Returns each state in which pick-ups are, with how many: “2 not started”."""
    counts = Counter(states)
    return [(one, f"{counts[one]} {STATE_WORDS[one].lower()}") for one in PickupState if counts[one]]


def to_do_words(row: PickupRow, steps: Collection[str], unpaid: str) -> str:
    """Returns what is still to do: “Fill 12 more balloons, take the payment of £60.00”. steps: those that can be
    ticked and are not. unpaid: what is to pay, empty if nothing is."""
    owed = unpaid and not row.has_step(HandOverStep.ON_ACCOUNT)
    parts = [
        *(["pack"] if HandOverStep.PACKED in steps else []),
        *([] if row.all_filled else [_fill_words(row)]),
        *(words for step, words in STEPS_TO_DO.items() if step in steps),
        *([f"take the payment of {unpaid}"] if owed else []),
    ]
    words = ", ".join(parts) or ("hand over" if HandOverStep.READY not in steps else "check it and tick “Ready”")
    return f"{words[0].upper()}{words[1:]}"


def _fill_words(row: PickupRow) -> str:
    left = row.quantity - row.filled
    if not left:
        return "finish filling"
    return f"fill {left} {'more ' if row.filled else ''}{'balloon' if left == 1 else 'balloons'}"
