"""This module lays out the float strip, which is one line of time per batch. The macro of the same name draws it;
the slim one is drawn here.

The line runs from not-before through inflate-by and ready-by to the start and end of the event, and fades as the
chance falls.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import groupby

from markupsafe import Markup, escape

from app.planning.bench_window import BenchWindow
from app.planning.window import FloatPlan, Leg, chance_at_end
from app.web.formats import Formats

WIDTH, LEFT, RIGHT = 480.0, 12.0, 468.0
FADE_STEPS = 20
LETTER = 4.9
"""Half the width of one letter of a label, in units of the picture."""
LABEL_GAP = 8
"""Between two labels, in units of the picture."""
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


def layout(hours: StripHours, text: str, formats: Formats, now: datetime, *, slim: bool = False) -> Strip:
    """Returns the float strip of a batch. text: the same in words, for those who cannot see it. slim: whether it is
    drawn as the underline of a row, which has no labels."""
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
        above=() if slim else _labels_above(hours, formats, scale, now),
        below=() if slim else _labels_below(hours, formats, scale, now),
        verdict=hours.verdict,
    )


def draw_slim(strip: Strip) -> Markup:
    """Returns a strip as the underline of a row: no labels, as wide as its row. A board has hundreds of them, so it
    is put together here and not by a template."""
    window, event, gap = strip.window, strip.event, strip.gap
    drawn = [
        f'<svg class="strip strip-slim strip-{strip.verdict}" viewBox="0 0 480 10" preserveAspectRatio="none" '
        f'role="img"><title>{escape(strip.text)}</title>'
    ]
    if event:
        drawn.append(_bar("strip-event", event[0], max(event[1] - event[0], 2)))
    if window:
        drawn.append(_bar("strip-window", window[0], max(window[1] - window[0], 3)))
    if gap:
        drawn.append(f'<line class="strip-gap" x1="{gap[0]}" x2="{gap[1]}" y1="5" y2="5"/>')
    drawn += [_bar("strip-float", one.x, one.width, f' opacity="{one.strength}"') for one in strip.fade]
    drawn.append(f'<path class="strip-mark" d="M{strip.start} 0v10"/>')
    drawn.append(f'<path class="strip-mark strip-mark-ready" d="M{strip.ready_by} 0v10"/>')
    if strip.until:
        drawn.append(f'<path class="strip-mark" d="M{strip.until} 0v10"/>')
    return Markup("\n".join([*drawn, "</svg>"]))


def _bar(look: str, x: float, width: float, more: str = "") -> str:
    """Returns a bar of a slim strip, as high as the strip is."""
    return f'<rect class="{look}" x="{x}" y="0" width="{width}" height="10"{more}/>'


def _fading_pieces(hours: StripHours, end: datetime, scale: _StripScale) -> tuple[StripPiece, ...]:
    """Returns the pieces of the float line, each as strong as the chance at its middle; pieces that look alike
    are joined."""
    length = (end - hours.start) / FADE_STEPS
    strengths = _strengths(hours.start, end, hours.float_plan)
    pieces, first = [], 0
    for strength, alike in groupby(strengths):
        last = first + len(list(alike))
        x = scale.x(hours.start + first * length)
        pieces.append(StripPiece(x, round(scale.x(hours.start + last * length) - x + 0.4, 1), strength))
        first = last
    return tuple(pieces)


@lru_cache(maxsize=4096)
def _strengths(start: datetime, end: datetime, plan: FloatPlan) -> tuple[float, ...]:
    """Returns how strong each piece is. Results are cached, because a board draws the same strips often.

    The chance never rises with time, so between two pieces that are equally strong all are, and are not asked for.
    """
    length, found = (end - start) / FADE_STEPS, [0.0] * FADE_STEPS

    def strength(step: int) -> float:
        legs = _legs_until(plan.legs, start + (step + 0.5) * length)
        return max(round(chance_at_end(start, legs, plan.endurance), 1), 0.1)

    def fill(first: int, last: int) -> None:
        """Finds all between two pieces that are found."""
        if found[first] == found[last]:
            found[first:last] = [found[first]] * (last - first)
        elif last - first > 1:
            middle = (first + last) // 2
            found[middle] = strength(middle)
            fill(first, middle)
            fill(middle, last)

    found[0], found[-1] = strength(0), strength(FADE_STEPS - 1)
    fill(0, FADE_STEPS - 1)
    return tuple(found)


def _legs_until(legs: Sequence[Leg], end: datetime) -> list[Leg]:
    """Returns the legs up to a moment; the last one is extended if need be."""
    cut = [leg for leg in legs if leg.ends < end]
    following = legs[min(len(cut), len(legs) - 1)]
    return [*cut, Leg(end, following.loss_rate)]


def _labels_above(hours: StripHours, formats: Formats, scale: _StripScale, now: datetime) -> tuple[Label, ...]:
    """Returns the labels above the line: when the batch was started, or its window. The ends of an empty window
    are two labels. A day that is not today is named, with its date if it is far."""
    window, today = hours.window, formats.local(now).date()
    x = scale.x(hours.start)
    if hours.started:
        return (_label_within(x, f"started {formats.short_moment(hours.started, today)}"),)
    by = formats.short_moment(window.inflate_by, today)
    if window.earliest is None or window.earliest <= now:
        return (_label_within(x, f"until {by}"),)
    if window.is_empty:
        after = f"wait until {formats.weekday_clock(window.earliest, today)}"
        return _two_labels(_label_within(x, by), _label_within(scale.x(window.earliest), after))
    earliest = formats.short_moment(window.earliest, today)
    by = formats.short_moment(window.inflate_by, formats.local(window.earliest).date())
    return (_label_within((scale.x(window.earliest) + x) / 2, f"{earliest} – {by}"),)


def _two_labels(first: Label, second: Label) -> tuple[Label, Label]:
    """Returns two labels with the second moved to the right of the first, and the first to the left if the picture
    ends there."""
    moved = _label_within(max(second.x, first.x + _room(first, second)), second.text)
    return Label(round(min(first.x, moved.x - _room(first, moved)), 1), first.text), moved


def _label_within(x: float, text: str) -> Label:
    """Returns a label that is kept within the picture, as wide as its text is."""
    half = LETTER * len(text)
    return Label(round(min(max(x, half), WIDTH - half), 1), text)


def _room(one: Label, other: Label) -> float:
    """Returns how far the middles of two labels must be apart."""
    return LETTER * (len(one.text) + len(other.text)) + LABEL_GAP


def _labels_below(hours: StripHours, formats: Formats, scale: _StripScale, now: datetime) -> tuple[Label, ...]:
    """Returns the labels below the line, those of the event first; a day that is not today is named. A label that
    would run into another moves aside while it still reaches its mark; else it is left out.

    The label above has the date of a far day; once the batch was started, the first one below has it.
    """
    today = formats.local(now).date()
    wanted = [moment for moment in (hours.until, hours.event_start, hours.ready_by) if moment]
    labels: list[Label] = []
    for moment in wanted:
        describe = formats.short_moment if hours.started and not labels else formats.weekday_clock
        label = _free_label(scale.x(moment), describe(moment, today), labels)
        labels += [label] if label else []
    return tuple(labels)


def _free_label(mark: float, text: str, labels: Sequence[Label]) -> Label | None:
    """Returns a label that runs into none of the others, as near to its mark as there is room; None if its text
    would not reach the mark."""
    own = _label_within(mark, text)
    aside = (_label_within(other.x + side * _room(own, other), text) for other in labels for side in (-1, 1))
    fitting = [one for one in (own, *aside) if all(abs(one.x - it.x) >= _room(one, it) - 0.2 for it in labels)]
    nearest = min(fitting, key=lambda one: abs(one.x - mark), default=None)
    return nearest if nearest and abs(nearest.x - mark) <= LETTER * len(text) else None
