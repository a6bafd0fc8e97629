"""This module lays out the time line of a day's pick-ups: the hours of the day, and a sign for each hand-over at
the hour at which it leaves. The macro of the same name draws it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.web.formats import Formats

WIDE, NARROW = 1000.0, 350.0
"""Two widths of the same picture, for a wide window and for a phone."""
LEFT, SIGN = 14.0, 20.0
"""The margin at both sides, and the size of a sign."""
LETTER, GAP = 8.2, 10.0
"""The width of a digit beside a sign, and the room between two signs in a row, in units of the picture."""
TOP, ROW, MOST_ROWS = 26.0, 27.0, 8
"""MOST_ROWS: with more of them, the signs stand without labels."""
LONGEST_LABEL = 44.0
HOUR = timedelta(hours=1)
FEWEST_HOURS = 4 * HOUR
HOUR_ROOM = 60.0
"""The room that a written hour takes."""


@dataclass(frozen=True, slots=True)
class LineEntry:
    """A hand-over on the time line. label: beside its sign."""

    at: datetime
    label: str
    state: str


@dataclass(frozen=True, slots=True)
class LineMark:
    """A sign and where it stands: right of its hour. label: empty where there is no room for it."""

    x: float
    y: float
    label: str
    state: str


@dataclass(frozen=True, slots=True)
class HourTick:
    """A full hour; without a text if there is no room for one."""

    x: float
    text: str


@dataclass(frozen=True, slots=True)
class DayLine:
    """A laid-out time line. now: None if it is not now on this day."""

    width: float
    height: float
    hours: tuple[HourTick, ...]
    marks: tuple[LineMark, ...]
    now: float | None


def layout_day_line(
    entries: Sequence[LineEntry], now: datetime | None, formats: Formats, width: float = WIDE
) -> DayLine | None:
    """Returns the time line; None if there is nothing on it. now: None on another day."""
    if not entries:
        return None
    scale = _Scale.of([entry.at for entry in entries], now, formats, width)
    marks, rows = _placed(entries, scale)
    if rows > MOST_ROWS:
        marks, rows = _placed([replace(entry, label="") for entry in entries], scale)
    hours = tuple(_hours(scale, formats))
    return DayLine(width, TOP + rows * ROW + 4, hours, marks, scale.x(now) if now else None)


@dataclass(frozen=True, slots=True)
class _Scale:
    """The hours of the picture. first, last: full hours of the shop's clock."""

    first: datetime
    last: datetime
    width: float

    @classmethod
    def of(cls, times: Sequence[datetime], now: datetime | None, formats: Formats, width: float) -> "_Scale":
        """Returns the scale on which all these moments stand, four hours at least."""
        every = [*times, *([now] if now else [])]
        first, last = _full_hour(min(every), formats), _full_hour(max(every), formats) + HOUR
        scale = cls(first, max(last, first + FEWEST_HOURS), width)
        while scale.x(max(every)) + SIGN + LONGEST_LABEL > width:
            scale = replace(scale, last=scale.last + HOUR)
        return scale

    def x(self, moment: datetime) -> float:
        """Returns the x position of a moment, kept within the picture."""
        share = (moment - self.first) / (self.last - self.first)
        return round(LEFT + min(max(share, 0.0), 1.0) * (self.width - 2 * LEFT), 1)


def _full_hour(moment: datetime, formats: Formats) -> datetime:
    """Returns the full hour of the shop's clock before a moment."""
    local = formats.local(moment)
    return moment - timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)


def _hours(scale: _Scale, formats: Formats) -> Iterator[HourTick]:
    """Yields every full hour; as many of them have a text as there is room for."""
    count = round((scale.last - scale.first) / HOUR)
    every = math.ceil(count * HOUR_ROOM / (scale.width - 2 * LEFT))
    for place in range(count + 1):
        at = scale.first + place * HOUR
        is_written = place % every == 0 and scale.x(at) < scale.width - HOUR_ROOM / 2
        yield HourTick(scale.x(at), formats.clock(at) if is_written else "")


def _placed(entries: Sequence[LineEntry], scale: _Scale) -> tuple[tuple[LineMark, ...], int]:
    """Returns the signs with their places, and how many rows they take: a sign stands in the first row in which it
    does not cover another one."""
    ends: list[float] = []
    marks = []
    for entry in sorted(entries, key=lambda one: one.at):
        x, room = scale.x(entry.at), SIGN + (LETTER * len(entry.label) + GAP if entry.label else 2.0)
        row = next((place for place, end in enumerate(ends) if end <= x), len(ends))
        ends[row:] = [x + room, *ends[row + 1 :]]
        marks.append(LineMark(x, TOP + row * ROW, entry.label, entry.state))
    return tuple(marks), len(ends)
