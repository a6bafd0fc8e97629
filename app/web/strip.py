"""The float strip: one line of time per batch, laid out in the units of its picture.

From not-before through inflate-by and ready-by to the event's start and end; the float line fades where
the chance falls. The macro of the same name only draws it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.physics.endurance import Endurance
from app.planning.window import Leg, chance_at_end
from app.web.formats import Formats

WIDTH, LEFT, RIGHT = 480.0, 12.0, 468.0
FADE_STEPS = 14
LABEL_ROOM = 58.0
LONGEST_LEAD = timedelta(hours=4)


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the float line, as strong as the chance."""

    x: float
    width: float
    strength: float


@dataclass(frozen=True, slots=True)
class Label:
    x: float
    text: str


@dataclass(frozen=True, slots=True)
class Strip:
    """x positions from 0 to WIDTH. gap: the window is empty, the hours are the wrong way round."""

    text: str
    window: tuple[float, float] | None
    gap: tuple[float, float] | None
    reaches_back: bool
    inflate_by: float
    ready_by: float
    event: tuple[float, float] | None
    until: float | None
    now: float | None
    fade: tuple[Piece, ...]
    above: tuple[Label, ...]
    below: tuple[Label, ...]
    verdict: str


@dataclass(frozen=True, slots=True)
class Hours:
    """What a strip is drawn from."""

    not_before: datetime | None
    inflate_by: datetime
    ready_by: datetime
    event_start: datetime | None
    until: datetime | None
    owns: Endurance
    legs: Sequence[Leg]
    verdict: str


class _Scale:
    def __init__(self, start: datetime, end: datetime) -> None:
        self.start, self.length = start, (end - start).total_seconds()

    def x(self, moment: datetime) -> float:
        part = (moment - self.start).total_seconds() / self.length
        return round(LEFT + min(max(part, 0.0), 1.0) * (RIGHT - LEFT), 1)


def lay_out(hours: Hours, text: str, formats: Formats, now: datetime | None = None) -> Strip:
    """text: the same in words, for who cannot see it."""
    end = max(hours.until or hours.ready_by, hours.ready_by, hours.inflate_by)
    lead = max(LONGEST_LEAD, (end - hours.inflate_by) / 2)
    earliest = hours.not_before or hours.inflate_by
    start = max(min(earliest, hours.inflate_by), hours.inflate_by - lead)
    pad = max((end - start) / 24, timedelta(minutes=10))
    scale = _Scale(start - pad, end + pad)
    ordered = earliest <= hours.inflate_by
    span = (scale.x(earliest), scale.x(hours.inflate_by))
    return Strip(
        text=text,
        window=span if ordered else None,
        gap=None if ordered else (span[1], span[0]),
        reaches_back=earliest < start,
        inflate_by=scale.x(hours.inflate_by),
        ready_by=scale.x(hours.ready_by),
        event=(scale.x(hours.event_start), scale.x(hours.until)) if hours.event_start and hours.until else None,
        until=scale.x(hours.until) if hours.until else None,
        now=scale.x(now) if now and start <= now <= end else None,
        fade=_fade(hours, end, scale),
        above=_above(hours, formats, scale),
        below=_below(hours, formats, scale),
        verdict=hours.verdict,
    )


def _fade(hours: Hours, end: datetime, scale: _Scale) -> tuple[Piece, ...]:
    """The chance at the middle of each piece, when started at inflate-by."""
    length = (end - hours.inflate_by) / FADE_STEPS
    pieces = []
    for step in range(FADE_STEPS):
        at = hours.inflate_by + step * length
        chance = chance_at_end(hours.inflate_by, _cut(hours.legs, at + length / 2), hours.owns)
        x = scale.x(at)
        pieces.append(Piece(x, round(scale.x(at + length) - x + 0.4, 1), round(max(chance, 0.06), 2)))
    return tuple(pieces)


def _cut(legs: Sequence[Leg], end: datetime) -> list[Leg]:
    """The legs up to a moment; the last one goes on as long as needed."""
    cut = [leg for leg in legs if leg.ends < end]
    following = legs[min(len(cut), len(legs) - 1)]
    return [*cut, Leg(end, following.pace)]


def _above(hours: Hours, formats: Formats, scale: _Scale) -> tuple[Label, ...]:
    """Over the line: the window; or its two ends apart, where they are the wrong way round."""
    day = formats.local(hours.ready_by).date()
    inflate_by = formats.beside(hours.inflate_by, day)
    x = scale.x(hours.inflate_by)
    if hours.not_before is None:
        return (_inside(x, inflate_by),)
    not_before = formats.beside(hours.not_before, day)
    if hours.not_before > hours.inflate_by:
        after = _inside(max(scale.x(hours.not_before), x + 2 * LABEL_ROOM), f"not before {not_before}")
        return (_inside(x, inflate_by), after)
    return (_inside((scale.x(hours.not_before) + x) / 2, f"{not_before} – {inflate_by}"),)


def _inside(x: float, text: str) -> Label:
    """A label about as wide as its text, kept within the picture."""
    half = 4.2 * len(text)
    return Label(round(min(max(x, half), WIDTH - half), 1), text)


def _below(hours: Hours, formats: Formats, scale: _Scale) -> tuple[Label, ...]:
    """Hours under the line, the event's first: what would run into another is left to the words."""
    day = formats.local(hours.ready_by).date()
    wanted = [moment for moment in (hours.until, hours.event_start, hours.ready_by) if moment]
    labels: list[Label] = []
    for moment in wanted:
        label = _inside(scale.x(moment), formats.beside(moment, day))
        if all(abs(label.x - other.x) >= LABEL_ROOM for other in labels):
            labels.append(label)
    return tuple(labels)
