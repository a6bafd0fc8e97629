"""This module says in which state an order is: the answer to “is it ready?”, in the same words on every page."""

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from app.quoting.states import OrderState, Progress


class StateRow(Protocol):
    """A row with how far an order is. wanted, filled: its balloons. parts: how many parts leave, 1 or 2;
    parts_ready and parts_gone: how many of them are ready, and how many were handed over."""

    @property
    def state(self) -> OrderState: ...
    @property
    def not_made_at(self) -> datetime | None: ...
    @property
    def wanted(self) -> int: ...
    @property
    def filled(self) -> int: ...
    @property
    def started(self) -> bool: ...
    @property
    def parts(self) -> int: ...
    @property
    def parts_ready(self) -> int: ...
    @property
    def parts_gone(self) -> int: ...


@dataclass(frozen=True, slots=True)
class ShownState:
    """The state of an order and how it is said."""

    progress: Progress
    words: str


def state_of_order(row: StateRow) -> ShownState:
    """Returns the state of an order: “Not started”, “In progress 12/30”, “All filled, not ready yet”, “Ready”,
    “Handed over”, “Cancelled” or “Not made”; while only one part of two has left, “Part handed over, rest in
    progress 12/30”."""
    progress = _progress_of(row)
    words = _words(progress, row)
    if row.state is OrderState.OPEN and row.parts_gone and progress is not Progress.NOT_MADE:
        words = f"Part handed over, rest {words[0].lower()}{words[1:]}"
    return ShownState(progress, words)


def _progress_of(row: StateRow) -> Progress:
    if row.state is OrderState.CANCELLED:
        return Progress.CANCELLED
    if row.state is OrderState.HANDED_OVER:
        return Progress.HANDED_OVER
    if row.not_made_at:
        return Progress.NOT_MADE
    if row.parts_ready >= row.parts:
        return Progress.READY
    return Progress.IN_PROGRESS if row.started or row.parts_ready else Progress.NOT_STARTED


def _words(progress: Progress, row: StateRow) -> str:
    if progress is Progress.IN_PROGRESS:
        if row.filled >= row.wanted > 0:
            return "All filled, not ready yet"
        return f"In progress {row.filled}/{row.wanted}"
    return progress.replace("-", " ").capitalize()
