"""This module says how much of the staff's time on a day is planned, and how much is free."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Protocol

from app.planning.schedule import Absence, Shift


class PlannedBlock(Protocol):
    """Planned work by some staff between two moments."""

    @property
    def start(self) -> datetime: ...
    @property
    def end(self) -> datetime: ...
    @property
    def staff(self) -> int: ...


@dataclass(frozen=True, slots=True)
class DayLoad:
    """The minutes of work of a day: what its staff can do, what is planned, and what is free. An hour with more
    work than staff takes nothing from the free time of another."""

    available: int = 0
    planned: int = 0
    free: int = 0

    @property
    def share(self) -> float:
        """The part of the staff's time that is planned, at least 0; 1 where there is work and no staff."""
        if not self.available:
            return 1.0 if self.planned else 0.0
        return self.planned / self.available


def load_between(
    blocks: Sequence[PlannedBlock],
    shifts: Sequence[Shift],
    absences: Sequence[Absence],
    start: datetime,
    end: datetime,
) -> DayLoad:
    """Returns the load between two moments."""
    mine = [one for one in blocks if one.start < end and start < one.end]
    on_shift = [one for one in shifts if one.start < end and start < one.end]
    away = [one for one in absences if one.start < end and start < one.end]
    every: tuple[PlannedBlock | Shift | Absence, ...] = (*mine, *on_shift, *away)
    inside = {at for one in every for at in (one.start, one.end) if start < at < end}
    available = planned = free = timedelta()
    for begin, stop in pairwise(sorted({start, end, *inside})):
        hands = sum(one.hands for one in on_shift if one.start <= begin < one.end)
        gone = sum(one.hands for one in away if one.start <= begin < one.end)
        staff = max(hands - gone, 0)
        busy = sum(one.staff for one in mine if one.start <= begin < one.end)
        available += staff * (stop - begin)
        planned += busy * (stop - begin)
        free += max(staff - busy, 0) * (stop - begin)
    over = planned + free - available
    whole, left = _minutes(available), _minutes(free)
    return DayLoad(whole, whole - left + _minutes(over), left)


def _minutes(length: timedelta) -> int:
    return int(length.total_seconds() // 60)
