"""Who is at the bench when: hands by weekday, with other turns on a date, as shifts of real time."""

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
    """So many hands from one local time to another, on one day."""

    start: time
    end: time
    staff: int


@dataclass(frozen=True, slots=True)
class Roster:
    """week: turns by weekday, 0 is Monday; a weekday that is missing has one hand while the shop is open.
    days: by date, in place of the weekday's; no turns on a date means that nobody is there."""

    opening: Opening
    week: Mapping[int, Sequence[ShiftHours]] = field(default_factory=dict)
    days: Mapping[date, Sequence[ShiftHours]] = field(default_factory=dict)

    @property
    def zone(self) -> ZoneInfo:
        return self.opening.zone

    def shifts(self, start: datetime, end: datetime) -> list[Shift]:
        """All shifts of the days from one moment to another, both included."""
        day, last = local_day(start, self.zone), local_day(end, self.zone)
        found: list[Shift] = []
        while day <= last:
            found.extend(self._on(day))
            day += timedelta(days=1)
        return found

    def shift_hours_on(self, day: date) -> Sequence[ShiftHours]:
        """The date's own, else its weekday's, else one hand while the shop is open."""
        turns = self.days[day] if day in self.days else self.week.get(day.weekday())
        if turns is not None:
            return turns
        hours = self.opening.hours(day)
        return (ShiftHours(start=hours[0], end=hours[1], staff=1),) if hours else ()

    def with_staff(self, day: date, start: time, end: time, by: int) -> "Roster":
        """So many hands more, or fewer, on one date."""
        return replace(self, days={**self.days, day: with_staff(self.shift_hours_on(day), start, end, by)})

    def _on(self, day: date) -> Iterator[Shift]:
        for turn in self.shift_hours_on(day):
            start, end = (opening_to_utc(day, at, self.zone) for at in (turn.start, turn.end))
            if start < end:
                yield Shift(start, end, turn.staff)


def with_staff(turns: Sequence[ShiftHours], start: time, end: time, by: int) -> list[ShiftHours]:
    """The turns of a day with so many hands more from one local time to another, or fewer but never below none; as
    turns that do not overlap. One turn of no hands stands for a day on which nobody is left."""
    moments = sorted({start, end, *(at for turn in turns for at in (turn.start, turn.end))})
    found: list[ShiftHours] = []
    for begin, stop in pairwise(moments):
        staff = sum(turn.staff for turn in turns if turn.start <= begin < turn.end)
        staff = max(staff + by, 0) if start <= begin < end else staff
        if found and (found[-1].end, found[-1].staff) == (begin, staff):
            found[-1] = replace(found[-1], end=stop)
        elif staff:
            found.append(ShiftHours(begin, stop, staff))
    return found or [ShiftHours(moments[0], moments[-1], 0)]
