"""This module turns the shop's opening hours, by weekday with exceptions by date, into spans of real time."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from app.planning.shoptime import local_day, opening_to_utc

SEARCH_DAYS = 60
"""How many days the search for an open hour looks at before it gives up."""


@dataclass(frozen=True, slots=True)
class Span:
    """A time for which the shop is open, from its start to its end in UTC; the end is not included."""

    start: datetime
    end: datetime

    @property
    def length(self) -> timedelta:
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Opening:
    """The shop's opening hours.

    week: opening and closing time by weekday (0 is Monday), in local time; on a weekday that is missing the shop is
    closed. exceptions: the same by date, or None when the shop is closed all that day.
    """

    zone: ZoneInfo
    week: Mapping[int, tuple[time, time]]
    exceptions: Mapping[date, tuple[time, time] | None] = field(default_factory=dict)

    def hours(self, day: date) -> tuple[time, time] | None:
        """Returns the opening and the closing time of a date, in local time; None when the shop is closed."""
        return self.exceptions[day] if day in self.exceptions else self.week.get(day.weekday())

    def span(self, day: date) -> Span | None:
        """Returns when the shop is open on a date, in UTC; None when it is closed."""
        hours = self.hours(day)
        return _span(day, *hours, self.zone) if hours else None

    def is_open(self, moment: datetime) -> bool:
        """Returns whether the shop is open at this moment; at its closing time it is not."""
        span = self.span(local_day(moment, self.zone))
        return span is not None and span.start <= moment < span.end

    def first_open(self, moment: datetime) -> datetime:
        """Returns the first moment, not before this one, at which work can begin.

        Returns the moment itself when the shop is not open in the next 60 days.
        """
        opened = (max(span.start, moment) for span in self._spans(moment, 1) if moment < span.end)
        return next(opened, moment)

    def _spans(self, moment: datetime, step: int) -> Iterator[Span]:
        """Yields the spans of the days from this moment on, forward with step 1 or backward with step -1."""
        day = local_day(moment, self.zone)
        for _ in range(SEARCH_DAYS):
            if span := self.span(day):
                yield span
            day += timedelta(days=step)

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime | None:
        """Returns the latest start of work that ends by the deadline within one opening span.

        Work that is longer than any span is spread backward over several. Returns None when the 60 days before the
        deadline have too few open hours.
        """
        for span in self._spans(deadline, -1):
            end = min(span.end, deadline)
            if end - span.start >= work:
                return end - work
        return self._spread_back(deadline, work)

    def _spread_back(self, deadline: datetime, work: timedelta) -> datetime | None:
        """Returns the latest start of work that may pause while the shop is closed; None when there are too few
        open hours."""
        left = work
        for span in self._spans(deadline, -1):
            open_for = min(span.end, deadline) - span.start
            if open_for >= left:
                return min(span.end, deadline) - left
            left -= max(open_for, timedelta())
        return None

    def first_end(self, earliest: datetime, work: timedelta) -> datetime | None:
        """Returns when work that starts no earlier than this would end, if it pauses while the shop is closed.

        Returns None when the next 60 days have too few open hours.
        """
        left = work
        for span in self._spans(earliest, 1):
            start = max(span.start, earliest)
            if span.end - start >= left:
                return start + left
            left -= max(span.end - start, timedelta())
        return None


@lru_cache(maxsize=1024)
def _span(day: date, opens: time, closes: time, zone: ZoneInfo) -> Span | None:
    """Returns the span of one day in UTC, or None when it is empty.

    Results are cached, because every batch asks for the same few days.
    """
    start, end = opening_to_utc(day, opens, zone), opening_to_utc(day, closes, zone)
    return Span(start, end) if start < end else None
