"""This module sums up the pick-ups of a day: the text of their time line."""

from collections import Counter
from collections.abc import Sequence

from app.web.pickup_state import STATE_WORDS, PickupState


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
