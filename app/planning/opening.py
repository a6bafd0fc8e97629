"""This module turns the shop's opening hours, by weekday with exceptions by date, into spans of real time.

A day that closes at or before the time at which it opens closes on the next date. The shop's day goes on until
then: half past midnight belongs to the evening before.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from app.planning.closed_days import ClosedDays
from app.planning.shoptime import DAY_MINUTES, local_day, minute_to_utc, minutes_from_to

T = TypeVar("T")
ONE_DAY = timedelta(days=1)
MOST_KEPT = 1024
"""So many days are kept at most."""
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

    week: opening and closing time by weekday (0 is Monday), in local time; a closing time that is not after the
    opening time is on the next date. On a weekday that is missing the shop is closed. exceptions: the same by date,
    or None when the shop is closed all that day. closed: ranges of dates on which it is closed, unless there is an
    exception for the date. The spans and ends of days are kept with the hours from which they were made, because
    every batch asks for the same few.
    """

    zone: ZoneInfo
    week: Mapping[int, tuple[time, time]]
    exceptions: Mapping[date, tuple[time, time] | None] = field(default_factory=dict)
    closed: tuple[ClosedDays, ...] = ()
    _spans_of_days: dict[date, Span | None] = field(default_factory=dict, init=False, compare=False, repr=False)
    _ends_of_days: dict[date, datetime] = field(default_factory=dict, init=False, compare=False, repr=False)

    def hours(self, day: date) -> tuple[time, time] | None:
        """Returns the opening and the closing time of a date, in local time; None when the shop is closed."""
        if day in self.exceptions:
            return self.exceptions[day]
        return None if self.closed_for(day) else self.week.get(day.weekday())

    def closed_for(self, day: date) -> ClosedDays | None:
        """Returns the range because of which the shop is closed on a date; None if there is none, or if the date
        has hours of its own."""
        if day in self.exceptions:
            return None
        return next((one for one in self.closed if one.covers(day)), None)

    def minutes(self, day: date) -> tuple[int, int] | None:
        """Returns from when to when the shop is open on a date, in minutes after its midnight; above 1440 they are
        of the next date.

        While the day before is still open, this one has not begun. Returns None when the shop is closed.
        """
        hours = self.hours(day)
        if hours is None:
            return None
        opens, closes = minutes_from_to(*hours)
        opens = max(opens, self._last_minute(day - ONE_DAY) - DAY_MINUTES)
        return (opens, closes) if opens < closes else None

    def span(self, day: date) -> Span | None:
        """Returns when the shop is open on a date, in UTC; None when it is closed."""
        try:
            return self._spans_of_days[day]
        except KeyError:
            minutes = self.minutes(day)
            return _keep(self._spans_of_days, day, _span(day, *minutes, self.zone) if minutes else None)

    def day_of(self, moment: datetime) -> date:
        """Returns the shop's day at this moment: the date, or the one before while that has not closed yet."""
        day = local_day(moment, self.zone)
        return day if moment >= self._end_of(day - ONE_DAY) else day - ONE_DAY

    def day_bounds(self, day: date) -> tuple[datetime, datetime]:
        """Returns the first moments, in UTC, of the shop's day and of the next: midnight, or when the shop closes
        after it."""
        return self._end_of(day - ONE_DAY), self._end_of(day)

    def _end_of(self, day: date) -> datetime:
        """Returns when a day of the shop ends, in UTC."""
        try:
            return self._ends_of_days[day]
        except KeyError:
            return _keep(self._ends_of_days, day, minute_to_utc(day, self._last_minute(day), self.zone))

    def _last_minute(self, day: date) -> int:
        """Returns the minute after its midnight with which a day of the shop ends; 1440 is the next midnight."""
        hours = self.hours(day)
        return max(DAY_MINUTES, minutes_from_to(*hours)[1]) if hours else DAY_MINUTES

    def is_open(self, moment: datetime) -> bool:
        """Returns whether the shop is open at this moment; at its closing time it is not."""
        span = self.span(self.day_of(moment))
        return span is not None and span.start <= moment < span.end

    def is_open_throughout(self, start: datetime, end: datetime) -> bool:
        """Returns whether the shop is open from one moment to another without closing in between."""
        until = start
        for span in self._spans(start, 1):
            if span.start <= until < span.end:
                until = span.end
            if until >= end or span.start > until:
                break
        return until >= end

    def first_open(self, moment: datetime) -> datetime:
        """Returns the first moment, not before this one, at which work can begin.

        Returns the moment itself when the shop is not open in the next 60 days.
        """
        opened = (max(span.start, moment) for span in self._spans(moment, 1) if moment < span.end)
        return next(opened, moment)

    def next_turn(self, moment: datetime) -> datetime | None:
        """Returns the first moment after this one at which the shop opens or closes; None if there is none in the
        next 60 days."""
        turns = (at for span in self._spans(moment, 1) for at in (span.start, span.end) if at > moment)
        return next(turns, None)

    def _spans(self, moment: datetime, step: int) -> Iterator[Span]:
        """Yields the spans of the shop's days from this moment on, forward with step 1 or backward with step -1."""
        day = self.day_of(moment)
        for _ in range(SEARCH_DAYS):
            if span := self.span(day):
                yield span
            day += timedelta(days=step)

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime | None:
        """Returns the latest start of work that ends by the deadline while the shop is open without a break.

        Spans of two days that touch are one stretch. Work that is longer than any stretch is spread backward over
        several. Returns None when the 60 days before the deadline have too few open hours.
        """
        start: datetime | None = None
        end = deadline
        for span in self._spans(deadline, -1):
            end = end if span.end == start else min(span.end, deadline)
            start = span.start
            if end - start >= work:
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


def _keep(kept: dict[date, T], day: date, what: T) -> T:
    """Returns what is kept for a day from now on."""
    if len(kept) >= MOST_KEPT:
        kept.clear()
    kept[day] = what
    return what


def _span(day: date, opens: int, closes: int, zone: ZoneInfo) -> Span | None:
    """Returns the span of one day in UTC, from minutes after its midnight; None when it is empty."""
    start, end = (minute_to_utc(day, minute, zone) for minute in (opens, closes))
    return Span(start, end) if start < end else None
