"""This module says how the balloons of a drawing look: in the colours of the order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.craft.drawing import Ball
from app.quoting.states import Finish
from app.web.colours import shop_colour_look

DARK_BELOW = 0.18
"""The relative luminance below which a balloon needs a light outline; 0.18 is the middle of what is seen."""
TONES = 6
"""The number of tones for colours that nobody knows by their name. They differ in greyscale too; a further colour
uses the first one again."""


@dataclass(frozen=True, slots=True)
class BalloonLook:
    """fill: a colour as SVG writes it; empty if a class of the stylesheet gives it. css_class: of the balloon.
    finish: what its skin does with light. is_film: whether it is of foil, with a seam."""

    fill: str
    css_class: str
    finish: Finish
    is_film: bool = False


ITEM_LOOK = BalloonLook("", "sheet-item", Finish.UNKNOWN)


@dataclass(frozen=True, slots=True)
class PieceColours:
    """The names of a piece's colours. latex: by `Ball.colour_index`. films: of foil and spheres, by
    `Ball.film_index`."""

    latex: Sequence[str] = ()
    films: Sequence[str] = ()

    def look_of(self, ball: Ball) -> BalloonLook:
        """Returns how a balloon of the drawing, or an item inside one, looks."""
        if ball.is_item:
            return ITEM_LOOK
        if ball.film_index is not None:
            return self._film(ball.film_index)
        if ball.colour_index is not None:
            return _look(self.latex, ball.colour_index)
        return BalloonLook("", "ball-any", Finish.UNKNOWN)

    def looks(self) -> tuple[tuple[str, BalloonLook], ...]:
        """Returns each name with its look."""
        latex = ((name, _look(self.latex, at)) for at, name in enumerate(self.latex) if name)
        films = ((name, self._film(at)) for at, name in enumerate(self.films) if name)
        return (*latex, *films)

    def _film(self, index: int) -> BalloonLook:
        return replace(_look(self.films, index, tone=index + len(self.latex)), is_film=True)


def tone_class(index: int) -> str:
    """Returns the stylesheet's class for a colour that nobody knows by its name."""
    return f"ball-tone-{index % TONES}"


def _look(names: Sequence[str], index: int, tone: int | None = None) -> BalloonLook:
    """Returns the look of a name. tone: which one it has if nobody knows it; if None, the index counts."""
    known = shop_colour_look(names[index]) if index < len(names) else None
    if known is None or known.finish is Finish.UNKNOWN:
        return BalloonLook("", tone_class(index if tone is None else tone), Finish.UNKNOWN)
    edge = "ball-dark" if luminance(known.fill) < DARK_BELOW else "ball-bright"
    return BalloonLook(known.fill, f"ball-{known.finish} {edge}", known.finish)


def luminance(fill: str) -> float:
    """Returns the relative luminance of an sRGB colour, “#c8102e”, from 0 to 1. Source: WCAG 2.2."""
    parts = (int(fill[place : place + 2], 16) / 255 for place in (1, 3, 5))
    linear = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
