"""What is assumed to be done between two taps, so that nobody has to tap all the time and none is warned too soon.

Common practice, no source: whoever fills balloons has no hand free to tap.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from app.planning.schedule import Shift
from app.store.queries.work import WorkRow

ONE_DAY = timedelta(hours=10)
"""A shift that starts this long after a tap is on another day: nothing was done over night."""
LEAST_SECONDS = 60.0


def work_left(row: WorkRow, shifts: Sequence[Shift], now: datetime, started: int = 1, points: int = 1) -> float:
    """Returns the seconds of work that are left of a batch.

    started: how many batches are on the bench, which share the staff. points: how many people can fill it at once.
    However long the last tap is ago, the work of one balloon is left until all are tapped as filled.
    """
    each = row.work_minutes * 60 / row.quantity
    left = each * (row.quantity - row.filled)
    if row.last_tap_at is None:
        return left
    staff = sum(shift.hands * _seconds(shift, row.last_tap_at, now) for shift in shifts)
    gone = min(staff / started, points * _manned_seconds(shifts, row.last_tap_at, now))
    return max(left - gone, min(each, left))


def finishing_left(seconds: float, since: datetime | None, shifts: Sequence[Shift], now: datetime) -> float:
    """Returns the seconds of work that are left of an order's finishing.

    since: when all of it was filled and dry; None while it is not. One person is assumed to work on it; a minute is
    left until it is tapped as ready.
    """
    if since is None:
        return seconds
    return max(seconds - _manned_seconds(shifts, since, now), min(LEAST_SECONDS, seconds))


def _seconds(shift: Shift, since: datetime, now: datetime) -> float:
    """Returns the seconds of the shift in that time, if it starts within a day."""
    if shift.start > since + ONE_DAY:
        return 0.0
    return max((min(shift.end, now) - max(shift.start, since)).total_seconds(), 0.0)


def _manned_seconds(shifts: Sequence[Shift], since: datetime, now: datetime) -> float:
    """Returns the seconds in that time during which at least one person is on shift."""
    total, free_from = timedelta(), since
    for shift in sorted((shift for shift in shifts if shift.hands), key=lambda shift: shift.start):
        stop = min(shift.end, now)
        if shift.start <= since + ONE_DAY and shift.start < stop and free_from < stop:
            total += stop - max(shift.start, free_from)
            free_from = stop
    return total.total_seconds()
