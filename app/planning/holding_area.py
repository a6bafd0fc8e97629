"""This module calculates how full the holding area is, where filled balloons wait until they leave.

Room is counted in 11-inch balloons; other sizes count by the square of their diameter: common practice, no source.
A batch takes the room of all its balloons from the moment its filling begins, because its place is kept free for
it.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import accumulate, groupby, pairwise

REFERENCE_DIAMETER_IN = 11.0
HOUR = timedelta(hours=1)
ROOM_DECIMALS = 6
"""Decimals to which room is added up, so that 160 balloons of 11 in are 160 and no trace more."""


@dataclass(frozen=True, slots=True)
class Stay:
    """The time for which one batch waits in the holding area, its end not included, and the room that it takes."""

    start: datetime
    end: datetime
    room: float


@dataclass(frozen=True, slots=True)
class RoomTaken:
    """The room that is taken between two moments; if it changes in between, the most that is taken at once."""

    start: datetime
    end: datetime
    room: float


def room_of(count: int, diameter_in: float) -> float:
    """Returns the room that this many balloons take, in 11-inch balloons.

    diameter_in: inches; for foil and spheres the nominal size. Source: common practice.
    """
    return count * (diameter_in / REFERENCE_DIAMETER_IN) ** 2


def room_over_time(stays: Sequence[Stay], first: datetime, last: datetime) -> list[RoomTaken]:
    """Returns the time from first to last in pieces, cut wherever a batch comes or leaves.

    Returns an empty list unless first is before last.
    """
    if first >= last:
        return []
    changes = defaultdict[datetime, float](float, {first: 0.0, last: 0.0})
    for stay in stays:
        start, end = max(stay.start, first), min(stay.end, last)
        if start < end:
            changes[start] += stay.room
            changes[end] -= stay.room
    moments = sorted(changes)
    rooms = accumulate(changes[at] for at in moments)
    return [
        RoomTaken(start, end, abs(round(room, ROOM_DECIMALS)))
        for (start, end), room in zip(pairwise(moments), rooms, strict=False)
    ]


def fullest(stays: Sequence[Stay], first: datetime, last: datetime) -> RoomTaken | None:
    """Returns the first time, from its start to its end, at which the most room is taken.

    Returns None unless first is before last.
    """
    found = room_over_time(stays, first, last)
    most = max((one.room for one in found), default=0.0)
    stretches = groupby(found, key=lambda one: one.room == most)
    return next((_merged(list(alike)) for is_most, alike in stretches if is_most), None)


def overfull_times(stays: Sequence[Stay], first: datetime, last: datetime, room: float) -> list[RoomTaken]:
    """Returns each time at which more room is taken than there is, with the most that is taken in it."""
    found = room_over_time(stays, first, last)
    stretches = groupby(found, key=lambda one: one.room > room)
    return [_merged(list(alike)) for is_over, alike in stretches if is_over]


def hour_by_hour(stays: Sequence[Stay], first: datetime, last: datetime) -> list[RoomTaken]:
    """Returns the most room that is taken at once in each hour from first on; the last hour may be shorter."""
    found, hours, at = room_over_time(stays, first, last), [], first
    while at < last:
        end = min(at + HOUR, last)
        hours.append(RoomTaken(at, end, max(one.room for one in found if one.start < end and one.end > at)))
        at = end
    return hours


def _merged(alike: list[RoomTaken]) -> RoomTaken:
    """Returns neighbouring pieces of time as one, with the most room taken in any of them."""
    return RoomTaken(alike[0].start, alike[-1].end, max(one.room for one in alike))
