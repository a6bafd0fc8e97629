"""This module lays out the time line of a day's pick-ups: the hours of the day, and a sign for each hand-over at
the hour at which it leaves. The macro of the same name draws it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.web.formats import Formats

WIDE, MIDDLE, NARROW = 1000.0, 680.0, 300.0
"""Three widths of the same picture: for a wide window, a tablet and a phone, so that its words are never small."""
LEFT, SIGN = 22.0, 24.0
"""The margin at both sides, and the size of a sign."""
LETTER, GAP = 11.2, 8.0
"""The width of a digit beside a sign, and the room between two signs in a row, in units of the picture."""
TOP, TARGET, MOST_ROWS = 26.0, 48.0, 6
"""TARGET: the height of a sign that is pressed. MOST_ROWS: with more of them, the signs stand without labels."""
BARE_ROW = 28.0
"""The height of a row of signs without labels."""
HOUR = timedelta(hours=1)
FEWEST_HOURS = 4 * HOUR
HOUR_ROOM = 60.0
"""The room that a written hour takes."""


@dataclass(frozen=True, slots=True)
class LineEntry:
    """A hand-over on the time line. label: beside its sign. key: of its card. words: what the sign says."""

    at: datetime
    label: str
    state: str
    key: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class LineMark:
    """A sign and where it stands: right of its hour. entry: without a label where there is no room for it. room:
    how wide sign and label are."""

    x: float
    y: float
    room: float
    entry: LineEntry


@dataclass(frozen=True, slots=True)
class HourTick:
    """A full hour; without a text if there is no room for one."""

    x: float
    text: str


@dataclass(frozen=True, slots=True)
class DayLine:
    """A laid-out time line. row: the height of a row. now: None if it is not now on this day."""

    width: float
    height: float
    row: float
    hours: tuple[HourTick, ...]
    marks: tuple[LineMark, ...]
    now: float | None


def layout_day_line(
    entries: Sequence[LineEntry], now: datetime | None, formats: Formats, width: float = WIDE
) -> DayLine | None:
    """Returns the time line; None if there is nothing on it. now: None on another day."""
    if not entries:
        return None
    scale = _Scale.of(entries, now, formats, width)
    row = TARGET
    marks, rows = _placed(entries, scale, row)
    if rows > MOST_ROWS:
        row = BARE_ROW
        marks, rows = _placed([replace(entry, label="") for entry in entries], scale, row)
    hours = tuple(_hours(scale, formats))
    return DayLine(width, TOP + rows * row, row, hours, marks, scale.x(now) if now else None)


@dataclass(frozen=True, slots=True)
class _Scale:
    """The hours of the picture. first, last: full hours of the shop's clock."""

    first: datetime
    last: datetime
    width: float

    @classmethod
    def of(cls, entries: Sequence[LineEntry], now: datetime | None, formats: Formats, width: float) -> "_Scale":
        """Returns the scale on which all these signs and now have room, four hours at least."""
        every = [*(entry.at for entry in entries), *([now] if now else [])]
        widest = SIGN + LETTER * max(len(entry.label) for entry in entries)
        first, last = _full_hour(min(every), formats), _full_hour(max(every), formats) + HOUR
        scale = cls(first, max(last, first + FEWEST_HOURS), width)
        while scale.x(max(every)) + widest > width:
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


def _placed(entries: Sequence[LineEntry], scale: _Scale, row: float) -> tuple[tuple[LineMark, ...], int]:
    """Returns the signs with their places, and how many rows they take: a sign stands in the first row in which it
    does not cover another one."""
    ends: list[float] = []
    marks = []
    for entry in sorted(entries, key=lambda one: one.at):
        x, room = scale.x(entry.at), SIGN + (LETTER * len(entry.label) + GAP if entry.label else 2.0)
        place = next((place for place, end in enumerate(ends) if end <= x), len(ends))
        ends[place:] = [x + room, *ends[place + 1 :]]
        marks.append(LineMark(x, TOP + place * row, room, entry))
    return tuple(marks), len(ends)
