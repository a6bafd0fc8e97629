"""This module lays out the float strip, which is one line of time per batch. The macro of the same name draws it.

The line runs from not-before through inflate-by and ready-by to the start and end of the event, and fades as the
chance falls.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import groupby

from app.planning.window import BenchWindow, FloatPlan, Leg, chance_at_end
from app.web.formats import Formats

WIDTH, LEFT, RIGHT = 480.0, 12.0, 468.0
FADE_STEPS = 20
LETTER = 4.6
"""Half the width of one letter of a label, in units of the picture."""
LONGEST_LEAD = timedelta(hours=4)


@dataclass(frozen=True, slots=True)
class StripPiece:
    """A piece of the float line. strength: how strongly it is drawn, by the chance there."""

    x: float
    width: float
    strength: float


@dataclass(frozen=True, slots=True)
class Label:
    """A text at one place of the line."""

    x: float
    text: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A float strip, with x positions from 0 to WIDTH.

    gap: set when the window is empty because not-before lies after inflate-by. starts_before_picture: whether the
    window begins before the picture does. start: inflate-by, or when the batch was started. until: until when the
    balloons must float.
    """

    text: str
    window: tuple[float, float] | None
    gap: tuple[float, float] | None
    starts_before_picture: bool
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
    """What a float strip shows. started: the real start of the batch; until it has one, inflate_by counts."""

    window: BenchWindow
    event_start: datetime | None
    until: datetime | None
    float_plan: FloatPlan
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
        """Returns the x position of a moment, kept within the line."""
        part = (moment - self.start).total_seconds() / self.length
        return round(LEFT + min(max(part, 0.0), 1.0) * (RIGHT - LEFT), 1)


def layout(hours: StripHours, text: str, formats: Formats, now: datetime) -> Strip:
    """Returns the float strip of a batch. text: the same in words, for those who cannot see it."""
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
        starts_before_picture=earliest < start,
        start=scale.x(hours.start),
        ready_by=scale.x(hours.ready_by),
        event=(scale.x(hours.event_start), scale.x(hours.until)) if hours.event_start and hours.until else None,
        until=scale.x(hours.until) if hours.until else None,
        now=scale.x(now) if start <= now <= end else None,
        fade=_fading_pieces(hours, end, scale),
        above=_labels_above(hours, formats, scale, now),
        below=_labels_below(hours, formats, scale),
        verdict=hours.verdict,
    )


def _fading_pieces(hours: StripHours, end: datetime, scale: _StripScale) -> tuple[StripPiece, ...]:
    """Returns the pieces of the float line, each as strong as the chance at its middle; pieces that look alike
    are joined."""
    length = (end - hours.start) / FADE_STEPS
    strengths = [max(round(chance, 1), 0.1) for chance in _chances(hours.start, end, hours.float_plan)]
    pieces, first = [], 0
    for strength, alike in groupby(strengths):
        last = first + len(list(alike))
        x = scale.x(hours.start + first * length)
        pieces.append(StripPiece(x, round(scale.x(hours.start + last * length) - x + 0.4, 1), strength))
        first = last
    return tuple(pieces)


@lru_cache(maxsize=4096)
def _chances(start: datetime, end: datetime, plan: FloatPlan) -> tuple[float, ...]:
    """Returns the chance at the middle of each piece. Results are cached, because a board draws the same strips
    often."""
    length = (end - start) / FADE_STEPS
    middles = (start + (step + 0.5) * length for step in range(FADE_STEPS))
    return tuple(chance_at_end(start, _legs_until(plan.legs, middle), plan.endurance) for middle in middles)


def _legs_until(legs: Sequence[Leg], end: datetime) -> list[Leg]:
    """Returns the legs up to a moment; the last one is extended if need be."""
    cut = [leg for leg in legs if leg.ends < end]
    following = legs[min(len(cut), len(legs) - 1)]
    return [*cut, Leg(end, following.loss_rate)]


def _labels_above(hours: StripHours, formats: Formats, scale: _StripScale, now: datetime) -> tuple[Label, ...]:
    """Returns the labels above the line: when the batch was started, or its window. The ends of an empty window
    are two labels."""
    window, day = hours.window, formats.local(hours.ready_by).date()
    x = scale.x(hours.start)
    if hours.started:
        return (_label_within(x, f"started {formats.short_moment(hours.started, day)}"),)
    by = formats.short_moment(window.inflate_by, day)
    if window.earliest is None or window.earliest <= now:
        return (_label_within(x, f"until {by}"),)
    earliest = formats.short_moment(window.earliest, day)
    if window.is_empty:
        first, after = _label_within(x, by), f"not before {earliest}"
        room = first.x + LETTER * (len(by) + len(after)) + 8
        return (first, _label_within(max(scale.x(window.earliest), room), after))
    return (_label_within((scale.x(window.earliest) + x) / 2, f"{earliest} – {by}"),)


def _label_within(x: float, text: str) -> Label:
    """Returns a label that is kept within the picture, as wide as its text is."""
    half = LETTER * len(text)
    return Label(round(min(max(x, half), WIDTH - half), 1), text)


def _labels_below(hours: StripHours, formats: Formats, scale: _StripScale) -> tuple[Label, ...]:
    """Returns the labels below the line, those of the event first. A label that would run into another is left
    out."""
    day = formats.local(hours.ready_by).date()
    wanted = [moment for moment in (hours.until, hours.event_start, hours.ready_by) if moment]
    labels: list[Label] = []
    for moment in wanted:
        label = _label_within(scale.x(moment), formats.short_moment(moment, day))
        if all(abs(label.x - other.x) >= LETTER * (len(label.text) + len(other.text)) + 4 for other in labels):
            labels.append(label)
    return tuple(labels)
