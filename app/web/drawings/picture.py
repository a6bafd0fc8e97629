"""This module turns a small drawing into the pixels of a page, with y downwards and as large as its room allows."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.craft.drawing import Ball, Drawing, Path
from app.craft.step_drawings import StepDrawing, around
from app.web.drawings.balloon_looks import BalloonLook, PieceColours

ROOM = (440.0, 460.0)
STEP_ROOM = (160.0, 200.0)
MOST_PX_PER_CM = 4.0
MARGIN = 6.0
LETTER = 8.0
LEAST_SHINE_PX = 4.0
"""A smaller radius has no room for a light on the skin."""


@dataclass(frozen=True, slots=True)
class Circle:
    """A balloon in pixels. is_new: whether the step of the picture adds it. is_item: whether it is something inside
    a balloon, drawn as a box."""

    x: float
    y: float
    radius: float
    look: BalloonLook
    is_new: bool = True
    is_item: bool = False

    @property
    def has_shine(self) -> bool:
        """Whether the light on its skin is drawn."""
        return self.radius >= LEAST_SHINE_PX and not self.is_item


@dataclass(frozen=True, slots=True)
class DrawnStroke:
    """A line in pixels. path_data: the `d` of an SVG path. css_class: of its stroke. is_new: whether the step of
    the picture adds it."""

    path_data: str
    css_class: str
    is_new: bool = True


@dataclass(frozen=True, slots=True)
class PlacedText:
    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture: first the strokes are drawn, then the circles, then the words. text: the same in words."""

    width: float
    height: float
    strokes: tuple[DrawnStroke, ...]
    circles: tuple[Circle, ...]
    words: tuple[PlacedText, ...]
    text: str


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The place and scale of a drawing on the page. width, height: of the page."""

    left: float
    top: float
    scale: float
    width: float
    height: float

    @classmethod
    def within(cls, bounds: tuple[float, float, float, float], room: tuple[float, float]) -> "_Sheet":
        """Returns the largest that fits into the room."""
        left, bottom, right, top = bounds
        wide, tall = max(right - left, 1.0), max(top - bottom, 1.0)
        scale = min(room[0] / wide, room[1] / tall, MOST_PX_PER_CM)
        return cls(left, top, scale, MARGIN * 2 + wide * scale, MARGIN * 2 + tall * scale)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Returns the pixel at a point of the drawing, which is in cm."""
        return round(MARGIN + (x - self.left) * self.scale, 1), round(MARGIN + (self.top - y) * self.scale, 1)


def picture_of(drawing: Drawing, colours: PieceColours | None = None) -> Picture:
    """Returns a drawing as a picture in pixels, its balloons in these colours."""
    sheet, looks = _Sheet.within(drawing.bounds, ROOM), colours or PieceColours()
    words = tuple(PlacedText(*sheet.at(note.x, note.y), note.text) for note in drawing.notes)
    width = max([sheet.width, *(one.x + len(one.text) * LETTER + MARGIN for one in words)])
    return Picture(
        width=round(width, 1),
        height=round(sheet.height, 1),
        strokes=tuple(_stroke(path, sheet) for path in drawing.paths),
        circles=tuple(_circle(ball, sheet, looks) for ball in drawing.balls),
        words=words,
        text=drawing.text,
    )


def step_pictures(drawings: Sequence[StepDrawing], colours: PieceColours) -> tuple[Picture, ...]:
    """Returns the picture of each step. All of them have one scale, but those of details."""
    whole = around([one.bounds for one in drawings if not one.is_detail])
    return tuple(_step_picture(one, one.bounds if one.is_detail else whole, colours) for one in drawings)


def _step_picture(step: StepDrawing, bounds: tuple[float, float, float, float], colours: PieceColours) -> Picture:
    sheet = _Sheet.within(bounds, STEP_ROOM)
    both = ((step.there, False), (step.added, True))
    return Picture(
        width=round(sheet.width, 1),
        height=round(sheet.height, 1),
        strokes=tuple(_stroke(path, sheet, is_new=new) for drawn, new in both for path in drawn.paths),
        circles=tuple(_circle(ball, sheet, colours, is_new=new) for drawn, new in both for ball in drawn.balls),
        words=(),
        text="",
    )


def _circle(ball: Ball, sheet: _Sheet, colours: PieceColours, *, is_new: bool = True) -> Circle:
    x, y = sheet.at(ball.x, ball.y)
    return Circle(x, y, round(ball.radius * sheet.scale, 1), colours.look_of(ball), is_new, ball.is_item)


def _stroke(path: Path, sheet: _Sheet, *, is_new: bool = True) -> DrawnStroke:
    points = [f"{x:g} {y:g}" for x, y in (sheet.at(*point) for point in path.points)]
    return DrawnStroke(f"M{'L'.join(points)}{'Z' if path.closed else ''}", f"sheet-{path.stroke}", is_new)
