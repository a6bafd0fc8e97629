"""The picture of a day at the bench: planned load against the hands that are there, laid out in its units, and the
same as a table by the hour. The macro of the same name only draws it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from app.actions.bench.holding_area import Corral
from app.actions.records.open_work import BenchWork
from app.physics.balloon import Gas
from app.planning.schedule import Away, Shift
from app.planning.work import STUFFING
from app.store.queries.plan import KeptBlock, KeptPlan
from app.web.days import Day
from app.web.drawings.holding_area import CorralStrip, lay_out_corral
from app.web.drawings.time_scale import HOUR, Hours, Mark, hour_marks
from app.web.formats import Formats

TOP, GROUND = 14.0, 190.0
LAYERS = (Gas.HELIUM.value, Gas.AIR.value, STUFFING, None)
"""From the ground up; None is finish work."""


@dataclass(frozen=True, slots=True)
class Bar:
    """Hands of one layer between two moments, standing on the layer below. layer: its word, for the look."""

    layer: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class HourLoad:
    """Hand-minutes of one hour: there, and planned by layer."""

    hour: str
    there: int
    planned: tuple[int, ...]

    @property
    def free(self) -> int:
        return self.there - sum(self.planned)


@dataclass(frozen=True, slots=True)
class Load:
    """there: the hands' line, as points of a path. span: from when to when it is drawn."""

    text: str
    bars: tuple[Bar, ...]
    there: str
    hours: tuple[Mark, ...]
    hands: tuple[Mark, ...]
    table: tuple[HourLoad, ...]
    span: Hours


@dataclass(frozen=True, slots=True)
class DayPicture:
    """load: None when nobody is there and nothing is planned. corral: None where nobody said how much room there
    is, and where nothing waits on a day without hands."""

    load: Load | None
    corral: CorralStrip | None


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch in which nothing changes."""

    start: datetime
    end: datetime
    there: int
    planned: tuple[int, ...]

    @property
    def most(self) -> int:
        return max(self.there, sum(self.planned))


@dataclass(frozen=True, slots=True)
class BenchHours:
    """What a picture is drawn from, from one moment to another."""

    blocks: Sequence[KeptBlock]
    shifts: Sequence[Shift]
    away: Sequence[Away]
    start: datetime
    end: datetime


def picture_of_day(
    plan: KeptPlan, work: BenchWork, corral: Corral | None, day: Day, now: datetime, formats: Formats
) -> DayPicture:
    """Today from now on. corral: of the plan; of days that have passed it is not known any more."""
    start = max(day.start, now) if day.is_today else day.start
    known = corral if day.end > now else None
    return lay_out_day(BenchHours(plan.blocks, work.shifts, work.away, start, day.end), formats, known)


def lay_out_day(bench: BenchHours, formats: Formats, corral: Corral | None) -> DayPicture:
    load = lay_out_load(bench, formats)
    if corral is None:
        return DayPicture(load, None)
    whole = Hours(_hour_down(bench.start, formats), bench.end)
    return DayPicture(load, lay_out_corral(corral, load.span if load else None, whole, formats))


def lay_out_load(bench: BenchHours, formats: Formats) -> Load | None:
    """None when nobody is there and nothing is planned."""
    pieces = _trimmed(list(_pieces(bench)))
    if not pieces:
        return None
    hours = Hours(_hour_down(pieces[0].start, formats), pieces[-1].end)
    scale = _Scale(hours, max(piece.most for piece in pieces))
    table = tuple(_by_hour(pieces, hours, formats))
    return Load(
        text=_in_words(table),
        bars=tuple(bar for piece in pieces for bar in _bars(piece, scale)),
        there=" ".join(
            f"{hours.x(at)},{scale.y(piece.there)}" for piece in pieces for at in (piece.start, piece.end)
        ),
        hours=hour_marks(hours, formats),
        hands=tuple(Mark(scale.y(hands), str(hands)) for hands in range(scale.most + 1)),
        table=table,
        span=hours,
    )


@dataclass(frozen=True, slots=True)
class _Scale:
    hours: Hours
    most: int

    def y(self, hands: float) -> float:
        return round(GROUND - hands / self.most * (GROUND - TOP), 1)


def _hour_down(moment: datetime, formats: Formats) -> datetime:
    local = formats.local(moment)
    return moment - timedelta(minutes=local.minute, seconds=local.second)


def _pieces(bench: BenchHours) -> Iterator[_Piece]:
    stretches: tuple[KeptBlock | Shift | Away, ...] = (*bench.blocks, *bench.shifts, *bench.away)
    inside = {at for one in stretches for at in (one.start, one.end) if bench.start < at < bench.end}
    for start, end in pairwise(sorted({bench.start, bench.end, *inside})):
        there = sum(one.hands for one in bench.shifts if one.start <= start < one.end)
        gone = sum(one.hands for one in bench.away if one.start <= start < one.end)
        busy = [block for block in bench.blocks if block.start <= start < block.end]
        planned = tuple(sum(block.hands for block in busy if block.gas == layer) for layer in LAYERS)
        yield _Piece(start, end, max(there - gone, 0), planned)


def _trimmed(pieces: list[_Piece]) -> list[_Piece]:
    """From the first to the last at which somebody is there or wanted."""
    some = [place for place, piece in enumerate(pieces) if piece.most]
    return pieces[some[0] : some[-1] + 1] if some else []


def _bars(piece: _Piece, scale: _Scale) -> Iterator[Bar]:
    x, below = scale.hours.x(piece.start), 0
    width = round(scale.hours.x(piece.end) - x, 1)
    for layer, hands in zip(LAYERS, piece.planned, strict=True):
        if hands:
            top = scale.y(below + hands)
            yield Bar(layer or "finish", x, top, width, round(scale.y(below) - top, 1))
        below += hands


def _by_hour(pieces: Sequence[_Piece], hours: Hours, formats: Formats) -> Iterator[HourLoad]:
    for hour in hours.each():
        spent = [(piece, min(piece.end, hour + HOUR) - max(piece.start, hour)) for piece in pieces]
        within = [(piece, length / timedelta(minutes=1)) for piece, length in spent if length > timedelta()]
        there = sum(piece.there * minutes for piece, minutes in within)
        planned = (sum(piece.planned[layer] * minutes for piece, minutes in within) for layer in range(len(LAYERS)))
        yield HourLoad(formats.clock(hour), round(there), tuple(map(round, planned)))


def _in_words(table: Sequence[HourLoad]) -> str:
    there, planned = sum(row.there for row in table), sum(sum(row.planned) for row in table)
    share = f", {planned / there:.0%} of them" if there else ""
    fullest = max(table, key=lambda row: (sum(row.planned), -row.free))
    return (
        f"{planned} hand-minutes planned of {there} that are there{share}; "
        f"the fullest hour begins at {fullest.hour} with {sum(fullest.planned)} of {fullest.there}."
    )
