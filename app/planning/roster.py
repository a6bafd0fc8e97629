"""This module says how many staff are at the bench when, by weekday and by date, as shifts of real time."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from app.planning.opening import Opening
from app.planning.schedule import Shift
from app.planning.shoptime import local_day, opening_to_utc


@dataclass(frozen=True, slots=True)
class ShiftHours:
    """The hours of one shift on one day, in local time, and its number of staff."""

    start: time
    end: time
    staff: int


@dataclass(frozen=True, slots=True)
class Roster:
    """The shifts of the shop.

    week: shift hours by weekday, 0 is Monday; on a weekday that is missing, one person works while the shop is
    open. days: shift hours by date, which replace those of the weekday; a date with none means that nobody is
    there.
    """

    opening: Opening
    week: Mapping[int, Sequence[ShiftHours]] = field(default_factory=dict)
    days: Mapping[date, Sequence[ShiftHours]] = field(default_factory=dict)

    @property
    def zone(self) -> ZoneInfo:
        return self.opening.zone

    def shifts(self, start: datetime, end: datetime) -> list[Shift]:
        """Returns all shifts, in UTC, of the local days from one moment to another, both days included."""
        day, last = local_day(start, self.zone), local_day(end, self.zone)
        found: list[Shift] = []
        while day <= last:
            found.extend(self._on(day))
            day += timedelta(days=1)
        return found

    def shift_hours_on(self, day: date) -> Sequence[ShiftHours]:
        """Returns the shift hours of a date: its own, else those of its weekday, else one person while the shop is
        open."""
        stated = self.days[day] if day in self.days else self.week.get(day.weekday())
        if stated is not None:
            return stated
        hours = self.opening.hours(day)
        return (ShiftHours(start=hours[0], end=hours[1], staff=1),) if hours else ()

    def with_staff(self, day: date, start: time, end: time, by: int) -> "Roster":
        """Returns the roster with `by` more staff (fewer, if negative) from start to end on one date."""
        return replace(self, days={**self.days, day: with_staff(self.shift_hours_on(day), start, end, by)})

    def _on(self, day: date) -> Iterator[Shift]:
        for hours in self.shift_hours_on(day):
            start, end = (opening_to_utc(day, at, self.zone) for at in (hours.start, hours.end))
            if start < end:
                yield Shift(start, end, hours.staff)


def with_staff(shift_hours: Sequence[ShiftHours], start: time, end: time, by: int) -> list[ShiftHours]:
    """Returns the shift hours of a day with `by` more staff (fewer, if negative) from start to end in local time.

    The result does not overlap and never has fewer than 0 staff. When nobody is left all day, it is one entry with
    0 staff, because a date that is stored without any shift hours gets those of its weekday.
    """
    moments = sorted({start, end, *(at for hours in shift_hours for at in (hours.start, hours.end))})
    found: list[ShiftHours] = []
    for begin, stop in pairwise(moments):
        staff = sum(hours.staff for hours in shift_hours if hours.start <= begin < hours.end)
        staff = max(staff + by, 0) if start <= begin < end else staff
        if found and (found[-1].end, found[-1].staff) == (begin, staff):
            found[-1] = replace(found[-1], end=stop)
        elif staff:
            found.append(ShiftHours(begin, stop, staff))
    return found or [ShiftHours(moments[0], moments[-1], 0)]


@dataclass(frozen=True, slots=True)
class StaffChange:
    """So many hands more, or fewer, on a date, from one minute after local midnight to another."""

    day: date
    starts: int
    ends: int
    by: int

    def made_in(self, roster: Roster) -> Roster:
        start, end = (time(*divmod(minutes, 60)) for minutes in (self.starts, self.ends))
        return roster.with_staff(self.day, start, end, self.by)
