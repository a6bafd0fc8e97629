"""Who is at the bench when: hands by weekday, with other turns on a date, as shifts of real time."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.planning.opening import Opening
from app.planning.schedule import Shift
from app.planning.shoptime import local_day, opening_to_utc


@dataclass(frozen=True, slots=True)
class Turn:
    """So many hands from one local time to another, on one day."""

    start: time
    end: time
    hands: int


@dataclass(frozen=True, slots=True)
class Roster:
    """week: turns by weekday, 0 is Monday; a weekday that is missing has one hand while the shop is open.
    days: by date, in place of the weekday's; no turns on a date means that nobody is there."""

    opening: Opening
    week: Mapping[int, Sequence[Turn]] = field(default_factory=dict)
    days: Mapping[date, Sequence[Turn]] = field(default_factory=dict)

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

    def _on(self, day: date) -> Iterator[Shift]:
        turns = self.days[day] if day in self.days else self.week.get(day.weekday())
        if turns is None:
            if span := self.opening.span(day):
                yield Shift(span.start, span.end, 1)
            return
        for turn in turns:
            yield Shift(
                opening_to_utc(day, turn.start, self.zone), opening_to_utc(day, turn.end, self.zone), turn.hands
            )
