"""This module lays out the load chart of a day: planned work against the staff who are there, and the same as a
table.

The macro of the same name draws it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from app.actions.bench.holding_area import HoldingArea
from app.actions.records.open_work import BenchWork
from app.physics.balloon import Gas
from app.planning.schedule import Absence, Shift
from app.planning.work import STUFFING
from app.store.queries.plan import SavedBlock, SavedPlan
from app.web.days import ShopDay
from app.web.drawings.holding_area import HoldingAreaStrip, layout_holding_area
from app.web.drawings.time_scale import HOUR, HourScale, Mark, hour_marks
from app.web.formats import Formats

TOP, GROUND = 14.0, 190.0
LAYERS = (Gas.HELIUM.value, Gas.AIR.value, STUFFING, None)
"""The layers from the bottom up; None is finishing."""


@dataclass(frozen=True, slots=True)
class Bar:
    """The staff of one layer between two moments, drawn on top of the layer below. layer: the word for its look."""

    layer: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class HourLoad:
    """The minutes of work in one hour: how many staff can do, and how many are planned, by layer."""

    hour: str
    staff_available: int
    planned: tuple[int, ...]

    @property
    def free(self) -> int:
        """How many minutes are not planned."""
        return self.staff_available - sum(self.planned)


@dataclass(frozen=True, slots=True)
class LoadChart:
    """The load chart of a day. staff_line: the line of the staff who are there, as points of a path. span: the
    hours shown."""

    text: str
    planned_minutes: int
    available_minutes: int
    bars: tuple[Bar, ...]
    staff_line: str
    hours: tuple[Mark, ...]
    staff: tuple[Mark, ...]
    table: tuple[HourLoad, ...]
    span: HourScale


@dataclass(frozen=True, slots=True)
class DayPicture:
    """The pictures of a day. load: None when nobody is there and nothing is planned. holding_area: None when the
    shop has not set its room, and when nothing waits on a day without a load chart."""

    load: LoadChart | None
    holding_area: HoldingAreaStrip | None


@dataclass(frozen=True, slots=True)
class _LoadPiece:
    """A piece of time in which nothing changes."""

    start: datetime
    end: datetime
    staff_available: int
    planned: tuple[int, ...]

    @property
    def most(self) -> int:
        """The larger one of the staff who are there and the staff who are needed."""
        return max(self.staff_available, sum(self.planned))


@dataclass(frozen=True, slots=True)
class BenchHours:
    """What a load chart shows, between two moments."""

    blocks: Sequence[SavedBlock]
    shifts: Sequence[Shift]
    absences: Sequence[Absence]
    start: datetime
    end: datetime


def picture_of_day(
    plan: SavedPlan,
    work: BenchWork,
    holding_area: HoldingArea | None,
    day: ShopDay,
    now: datetime,
    formats: Formats,
) -> DayPicture:
    """Returns the pictures of a day, for today from now on.

    The holding area is that of the plan, so it is not shown for days that have passed.
    """
    start = max(day.start, now) if day.is_today else day.start
    known = holding_area if day.end > now else None
    return layout_day(BenchHours(plan.blocks, work.shifts, work.absences, start, day.end), formats, known)


def layout_day(bench: BenchHours, formats: Formats, holding_area: HoldingArea | None) -> DayPicture:
    """Returns the load chart and the holding area of a day."""
    load = layout_load_chart(bench, formats)
    if holding_area is None:
        return DayPicture(load, None)
    whole = HourScale(_floor_to_hour(bench.start, formats), bench.end)
    return DayPicture(load, layout_holding_area(holding_area, load.span if load else None, whole, formats))


def layout_load_chart(bench: BenchHours, formats: Formats) -> LoadChart | None:
    """Returns the load chart; None when nobody is there and nothing is planned."""
    pieces = _trimmed(list(_pieces(bench)))
    if not pieces:
        return None
    hours = HourScale(_floor_to_hour(pieces[0].start, formats), pieces[-1].end)
    scale = _LoadScale(hours, max(piece.most for piece in pieces))
    table = tuple(_by_hour(pieces, hours, formats))
    planned, available = sum(sum(row.planned) for row in table), sum(row.staff_available for row in table)
    return LoadChart(
        text=_in_words(table, planned, available, formats),
        planned_minutes=planned,
        available_minutes=available,
        bars=tuple(bar for piece in pieces for bar in _bars(piece, scale)),
        staff_line=" ".join(
            f"{hours.x(at)},{scale.y(piece.staff_available)}" for piece in pieces for at in (piece.start, piece.end)
        ),
        hours=hour_marks(hours, formats),
        staff=tuple(Mark(scale.y(staff), str(staff)) for staff in range(scale.most + 1)),
        table=table,
        span=hours,
    )


@dataclass(frozen=True, slots=True)
class _LoadScale:
    hours: HourScale
    most: int

    def y(self, staff: float) -> float:
        return round(GROUND - staff / self.most * (GROUND - TOP), 1)


def _floor_to_hour(moment: datetime, formats: Formats) -> datetime:
    """Returns the full hour of the shop's clock at or before this moment."""
    local = formats.local(moment)
    return moment - timedelta(minutes=local.minute, seconds=local.second)


def _pieces(bench: BenchHours) -> Iterator[_LoadPiece]:
    """Yields the time of the chart in pieces in which nothing changes."""
    spans: tuple[SavedBlock | Shift | Absence, ...] = (*bench.blocks, *bench.shifts, *bench.absences)
    inside = {at for one in spans for at in (one.start, one.end) if bench.start < at < bench.end}
    for start, end in pairwise(sorted({bench.start, bench.end, *inside})):
        on_shift = sum(one.hands for one in bench.shifts if one.start <= start < one.end)
        gone = sum(one.hands for one in bench.absences if one.start <= start < one.end)
        busy = [block for block in bench.blocks if block.start <= start < block.end]
        planned = tuple(sum(block.staff for block in busy if block.gas == layer) for layer in LAYERS)
        yield _LoadPiece(start, end, max(on_shift - gone, 0), planned)


def _trimmed(pieces: list[_LoadPiece]) -> list[_LoadPiece]:
    """Returns the pieces from the first to the last one in which somebody is there or needed."""
    some = [place for place, piece in enumerate(pieces) if piece.most]
    return pieces[some[0] : some[-1] + 1] if some else []


def _bars(piece: _LoadPiece, scale: _LoadScale) -> Iterator[Bar]:
    """Yields one bar for each layer of a piece that has work."""
    x, below = scale.hours.x(piece.start), 0
    width = round(scale.hours.x(piece.end) - x, 1)
    for layer, staff in zip(LAYERS, piece.planned, strict=True):
        if staff:
            top = scale.y(below + staff)
            yield Bar(layer or "finish", x, top, width, round(scale.y(below) - top, 1))
        below += staff


def _by_hour(pieces: Sequence[_LoadPiece], hours: HourScale, formats: Formats) -> Iterator[HourLoad]:
    """Yields the work of each hour."""
    for hour in hours.each():
        spent = [(piece, min(piece.end, hour + HOUR) - max(piece.start, hour)) for piece in pieces]
        within = [(piece, length / timedelta(minutes=1)) for piece, length in spent if length > timedelta()]
        available = sum(piece.staff_available * minutes for piece, minutes in within)
        planned = (sum(piece.planned[layer] * minutes for piece, minutes in within) for layer in range(len(LAYERS)))
        yield HourLoad(formats.clock(hour), round(available), tuple(map(round, planned)))


def _in_words(table: Sequence[HourLoad], planned: int, available: int, formats: Formats) -> str:
    """Returns how much work is planned, how much the staff can do, and the busiest hour. Both are in minutes."""
    if not planned:
        return f"No work is planned. Staff can do {formats.minutes(available)} of work."
    busiest = max(table, key=lambda row: (sum(row.planned), -row.free))
    hour = f"Busiest hour: from {busiest.hour}, {sum(busiest.planned)} of {busiest.staff_available} min."
    if planned > available:
        return f"{formats.minutes(planned - available)} more work than staff can do. {hour}"
    share = formats.percent(planned / available)
    return f"{formats.minutes(planned)} of work planned, {share} of staff time. {hour}"
