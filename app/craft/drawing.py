"""This module describes a small drawing as plain shapes in centimetres, with x to the right and y upwards."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum


class Stroke(StrEnum):
    RIBBON = "ribbon"
    LINE = "line"
    POLE = "pole"
    GROUND = "ground"
    AID = "aid"
    """What is around the piece for one step: a bag, a tag, a rail."""


@dataclass(frozen=True, slots=True)
class Ball:
    """A balloon. colour_index: which colour of the piece, counted from 0; None for foil, sphere and topper.
    film_index: of those, which colour of their own. part: which part of the piece it is in, counted from 0 in the
    order in which they are put together. is_item: whether it is no balloon, but something inside one, which is
    drawn as a box."""

    x: float
    y: float
    radius: float
    colour_index: int | None = 0
    film_index: int | None = None
    part: int = 0
    is_item: bool = False


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points. closed: whether it returns to the first point, as for a weight or a bag. part: of the
    balloon that it belongs to."""

    points: tuple[tuple[float, float], ...]
    stroke: Stroke
    closed: bool = False
    part: int = 0

    @property
    def is_weight(self) -> bool:
        """Whether it is the outline of a weight."""
        return self.closed and self.stroke is Stroke.LINE


@dataclass(frozen=True, slots=True)
class DrawingNote:
    """A short text at one point of a drawing."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing: first the paths are drawn, then the balls in their order, then the notes. text: the same in
    words. four: the colours of the first four, if it is made of fours."""

    text: str
    balls: tuple[Ball, ...] = ()
    paths: tuple[Path, ...] = ()
    notes: tuple[DrawingNote, ...] = ()
    four: tuple[int, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The left, bottom, right and top edge of all balls and paths, in cm; all 0 when there are none."""
        spans = list(self._spans())
        if not spans:
            return (0.0, 0.0, 0.0, 0.0)
        lefts, bottoms, rights, tops = zip(*spans, strict=True)
        return (min(lefts), min(bottoms), max(rights), max(tops))

    def _spans(self) -> Iterator[tuple[float, float, float, float]]:
        for ball in self.balls:
            yield (ball.x - ball.radius, ball.y - ball.radius, ball.x + ball.radius, ball.y + ball.radius)
        for path in self.paths:
            for x, y in path.points:
                yield (x, y, x, y)
