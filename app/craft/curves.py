"""This module calculates the centre lines of arches: half an ellipse, an arc of a circle, a chain upside down.

All stand on y = 0 from x = −span/2 to span/2, in metres.
"""

import math
from bisect import bisect_right
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import accumulate, pairwise
from typing import Protocol

from app.craft.piece import check_within

SAMPLES = 2000
Point = tuple[float, float]


class Shape(StrEnum):
    ELLIPSE = "ellipse"
    CIRCLE = "circle"
    CHAIN = "chain"


class Curve(Protocol):
    """The centre line of an arch, in metres.

    span_m: between its feet. height_m: of its crown above the feet. width_m: where it is widest. length_m: along
    the line. tightest_m: its smallest radius of bend. point(share): the point for a share from 0, the left foot, to
    1, the right foot; equal steps of the share are not equal distances.
    """

    @property
    def span_m(self) -> float: ...
    @property
    def height_m(self) -> float: ...
    @property
    def width_m(self) -> float: ...
    @property
    def length_m(self) -> float: ...
    @property
    def tightest_m(self) -> float: ...
    def point(self, share: float) -> Point: ...


@dataclass(frozen=True, slots=True)
class HalfEllipse:
    span_m: float
    height_m: float

    @property
    def width_m(self) -> float:
        return self.span_m

    @property
    def length_m(self) -> float:
        """Half the perimeter of the ellipse in metres, within 1e-9 of the elliptic integral.

        It uses the trapezoidal rule over one period of the integrand, where that converges faster than any power of
        the step.
        """
        half = self.span_m / 2
        turns = (math.pi * step / SAMPLES for step in range(SAMPLES))
        return math.pi / SAMPLES * sum(math.hypot(half * math.sin(t), self.height_m * math.cos(t)) for t in turns)

    @property
    def tightest_m(self) -> float:
        """The smallest radius of bend in metres, at the crown or at the feet."""
        half = self.span_m / 2
        return min(half**2 / self.height_m, self.height_m**2 / half)

    def point(self, share: float) -> Point:
        turn = math.pi * (1 - share)
        return (self.span_m / 2 * math.cos(turn), self.height_m * math.sin(turn))


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc of a circle; it is more than half a circle when it is higher than half its span."""

    span_m: float
    height_m: float

    @property
    def tightest_m(self) -> float:
        """The radius of the circle in metres."""
        return (self.span_m**2 / 4 + self.height_m**2) / (2 * self.height_m)

    @property
    def width_m(self) -> float:
        return self.span_m if self.height_m <= self.tightest_m else 2 * self.tightest_m

    @property
    def half_turn(self) -> float:
        """The angle from the crown to a foot, in radians."""
        return math.atan2(self.span_m / 2, self.tightest_m - self.height_m)

    @property
    def length_m(self) -> float:
        return 2 * self.tightest_m * self.half_turn

    def point(self, share: float) -> Point:
        radius, turn = self.tightest_m, self.half_turn * (2 * share - 1)
        return (radius * math.sin(turn), self.height_m - radius * (1 - math.cos(turn)))


@dataclass(frozen=True, slots=True)
class Chain:
    """A catenary upside down, y = height − c·(cosh(x/c) − 1), with c as parameter_m.

    It is the shape of a line that is pulled upwards evenly along its length; it does not depend on how strong the
    pull is.
    """

    span_m: float
    parameter_m: float

    @property
    def width_m(self) -> float:
        return self.span_m

    @property
    def steepness(self) -> float:
        """Half the span divided by c; the higher the chain is for its span, the larger."""
        return self.span_m / (2 * self.parameter_m)

    @property
    def height_m(self) -> float:
        return self.parameter_m * (math.cosh(self.steepness) - 1)

    @property
    def length_m(self) -> float:
        """The length along the chain in metres."""
        return 2 * self.parameter_m * math.sinh(self.steepness)

    @property
    def tightest_m(self) -> float:
        return self.parameter_m

    def point(self, share: float) -> Point:
        along = self.length_m * (share - 0.5)
        x = self.parameter_m * math.asinh(along / self.parameter_m)
        return (x, self.height_m - self.parameter_m * (math.cosh(x / self.parameter_m) - 1))


def chain(span_m: float, height_m: float) -> Chain:
    """Returns the chain with this span between its feet and this height of its crown, in metres.

    It solves (cosh k − 1)/2k = height/span with k = span/2c. Ranges and errors are those of `curve`. Source: the
    catenary.
    """
    _check_proportions(span_m, height_m)
    k = bisected(lambda k: (math.cosh(k) - 1) / (2 * k), height_m / span_m)
    return Chain(span_m, span_m / (2 * k))


def curve(shape: Shape, span_m: float, height_m: float | None = None) -> Curve:
    """Returns the centre line of this shape, with this span and this height of its crown above the feet.

    span_m: 0.3 to 50 m. height_m: 0.1 to 20 m, and 0.05 to 10 times the span; None means half the span. Raises
    ValueError outside. Source: geometry.
    """
    height = span_m / 2 if height_m is None else height_m
    _check_proportions(span_m, height)
    if shape is Shape.CHAIN:
        return chain(span_m, height)
    return HalfEllipse(span_m, height) if shape is Shape.ELLIPSE else Arc(span_m, height)


def _check_proportions(span_m: float, height_m: float) -> None:
    """Raises ValueError for a span, a height or a ratio of both outside the ranges of `curve`."""
    check_within("a span", span_m, 0.3, 50.0, "m")
    check_within("a height", height_m, 0.1, 20.0, "m")
    check_within("a height divided by the span", round(height_m / span_m, 9), 0.05, 10.0)


def bisected(rising: Callable[[float], float], wanted: float) -> float:
    """Returns the x above 0 at which a rising function reaches the wanted value, as exactly as floats allow.

    The function must reach it below 700, where cosh would overflow.
    """
    low, high = 0.0, 1e-3
    while rising(high) < wanted:
        low, high = high, high * 2
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if rising(middle) < wanted else (low, middle)
    return high


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of a line, in metres, and the direction of the line there as a unit vector."""

    x: float
    y: float
    along: Point


def spots(line: Curve, distances_m: tuple[float, ...]) -> Iterator[Spot]:
    """Yields the points of the line that lie these many metres along it, within 1e-4 of its length, for drawing."""
    points = [line.point(step / SAMPLES) for step in range(SAMPLES + 1)]
    ends = list(accumulate((math.dist(a, b) for a, b in pairwise(points)), initial=0.0))
    for distance in distances_m:
        place = min(max(bisect_right(ends, distance) - 1, 0), SAMPLES - 1)
        (x, y), (to_x, to_y) = points[place], points[place + 1]
        step = ends[place + 1] - ends[place]
        along = ((to_x - x) / step, (to_y - y) / step)
        beyond = distance - ends[place]
        yield Spot(x + along[0] * beyond, y + along[1] * beyond, along)
