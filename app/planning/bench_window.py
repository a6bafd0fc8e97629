"""This module finds when work at the bench must start, within opening hours: for one batch, and for one person who
makes a whole order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.planning.moments import EPOCH
from app.planning.shoptime import minute_down
from app.planning.workplace import Workplace


def latest_fill_start(
    ready_by: datetime, workplace: Workplace, finishing: timedelta, drying: timedelta, work: timedelta
) -> datetime | None:
    """Returns the latest start of a fill with which drying and finishing are done by ready_by.

    Filling and finishing happen while the workplace is open. Drying needs nobody and goes on while it is closed.
    Returns None when the workplace is not open for long enough.
    """
    finish_start = workplace.latest_start(ready_by, finishing)
    if finish_start is None:
        return None
    start = workplace.latest_start(finish_start - drying, work)
    return minute_down(start) if start else None


@dataclass(frozen=True, slots=True)
class BenchWindow:
    """When a batch may be filled at the bench: its earliest start falls in working hours.

    earliest: None when it may start at any hour.
    """

    earliest: datetime | None
    inflate_by: datetime
    ready_by: datetime

    @property
    def is_empty(self) -> bool:
        """Whether no start is right: the earliest one lies after the latest."""
        return self.earliest is not None and self.earliest > self.inflate_by

    @property
    def starts_from(self) -> datetime:
        """From when the batch may be started; EPOCH if it may start at any hour. In an empty window no start is
        right, so it is started as late as possible: in the minute of its latest start."""
        if self.is_empty:
            return minute_down(self.inflate_by)
        return self.earliest or EPOCH

    def is_early(self, now: datetime) -> bool:
        """Returns whether a start now would be too early."""
        return now < self.starts_from

    def while_closed_until(self, opens_at: datetime) -> "BenchWindow":
        """Returns the window while nobody can work until a moment: no start before it is right, unless the latest
        one is. Where that is so, the window stays as it is."""
        if self.is_empty or opens_at > self.inflate_by:
            return self
        return replace(self, earliest=max(self.earliest or opens_at, opens_at))


def bench_window(
    not_before: datetime | None, inflate_by: datetime, ready_by: datetime, workplace: Workplace
) -> BenchWindow:
    """Returns the window for the bench: an earliest start while nobody can work moves to the next opening.

    If the next opening lies after inflate_by, the earliest start becomes inflate_by.
    """
    if not_before is not None and not_before <= inflate_by:
        not_before = min(workplace.first_open(not_before), inflate_by)
    return BenchWindow(not_before, inflate_by, ready_by)


BatchTimes = Sequence[tuple[timedelta, timedelta]]
"""The batches of an order, each as (how long one person fills it, how long it dries)."""


def latest_start_for_one_person(
    ready_by: datetime, workplace: Workplace, finishing: timedelta, works: BatchTimes
) -> datetime | None:
    """Returns the latest moment at which one person must start the first of these batches to be ready by ready_by.

    The person fills one batch after another, those that dry longest first, and then does the finishing. Returns
    None when the workplace is not open for long enough.
    """
    finish_start = workplace.latest_start(ready_by, finishing)
    if finish_start is None:
        return None
    start: datetime | None = finish_start
    for work, drying in sorted(works, key=lambda pair: pair[1]):
        if start is None:
            return None
        start = workplace.latest_start(min(start, finish_start - drying), work)
    return minute_down(start) if start else None


def ready_time_for_one_person(
    now: datetime, workplace: Workplace, finishing: timedelta, works: BatchTimes
) -> datetime | None:
    """Returns when one person who begins now is done: with all batches filled and dried, and the finishing.

    The person fills those that dry longest first. Returns None when the workplace is not open for long enough.
    """
    last_filled = all_dry = now
    for work, drying in sorted(works, key=lambda pair: pair[1], reverse=True):
        filled = workplace.first_end(last_filled, work)
        if filled is None:
            return None
        last_filled, all_dry = filled, max(all_dry, filled + drying)
    return workplace.first_end(all_dry, finishing)
