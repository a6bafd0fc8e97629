"""The corral below the load picture of a day: the most that waits in each of its hours, against the room. Where
something waits while nobody is at the bench, as at night, the corral has the hours of the whole day."""

from dataclasses import dataclass
from datetime import datetime, time

from app.actions.bench.holding_area import Corral
from app.planning.holding_area import Waiting, hour_by_hour, overfull
from app.web.drawings.time_scale import Hours, Mark, hour_marks
from app.web.formats import Formats
from app.web.wording.holding_area import filling, whole

TOP, GROUND = 14.0, 96.0
GAP = 2.0


@dataclass(frozen=True, slots=True)
class CorralBar:
    """The most of one hour. over: above the room, which its pattern and a mark above it say as well."""

    x: float
    y: float
    width: float
    height: float
    over: bool


@dataclass(frozen=True, slots=True)
class CorralStrip:
    """hours: as they are written. table: the hour, and what waits in it. is_shared: on the hours of the load."""

    text: str
    bars: tuple[CorralBar, ...]
    room: Mark
    hours: tuple[Mark, ...]
    table: tuple[tuple[str, str], ...]
    is_shared: bool


def lay_out_corral(corral: Corral, load: Hours | None, day: Hours, formats: Formats) -> CorralStrip | None:
    """load: the hours of the load, None where there is none; then something must wait."""
    if load and not _waits_outside(corral, load, day):
        return _strip(corral, load, formats, is_shared=True)
    if load or _waits(corral, day.first, day.last):
        return _strip(corral, day, formats, is_shared=False)
    return None


def _waits_outside(corral: Corral, load: Hours, day: Hours) -> bool:
    return _waits(corral, day.first, load.first) or _waits(corral, load.last, day.last)


def _waits(corral: Corral, first: datetime, last: datetime) -> bool:
    return any(max(stay.start, first) < min(stay.end, last) for stay in corral.stays)


def _strip(corral: Corral, hours: Hours, formats: Formats, *, is_shared: bool) -> CorralStrip:
    waiting = hour_by_hour(corral.stays, hours.first, hours.last)
    most = max(corral.room, *(hour.room for hour in waiting))
    return CorralStrip(
        text=_in_words(corral, hours, waiting, formats),
        bars=tuple(_bar(hour, most, corral.room, hours) for hour in waiting if hour.room),
        room=Mark(_y(corral.room, most), f"{corral.room}"),
        hours=hour_marks(hours, formats),
        table=tuple((formats.clock(hour.start), _told(hour, corral.room)) for hour in waiting),
        is_shared=is_shared,
    )


def _bar(hour: Waiting, most: float, room: int, hours: Hours) -> CorralBar:
    x, y = hours.x(hour.start), _y(hour.room, most)
    width = round(max(hours.x(hour.end) - x - GAP, GAP), 1)
    return CorralBar(x, y, width, round(GROUND - y, 1), hour.room > room)


def _y(room: float, most: float) -> float:
    return round(GROUND - room / most * (GROUND - TOP), 1)


def _told(hour: Waiting, room: int) -> str:
    return f"{whole(hour.room)}, too full" if hour.room > room else f"{whole(hour.room)}"


def _in_words(corral: Corral, hours: Hours, waiting: list[Waiting], formats: Formats) -> str:
    """Of the hours shown: when it is too full, else when it is fullest."""
    over = overfull(corral.stays, hours.first, hours.last, corral.room)
    if over:
        spans = ", ".join(f"{formats.clock(one.start)} to {_end(one.end, formats)}" for one in over)
        most = max(one.room for one in over)
        return f"The corral is too full from {spans}: up to {filling(most, corral.room)}."
    hour = max(waiting, key=lambda one: one.room)
    if not hour.room:
        return f"Nothing waits in the corral, which holds {corral.room} 11-inch balloons."
    return f"The corral is fullest from {formats.clock(hour.start)} on: {filling(hour.room, corral.room)}."


def _end(moment: datetime, formats: Formats) -> str:
    return "midnight" if formats.local(moment).time() == time.min else formats.clock(moment)
