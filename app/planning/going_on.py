"""This module says how long a batch that was started counts as being filled when nobody taps it."""

from dataclasses import dataclass
from datetime import datetime, timedelta

IDLE_FACTOR = 2.0
"""A batch counts as being filled for this many times its own work after its last tap. From memory."""


@dataclass(frozen=True, slots=True)
class GoingOn:
    """When a batch is being filled. since: from when the time at the bench counts as work on it. until: from then
    on it is idle, unless somebody taps it."""

    since: datetime
    until: datetime


def going_on(last_progress: datetime | None, last_burst: datetime | None, wait: timedelta) -> GoingOn | None:
    """Returns when a batch is being filled; None if last_progress is None: it was not started, or it was stopped.

    last_progress: the last tap that says that it was started, filled in part, or is still being filled. last_burst:
    the last burst; it shows that somebody is there, but it is no progress. wait: how long a batch that nobody taps
    counts as being filled; above 0.
    """
    if last_progress is None:
        return None
    if last_burst is None or last_burst <= last_progress:
        return GoingOn(last_progress, last_progress + wait)
    was_idle = last_burst >= last_progress + wait
    return GoingOn(last_burst if was_idle else last_progress, last_burst + wait)
