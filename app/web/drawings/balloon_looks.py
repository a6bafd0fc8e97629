"""This module says how the balloons of a drawing look: in the colours of the order."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.craft.drawing import Ball
from app.web.drawings.swatches import Finish, colour_look

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


@dataclass(frozen=True, slots=True)
class PieceColours:
    """The names of a piece's colours. latex: by `Ball.colour_index`. films: of foil and spheres, by
    `Ball.film_index`."""

    latex: Sequence[str] = ()
    films: Sequence[str] = ()

    def look_of(self, ball: Ball) -> BalloonLook:
        """Returns how a balloon of the drawing looks."""
        if ball.film_index is not None:
            return _look(self.films, ball.film_index, is_film=True)
        if ball.colour_index is not None:
            return _look(self.latex, ball.colour_index)
        return BalloonLook("", "ball-any", Finish.UNKNOWN)

    def looks(self) -> tuple[tuple[str, BalloonLook], ...]:
        """Returns each name with its look."""
        latex = ((name, _look(self.latex, at)) for at, name in enumerate(self.latex) if name)
        films = ((name, _look(self.films, at, is_film=True)) for at, name in enumerate(self.films) if name)
        return (*latex, *films)


def tone_class(index: int) -> str:
    """Returns the stylesheet's class for a colour that nobody knows by its name."""
    return f"ball-tone-{index % TONES}"


def _look(names: Sequence[str], index: int, *, is_film: bool = False) -> BalloonLook:
    known = colour_look(names[index]) if index < len(names) else None
    if known is None or known.finish is Finish.UNKNOWN:
        return BalloonLook("", tone_class(index), Finish.UNKNOWN, is_film)
    return BalloonLook(known.fill, f"ball-{known.finish}", known.finish, is_film)
