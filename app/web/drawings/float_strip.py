"""The float strip: one line of time per batch, laid out in the units of its picture.

From not-before through inflate-by and ready-by to the event's start and end; the float line fades where
the chance falls. The macro of the same name only draws it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import groupby

from app.physics.endurance import Endurance
from app.planning.window import Leg, Window, chance_at_end
from app.web.formats import Formats

WIDTH, LEFT, RIGHT = 480.0, 12.0, 468.0
FADE_STEPS = 20
LETTER = 4.6
"""Half the width of a letter of a label."""
LONGEST_LEAD = timedelta(hours=4)


@dataclass(frozen=True, slots=True)
class StripPiece:
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
    """x positions from 0 to WIDTH. gap: the window is empty, the hours are the wrong way round. start: inflate-by,
    or when it was begun."""

    text: str
    window: tuple[float, float] | None
    gap: tuple[float, float] | None
    reaches_back: bool
    start: float
    ready_by: float
    event: tuple[float, float] | None
    until: float | None
    now: float | None
    fade: tuple[StripPiece, ...]
    above: tuple[Label, ...]
    below: tuple[Label, ...]
    verdict: str


@dataclass(frozen=True, slots=True)
class StripHours:
    """What a strip is drawn from. begun: its real start; before that, inflate_by is what counts."""

    window: Window
    event_start: datetime | None
    until: datetime | None
    owns: Endurance
    legs: tuple[Leg, ...]
    verdict: str
    started: datetime | None = None

    @property
    def ready_by(self) -> datetime:
        return self.window.ready_by

    @property
    def start(self) -> datetime:
        return self.started or self.window.inflate_by


class _StripScale:
    def __init__(self, start: datetime, end: datetime) -> None:
        self.start, self.length = start, (end - start).total_seconds()

    def x(self, moment: datetime) -> float:
        part = (moment - self.start).total_seconds() / self.length
        return round(LEFT + min(max(part, 0.0), 1.0) * (RIGHT - LEFT), 1)


def layout(hours: StripHours, text: str, formats: Formats, now: datetime) -> Strip:
    """text: the same in words, for who cannot see it."""
    window = hours.window
    end = max(hours.until or hours.ready_by, hours.ready_by, hours.start, window.inflate_by)
    lead = max(LONGEST_LEAD, (end - window.inflate_by) / 2)
    earliest = window.earliest or window.inflate_by
    start = min(max(min(earliest, window.inflate_by), window.inflate_by - lead), hours.start)
    pad = max((end - start) / 24, timedelta(minutes=10))
    scale = _StripScale(start - pad, end + pad)
    span = (scale.x(earliest), scale.x(window.inflate_by))
    return Strip(
        text=text,
        window=None if window.is_empty else span,
        gap=(span[1], span[0]) if window.is_empty else None,
        reaches_back=earliest < start,
        start=scale.x(hours.start),
        ready_by=scale.x(hours.ready_by),
        event=(scale.x(hours.event_start), scale.x(hours.until)) if hours.event_start and hours.until else None,
        until=scale.x(hours.until) if hours.until else None,
        now=scale.x(now) if start <= now <= end else None,
        fade=_fade(hours, end, scale),
        above=_above(hours, formats, scale, now),
        below=_below(hours, formats, scale),
        verdict=hours.verdict,
    )


def _fade(hours: StripHours, end: datetime, scale: _StripScale) -> tuple[StripPiece, ...]:
    """Pieces as strong as the chance at their middle; what the eye cannot tell apart is one piece."""
    length = (end - hours.start) / FADE_STEPS
    strengths = [max(round(chance, 1), 0.1) for chance in _chances(hours.start, end, hours.legs, hours.owns)]
    pieces, first = [], 0
    for strength, alike in groupby(strengths):
        last = first + len(list(alike))
        x = scale.x(hours.start + first * length)
        pieces.append(StripPiece(x, round(scale.x(hours.start + last * length) - x + 0.4, 1), strength))
        first = last
    return tuple(pieces)


@lru_cache(maxsize=4096)
def _chances(start: datetime, end: datetime, legs: tuple[Leg, ...], owns: Endurance) -> tuple[float, ...]:
    """The chance at the middle of each piece; kept, since a board draws the same strips again and again."""
    length = (end - start) / FADE_STEPS
    middles = (start + (step + 0.5) * length for step in range(FADE_STEPS))
    return tuple(chance_at_end(start, _cut(legs, middle), owns) for middle in middles)


def _cut(legs: Sequence[Leg], end: datetime) -> list[Leg]:
    """The legs up to a moment; the last one goes on as long as needed."""
    cut = [leg for leg in legs if leg.ends < end]
    following = legs[min(len(cut), len(legs) - 1)]
    return [*cut, Leg(end, following.loss_rate)]


def _above(hours: StripHours, formats: Formats, scale: _StripScale, now: datetime) -> tuple[Label, ...]:
    """Over the line: when it was begun, or the window; its two ends apart where they are the wrong way round."""
    window, day = hours.window, formats.local(hours.ready_by).date()
    x = scale.x(hours.start)
    if hours.started:
        return (_inside(x, f"begun {formats.beside(hours.started, day)}"),)
    by = formats.beside(window.inflate_by, day)
    if window.earliest is None or window.earliest <= now:
        return (_inside(x, f"until {by}"),)
    earliest = formats.beside(window.earliest, day)
    if window.is_empty:
        first, after = _inside(x, by), f"not before {earliest}"
        room = first.x + LETTER * (len(by) + len(after)) + 8
        return (first, _inside(max(scale.x(window.earliest), room), after))
    return (_inside((scale.x(window.earliest) + x) / 2, f"{earliest} – {by}"),)


def _inside(x: float, text: str) -> Label:
    """A label about as wide as its text, kept within the picture."""
    half = LETTER * len(text)
    return Label(round(min(max(x, half), WIDTH - half), 1), text)


def _below(hours: StripHours, formats: Formats, scale: _StripScale) -> tuple[Label, ...]:
    """Hours under the line, the event's first: what would run into another is left to the words."""
    day = formats.local(hours.ready_by).date()
    wanted = [moment for moment in (hours.until, hours.event_start, hours.ready_by) if moment]
    labels: list[Label] = []
    for moment in wanted:
        label = _inside(scale.x(moment), formats.beside(moment, day))
        if all(abs(label.x - other.x) >= LETTER * (len(label.text) + len(other.text)) + 4 for other in labels):
            labels.append(label)
    return tuple(labels)
