"""This module lays out the float curve: the chance that one balloon is still up, hour after hour in one place.

The template `help/_curve.html` draws it. What it shows is calculated by the physics alone.
"""

import math
from dataclasses import dataclass

from app.physics.balloon import Gas
from app.physics.endurance import Filling, FloatDefaults, endurance, filling_loss_rate
from app.physics.light import Surroundings, light_rate
from app.physics.promise import Promise, promise_of
from app.web.drawings.time_scale import Mark
from app.web.formats import Formats
from app.web.wording.float_time import about_hours, batch_curve_words, float_curve_words

WIDTH, HEIGHT = 480.0, 232.0
LEFT, RIGHT, TOP, GROUND = 48.0, 466.0, 22.0, 196.0
SAMPLES = 80
BATCH = 24
"""So many balloons are in the batch whose promise is told beside the curve."""
FALLEN = 0.05
"""The picture goes on until the chance is as low as this, unless light ends it before."""
SUNK = 0.003
"""Where the chance is as low as this, the curve has reached the ground."""
HOURS_OF_DAYS = 96.0
"""From so many hours on, the hours of the picture are written as days."""
ENDS = ((24, 4), (48, 8), (96, 24), (168, 24), (336, 48), (672, 96), (1344, 192), (2688, 384), (5376, 768))
"""The hours at which a picture may end, and how many lie between two marks. They are few, so that a curve moves
and its picture stays."""


@dataclass(frozen=True, slots=True)
class CurveDot:
    """A place on the curve, with its hours in words. is_left: whether they stand to the left of it."""

    x: float
    y: float
    text: str
    is_left: bool


@dataclass(frozen=True, slots=True)
class FloatCurve:
    """A float curve. All hours are 0 for a balloon that does not rise, and end where light has aged latex.

    median_hours: until one is as likely down as up. safe_hours: until one is up with the shop's certainty.
    batch_hours: until the promise of a batch is kept with that certainty. text, batch_text: the same in words.
    light: where light ends the curve, if that is in the picture.
    line, usual: points of the curve, and of that of the same balloon as the shop usually fills it; empty if there
    is none, or if it is the same. area, safe_area: what lies below the curve, and the part of it up to safe_hours.
    hours: the marks below the picture, with their unit. table: the chance at each of them.
    """

    median_hours: float
    safe_hours: float
    batch_hours: float
    certainty: float
    text: str
    batch_text: str
    light: float | None
    line: str
    usual: str
    area: str
    safe_area: str
    dots: tuple[CurveDot, ...]
    hours: tuple[Mark, ...]
    unit: str
    chances: tuple[Mark, ...]
    table: tuple[tuple[str, str], ...]

    @property
    def floats(self) -> bool:
        """Whether the balloon rises at all."""
        return self.median_hours > 0


@dataclass(frozen=True, slots=True)
class _Floating:
    """How one filled balloon floats in the air in which it was filled."""

    filling: Filling
    defaults: FloatDefaults

    def chance(self, hours: float) -> float:
        """Returns the chance that it is still up after so many hours."""
        return endurance(self.filling, self.defaults).chance([(hours, self._loss)])

    def hours(self, certainty: float | None, promise: Promise | None = None) -> float:
        """Returns for how many hours it floats with this certainty; None is the median."""
        owns = endurance(self.filling, self.defaults, promise or Promise())
        budget = owns.budget if certainty is None else owns.spendable(certainty)
        return owns.hours_after(budget, self._loss) if budget > 0 else 0.0

    @property
    def good_hours(self) -> float:
        """Returns for how many hours indoors light leaves it good; inf if light does not age it."""
        rate = light_rate(self.filling.balloon_type.material, Gas.HELIUM, Surroundings.INDOORS, self.defaults.light)
        return 1.0 / rate if rate > 0 else math.inf

    @property
    def _loss(self) -> float:
        return filling_loss_rate(self.filling, self.filling.air, self.defaults)


@dataclass(frozen=True, slots=True)
class _CurveScale:
    end: float
    step: float

    @property
    def unit(self) -> int:
        """The hours of one of the unit in which the marks are written: an hour, or a day for a long picture."""
        return 24 if self.end >= HOURS_OF_DAYS else 1

    def x(self, hours: float) -> float:
        return round(LEFT + min(hours / self.end, 1.0) * (RIGHT - LEFT), 1)

    def y(self, chance: float) -> float:
        return round(GROUND - chance * (GROUND - TOP), 1)

    def points(self, one: _Floating, until: float) -> list[str]:
        """Returns the points of a curve up to an hour, or to where it has reached the ground."""
        last = min(until, one.hours(SUNK), self.end)
        at = [last * place / SAMPLES for place in range(SAMPLES + 1)] if last > 0 else []
        return [f"{self.x(hours)},{self.y(one.chance(hours))}" for hours in at]

    def marks(self) -> list[float]:
        return [self.step * place for place in range(round(self.end / self.step) + 1)]


def layout_float_curve(
    filling: Filling, usual: Filling, defaults: FloatDefaults, certainty: float, formats: Formats
) -> FloatCurve:
    """Returns the float curve of a balloon filled with helium, in the air in which it was filled.

    usual: the same balloon as the shop usually fills it, drawn for comparison. certainty: a chance between 0 and 1.
    Raises ValueError like `endurance`.
    """
    one, promise = _Floating(filling, defaults), promise_of(BATCH, defaults.promised_share)
    good, floats = one.good_hours, one.hours(None) > 0
    scale = _scale(one)
    safe, median = (min(one.hours(chance), good) for chance in (certainty, None))
    batch = min(one.hours(certainty, promise), good)
    end, line = min(good, one.hours(SUNK), scale.end), scale.points(one, good) if floats else []
    return FloatCurve(
        median_hours=median,
        safe_hours=safe,
        batch_hours=batch,
        certainty=certainty,
        text=float_curve_words(
            filling.balloon_type.name, (median, safe), certainty, formats, by_light=median == good
        ),
        batch_text=batch_curve_words(batch, promise, formats) if floats else "",
        light=scale.x(good) if floats and good <= scale.end else None,
        line=" ".join(line),
        usual=" ".join(scale.points(_Floating(usual, defaults), good)) if filling != usual else "",
        area=_area(line, scale.x(end)) if floats else "",
        safe_area=_area(scale.points(one, safe), scale.x(safe)) if floats else "",
        dots=tuple(_dot(scale, hours, one.chance(hours), formats) for hours in {safe: 0, median: 0} if floats),
        hours=tuple(Mark(scale.x(hours), formats.number(hours / scale.unit)) for hours in scale.marks()),
        unit="h" if scale.unit == 1 else "days",
        chances=tuple(Mark(scale.y(chance), formats.percent(chance)) for chance in (0.0, 0.5, 1.0)),
        table=tuple(
            (formats.hours(hours), formats.percent(one.chance(hours)))
            for hours in scale.marks()
            if floats and hours <= good
        ),
    )


def _scale(one: _Floating) -> _CurveScale:
    """Returns the scale of a picture on which the chance falls as far as it is worth looking at."""
    shown = min(one.hours(FALLEN), one.good_hours)
    end, step = next((pair for pair in ENDS if pair[0] >= shown), ENDS[-1])
    return _CurveScale(float(end), float(step))


def _area(points: list[str], end: float) -> str:
    """Returns what lies between these points of a curve and the ground."""
    return " ".join((f"{LEFT},{GROUND}", *points, f"{end},{GROUND}"))


def _dot(scale: _CurveScale, hours: float, chance: float, formats: Formats) -> CurveDot:
    x = scale.x(hours)
    return CurveDot(x, scale.y(chance), about_hours(hours, formats), x > LEFT + 0.7 * (RIGHT - LEFT))
