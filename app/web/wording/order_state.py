"""This module says in which state an order is: the answer to “is it ready?”, in the same words on every page."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from app.quoting.request import HandOver
from app.quoting.states import OrderState, Progress
from app.web.formats import Formats

CANNOT_BE_READY = "Can't be ready"
"""Of an order that the plan of the bench cannot have ready in time."""


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


class DueRow(Protocol):
    """An order, or its row, with when it should leave. ready_by, later_at: when the main and the later part must be
    ready. arrives_at: when a delivery was agreed. lasts_until: until when it must float."""

    @property
    def hand_over(self) -> HandOver: ...
    @property
    def ready_by(self) -> datetime: ...
    @property
    def later_at(self) -> datetime | None: ...
    @property
    def arrives_at(self) -> datetime | None: ...
    @property
    def travel_minutes(self) -> int: ...
    @property
    def lasts_until(self) -> datetime | None: ...


@dataclass(frozen=True, slots=True)
class Missed:
    """What did not happen in time: a part of an open order was not finished, or did not leave. due: when it should
    have happened."""

    due: datetime
    hand_over: HandOver
    is_ready: bool
    is_later_part: bool = False

    @property
    def mark(self) -> str:
        """The name for programs: “not-finished”, “not-collected”, “not-delivered” or “not-handed-over”."""
        if not self.is_ready:
            return "not-finished"
        names = {HandOver.COLLECT: "not-collected", HandOver.DELIVER: "not-delivered"}
        return names.get(self.hand_over, "not-handed-over")

    @property
    def words(self) -> str:
        """Returns “Not collected”."""
        return self.mark.replace("-", " ").capitalize()

    def since(self, formats: Formats) -> str:
        """Returns what did not happen and since when: “Not collected since Mon 30 Nov, 17:30”."""
        return f"{self.words} {'since' if self.is_ready else 'by'} {formats.moment(self.due)}"


def missed_of(order: DueRow, progress: StateRow, now: datetime) -> Missed | None:
    """Returns what of an order did not happen in time; None if nothing was missed, or if it is no longer open or
    was not made. A crew fills at the venue after it has left, so only the end of the event counts there."""
    if progress.state is not OrderState.OPEN or progress.not_made_at:
        return None
    is_later = bool(order.later_at and progress.parts_gone)
    due = (order.later_at if is_later else order.ready_by) or order.ready_by
    waits = order.later_at is not None and not is_later and order.later_at > now
    is_ready = progress.parts_ready >= (1 if waits else progress.parts)
    if order.hand_over is HandOver.VENUE:
        due = order.lasts_until or due + timedelta(days=1)
    elif is_ready and order.hand_over is HandOver.DELIVER:
        arrival = due + timedelta(minutes=order.travel_minutes)
        due = arrival if is_later else order.arrives_at or arrival
    return Missed(due, order.hand_over, is_ready, is_later) if due < now else None


def is_event_over(order: DueRow, now: datetime) -> bool:
    """Returns whether the balloons of an order need not float any more."""
    return order.lasts_until is not None and order.lasts_until <= now
