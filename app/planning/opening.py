"""Opening hours: by weekday, with exceptions by date, as spans of real time."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from app.planning.shoptime import local_day, opening_to_utc

LOOK_DAYS = 60
"""How far the search for an open hour goes, in days."""


@dataclass(frozen=True, slots=True)
class Span:
    start: datetime
    end: datetime

    @property
    def length(self) -> timedelta:
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Opening:
    """week: by weekday (0 is Monday), from and to in local time; a weekday that is missing is closed.
    exceptions: by date, from and to, or None when closed all day."""

    zone: ZoneInfo
    week: Mapping[int, tuple[time, time]]
    exceptions: Mapping[date, tuple[time, time] | None] = field(default_factory=dict)

    def hours(self, day: date) -> tuple[time, time] | None:
        """From and to in local time; None when closed."""
        return self.exceptions[day] if day in self.exceptions else self.week.get(day.weekday())

    def span(self, day: date) -> Span | None:
        hours = self.hours(day)
        return _span(day, *hours, self.zone) if hours else None

    def is_open(self, moment: datetime) -> bool:
        span = self.span(local_day(moment, self.zone))
        return span is not None and span.start <= moment < span.end

    def first_open(self, moment: datetime) -> datetime:
        """The first moment, not before this one, at which work can begin; the moment itself if never open."""
        opened = (max(span.start, moment) for span in self._spans(moment, 1) if moment < span.end)
        return next(opened, moment)

    def _spans(self, moment: datetime, step: int) -> Iterator[Span]:
        day = local_day(moment, self.zone)
        for _ in range(LOOK_DAYS):
            if span := self.span(day):
                yield span
            day += timedelta(days=step)

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime | None:
        """The latest start of work that ends by the deadline within one opening span.

        Work longer than any span is spread backward over several. None when nothing is open for two months.
        """
        for span in self._spans(deadline, -1):
            end = min(span.end, deadline)
            if end - span.start >= work:
                return end - work
        return self._spread_back(deadline, work)

    def _spread_back(self, deadline: datetime, work: timedelta) -> datetime | None:
        left = work
        for span in self._spans(deadline, -1):
            open_for = min(span.end, deadline) - span.start
            if open_for >= left:
                return min(span.end, deadline) - left
            left -= max(open_for, timedelta())
        return None

    def first_end(self, earliest: datetime, work: timedelta) -> datetime | None:
        """When work that starts no earlier than this would end, interrupted while the shop is closed."""
        left = work
        for span in self._spans(earliest, 1):
            start = max(span.start, earliest)
            if span.end - start >= left:
                return start + left
            left -= max(span.end - start, timedelta())
        return None


@lru_cache(maxsize=1024)
def _span(day: date, opens: time, closes: time, zone: ZoneInfo) -> Span | None:
    """Kept, since every batch asks for the same few days."""
    start, end = opening_to_utc(day, opens, zone), opening_to_utc(day, closes, zone)
    return Span(start, end) if start < end else None
