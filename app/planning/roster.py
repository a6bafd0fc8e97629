"""This module says how many staff are at the bench when, by weekday and by date, as shifts of real time."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from app.planning.opening import Opening
from app.planning.schedule import Shift
from app.planning.shoptime import (
    DAY_MINUTES,
    day_bounds,
    length_of,
    local_day,
    minute_to_utc,
    minutes_from_to,
    time_of_minute,
)


@dataclass(frozen=True, slots=True)
class ShiftHours:
    """The hours of one shift on one day, in local time, and its number of staff.

    An end that is not after the start is on the next date. is_after_midnight: whether the shift starts on the next
    date, because it belongs to a day that goes on past midnight.
    """

    start: time
    end: time
    staff: int
    is_after_midnight: bool = False

    @classmethod
    def from_minutes(cls, starts: int, ends: int, staff: int) -> "ShiftHours":
        """Returns the shift from one minute after its day's midnight to another, at most 1440 minutes later."""
        return cls(time_of_minute(starts), time_of_minute(ends), staff, starts >= DAY_MINUTES)

    @property
    def minutes(self) -> tuple[int, int]:
        """From and to in minutes after its day's midnight; above 1440 they are of the next date."""
        starts, ends = minutes_from_to(self.start, self.end)
        later = DAY_MINUTES if self.is_after_midnight else 0
        return starts + later, ends + later


@dataclass(frozen=True, slots=True)
class Roster:
    """The shifts of the shop.

    week: shift hours by weekday, 0 is Monday; on a weekday that is missing, one person works while the shop is
    open. On the shop's closed days nobody works, whatever the weekday. days: shift hours by date, which replace
    those; a date with none means that nobody is there.
    """

    opening: Opening
    week: Mapping[int, Sequence[ShiftHours]] = field(default_factory=dict)
    days: Mapping[date, Sequence[ShiftHours]] = field(default_factory=dict)

    @property
    def zone(self) -> ZoneInfo:
        return self.opening.zone

    def shifts(self, start: datetime, end: datetime) -> list[Shift]:
        """Returns all shifts, in UTC, of the local days from one moment to another, both days included, and those
        of the day before that go on into the first of them."""
        day, last = local_day(start, self.zone), local_day(end, self.zone)
        midnight = day_bounds(day, self.zone)[0]
        found = [shift for shift in self._on(day - timedelta(days=1)) if shift.end > midnight]
        while day <= last:
            found.extend(self._on(day))
            day += timedelta(days=1)
        return found

    def shift_hours_on(self, day: date) -> Sequence[ShiftHours]:
        """Returns the shift hours of a date: its own, else those of its weekday, else one person while the shop is
        open."""
        of_week = None if self.opening.closed_for(day) else self.week.get(day.weekday())
        stated = self.days.get(day, of_week)
        if stated is not None:
            return stated
        minutes = self.opening.minutes(day)
        return (ShiftHours.from_minutes(*minutes, 1),) if minutes else ()

    def with_staff(self, day: date, starts: int, ends: int, by: int) -> "Roster":
        """Returns the roster with `by` more staff (fewer, if negative) on one date, from one minute after its
        midnight to another."""
        return replace(self, days={**self.days, day: with_staff(self.shift_hours_on(day), starts, ends, by)})

    def length(self, day: date, hours: ShiftHours) -> timedelta:
        """Returns how long a shift of a date really is; 0 if the clocks jump over all of it."""
        return length_of(day, hours.minutes, self.zone)

    def _on(self, day: date) -> Iterator[Shift]:
        for hours in self.shift_hours_on(day):
            start, end = (minute_to_utc(day, minute, self.zone) for minute in hours.minutes)
            if start < end:
                yield Shift(start, end, hours.staff)


def with_staff(shift_hours: Sequence[ShiftHours], starts: int, ends: int, by: int) -> list[ShiftHours]:
    """Returns the shift hours of a day with `by` more staff (fewer, if negative) from one minute after its midnight
    to another.

    The result does not overlap and never has fewer than 0 staff. When nobody is left all day, it is one entry with
    0 staff, because a date that is stored without any shift hours gets those of its weekday.
    """
    stated = [(*hours.minutes, hours.staff) for hours in shift_hours]
    moments = sorted({starts, ends, *(minute for one in stated for minute in one[:2])})
    found: list[tuple[int, int, int]] = []
    for begin, stop in pairwise(moments):
        staff = sum(staff for start, end, staff in stated if start <= begin < end)
        staff = max(staff + by, 0) if starts <= begin < ends else staff
        if found and found[-1][1:] == (begin, staff) and stop - found[-1][0] <= DAY_MINUTES:
            found[-1] = (found[-1][0], stop, staff)
        elif staff:
            found.append((begin, stop, staff))
    nobody = (moments[0], min(moments[-1], moments[0] + DAY_MINUTES), 0)
    return [ShiftHours.from_minutes(*one) for one in found or [nobody]]


def minutes_in_day(starts: int, ends: int, shift_hours: Sequence[ShiftHours]) -> tuple[int, int]:
    """Returns typed minutes after midnight as those of a day with these shifts.

    Where the last shift ends after midnight, times before the first shift are meant for the next date: in an
    evening shop, from 00:30 to 02:00 comes after 18:00.
    """
    if not shift_hours:
        return starts, ends
    first = min(hours.minutes[0] for hours in shift_hours)
    last = max(hours.minutes[1] for hours in shift_hours)
    if starts < first and starts + DAY_MINUTES < last:
        return starts + DAY_MINUTES, ends + DAY_MINUTES
    return starts, ends


@dataclass(frozen=True, slots=True)
class StaffChange:
    """So many hands more, or fewer, on a date, from one minute after local midnight to another; above 1440 they are
    of the next date."""

    day: date
    starts: int
    ends: int
    by: int

    def made_in(self, roster: Roster) -> Roster:
        return roster.with_staff(self.day, self.starts, self.ends, self.by)
