"""This module draws how full the holding area is in each hour of a day, below the load chart.

It has the hours of the load chart; when something waits outside those, as at night, it has the hours of the whole
day.
"""

from dataclasses import dataclass
from datetime import datetime, time

from app.actions.bench.holding_area import HoldingArea
from app.planning.holding_area import RoomTaken, hour_by_hour, overfull_times
from app.web.drawings.time_scale import HourScale, Mark, hour_marks
from app.web.formats import Formats
from app.web.wording.bench import describe_occupancy, room_rounded_up

TOP, GROUND = 14.0, 96.0
GAP = 2.0


@dataclass(frozen=True, slots=True)
class HoldingAreaBar:
    """The most room that is taken in one hour. over: whether that is more than there is; a pattern and a mark
    say so too."""

    x: float
    y: float
    width: float
    height: float
    over: bool


@dataclass(frozen=True, slots=True)
class HoldingAreaStrip:
    """The picture of the holding area. hours: the times that are written. table: (hour, what waits in it).
    is_shared: whether it has the hours of the load chart."""

    text: str
    bars: tuple[HoldingAreaBar, ...]
    room: Mark
    hours: tuple[Mark, ...]
    table: tuple[tuple[str, str], ...]
    is_shared: bool


def layout_holding_area(
    holding_area: HoldingArea, load: HourScale | None, day: HourScale, formats: Formats
) -> HoldingAreaStrip | None:
    """Returns the picture of the holding area; None when there is no load chart and nothing waits.

    load: the hours of the load chart, if there is one. day: the hours of the whole day.
    """
    if load and not _something_waits_outside(holding_area, load, day):
        return _strip(holding_area, load, formats, is_shared=True)
    if load or _something_waits(holding_area, day.first, day.last):
        return _strip(holding_area, day, formats, is_shared=False)
    return None


def _something_waits_outside(holding_area: HoldingArea, load: HourScale, day: HourScale) -> bool:
    """Returns whether something waits outside the hours of the load chart."""
    return _something_waits(holding_area, day.first, load.first) or _something_waits(
        holding_area, load.last, day.last
    )


def _something_waits(holding_area: HoldingArea, first: datetime, last: datetime) -> bool:
    """Returns whether something waits between two moments."""
    return any(max(stay.start, first) < min(stay.end, last) for stay in holding_area.stays)


def _strip(holding_area: HoldingArea, hours: HourScale, formats: Formats, *, is_shared: bool) -> HoldingAreaStrip:
    waiting = hour_by_hour(holding_area.stays, hours.first, hours.last)
    most = max(holding_area.room, *(hour.room for hour in waiting))
    return HoldingAreaStrip(
        text=_in_words(holding_area, hours, waiting, formats),
        bars=tuple(_bar(hour, most, holding_area.room, hours) for hour in waiting if hour.room),
        room=Mark(_y(holding_area.room, most), f"{holding_area.room}"),
        hours=hour_marks(hours, formats),
        table=tuple((formats.clock(hour.start), _described(hour, holding_area.room)) for hour in waiting),
        is_shared=is_shared,
    )


def _bar(hour: RoomTaken, most: float, room: int, hours: HourScale) -> HoldingAreaBar:
    x, y = hours.x(hour.start), _y(hour.room, most)
    width = round(max(hours.x(hour.end) - x - GAP, GAP), 1)
    return HoldingAreaBar(x, y, width, round(GROUND - y, 1), hour.room > room)


def _y(room: float, most: float) -> float:
    return round(GROUND - room / most * (GROUND - TOP), 1)


def _described(hour: RoomTaken, room: int) -> str:
    return f"{room_rounded_up(hour.room)}, too full" if hour.room > room else f"{room_rounded_up(hour.room)}"


def _in_words(holding_area: HoldingArea, hours: HourScale, waiting: list[RoomTaken], formats: Formats) -> str:
    """Returns a sentence about the hours shown: when the holding area is too full, or else when it is fullest."""
    over = overfull_times(holding_area.stays, hours.first, hours.last, holding_area.room)
    if over:
        spans = ", ".join(f"{formats.clock(one.start)} to {_end_in_words(one.end, formats)}" for one in over)
        most = max(one.room for one in over)
        return f"The holding area is too full from {spans}: up to {describe_occupancy(most, holding_area.room)}."
    hour = max(waiting, key=lambda one: one.room)
    if not hour.room:
        return "The holding area is empty."
    return (
        f"The holding area is fullest from {formats.clock(hour.start)}:"
        f" {describe_occupancy(hour.room, holding_area.room)}."
    )


def _end_in_words(moment: datetime, formats: Formats) -> str:
    """Returns the end of a time in words, which is “midnight” at the end of a day."""
    return "midnight" if formats.local(moment).time() == time.min else formats.clock(moment)
