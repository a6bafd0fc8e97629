"""This module turns a small drawing into the pixels of a page, with y downwards and as large as its room allows."""

from dataclasses import dataclass

from app.craft.drawing import Ball, Drawing, Path

ROOM = (440.0, 340.0)
MOST_PX_PER_CM = 4.0
MARGIN = 6.0
LETTER = 8.0
FILLS = 6
"""The number of fills, which differ in greyscale too; a further colour uses the first one again."""


@dataclass(frozen=True, slots=True)
class Circle:
    """A balloon in pixels. css_class: of its fill."""

    x: float
    y: float
    radius: float
    css_class: str


@dataclass(frozen=True, slots=True)
class DrawnStroke:
    """A line in pixels. path_data: the `d` of an SVG path. css_class: of its stroke."""

    path_data: str
    css_class: str


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
    """The place and scale of a drawing on the page."""

    left: float
    top: float
    scale: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Returns the pixel at a point of the drawing, which is in cm."""
        return round(MARGIN + (x - self.left) * self.scale, 1), round(MARGIN + (self.top - y) * self.scale, 1)


def fill_class(colour_index: int | None) -> str:
    """Returns the stylesheet's class for a colour of the drawing; None is for foil and spheres."""
    return "sheet-film" if colour_index is None else f"sheet-fill-{colour_index % FILLS}"


def picture_of(drawing: Drawing) -> Picture:
    """Returns a drawing as a picture in pixels."""
    left, bottom, right, top = drawing.bounds
    wide, tall = max(right - left, 1.0), max(top - bottom, 1.0)
    sheet = _Sheet(left, top, min(ROOM[0] / wide, ROOM[1] / tall, MOST_PX_PER_CM))
    words = tuple(PlacedText(*sheet.at(note.x, note.y), note.text) for note in drawing.notes)
    width = max([MARGIN * 2 + wide * sheet.scale, *(one.x + len(one.text) * LETTER + MARGIN for one in words)])
    return Picture(
        width=round(width, 1),
        height=round(MARGIN * 2 + tall * sheet.scale, 1),
        strokes=tuple(_stroke(path, sheet) for path in drawing.paths),
        circles=tuple(_circle(ball, sheet) for ball in drawing.balls),
        words=words,
        text=drawing.text,
    )


def _circle(ball: Ball, sheet: _Sheet) -> Circle:
    return Circle(*sheet.at(ball.x, ball.y), round(ball.radius * sheet.scale, 1), fill_class(ball.colour_index))


def _stroke(path: Path, sheet: _Sheet) -> DrawnStroke:
    points = [f"{x:g} {y:g}" for x, y in (sheet.at(*point) for point in path.points)]
    return DrawnStroke(f"M{'L'.join(points)}{'Z' if path.closed else ''}", f"sheet-{path.stroke}")
