"""This module says how a design is put together: its construction, and the figures that the construction needs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from app.craft.clusters import FOUR, MOST_COLOURS, Pattern, colour_counts
from app.craft.curves import Shape
from app.craft.garland import Fullness


class Construction(StrEnum):
    """The ways in which a design can be put together.

    LOOSE: nothing is put together. BOUQUET: layers of three, with foils and spheres above them. STRINGS: balloons
    one above another on ribbons. BASE, COLUMN, ARCH: air-filled fours. GARLAND: air-filled balloons of mixed sizes.
    STRUNG: an arch of helium balloons on a line. STUFFED: a balloon with something inside.
    """

    LOOSE = "loose"
    BOUQUET = "bouquet"
    STRINGS = "strings"
    BASE = "base"
    COLUMN = "column"
    ARCH = "arch"
    GARLAND = "garland"
    STRUNG = "strung"
    STUFFED = "stuffed"


@dataclass(frozen=True, slots=True)
class BuildFigure:
    """A figure that a construction needs: a number from low to high, or one of the choices."""

    key: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()

    def check(self, value: Any) -> float | str:
        """Returns the value, if it is right for this figure. Raises ValueError, with a sentence for a person, if it
        is not."""
        if self.choices:
            if value not in self.choices:
                raise ValueError(self.refusal)
            return str(value)
        if type(value) not in (int, float) or not self.low <= value <= self.high:
            raise ValueError(self.refusal)
        return float(value)

    @property
    def refusal(self) -> str:
        """The sentence that says which values are right."""
        if self.choices:
            return f"{self.label}: choose one of {', '.join(self.choices)}."
        return f"{self.label}: enter a number from {self.low:g} to {self.high:g} {self.unit}."


PATTERN = BuildFigure("pattern", "Colour pattern", choices=tuple(Pattern))
SPAN = BuildFigure("span_m", "Span", "m", 0.5, 30)
HEIGHT = BuildFigure("height_m", "Height", "m", 0.3, 15)
FIGURES: Mapping[Construction, tuple[BuildFigure, ...]] = {
    Construction.COLUMN: (BuildFigure("height_m", "Height", "m", 0.3, 6), PATTERN),
    Construction.ARCH: (BuildFigure("shape", "Shape", choices=tuple(Shape)), SPAN, HEIGHT, PATTERN),
    Construction.GARLAND: (
        BuildFigure("length_m", "Length", "m", 0.3, 50),
        BuildFigure("fullness", "Fullness", choices=tuple(Fullness)),
    ),
    Construction.STRUNG: (SPAN, HEIGHT, BuildFigure("spacing_m", "Spacing of the balloons", "m", 0.1, 3)),
}
"""The figures that each construction needs; one that is not listed needs none."""


@dataclass(frozen=True, slots=True)
class Build:
    """How a design is built. construction: its construction. figures: by key, those that the construction needs.

    Creating one raises ValueError, with a sentence for a person, when a figure is wrong, missing or not needed.
    """

    construction: Construction = Construction.LOOSE
    figures: Mapping[str, float | str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        needed = FIGURES.get(self.construction, ())
        for figure in needed:
            figure.check(self.figures.get(figure.key))
        unknown = sorted(self.figures.keys() - _keys(needed))
        if unknown:
            raise ValueError(f"A {self.construction} has no {', '.join(unknown)}.")

    def number(self, key: str) -> float:
        """Returns the figure with this key as a number. Raises KeyError when the construction has none."""
        return float(self.figures[key])


def _keys(figures: Iterable[BuildFigure]) -> set[str]:
    return {figure.key for figure in figures}


def read_build(saved: Mapping[str, Any]) -> Build:
    """Returns the build that was saved as {"form": …, and its figures}; an empty one is loose.

    Raises ValueError, as `Build` does, and for an unknown construction.
    """
    figures = {key: value for key, value in saved.items() if key != "form"}
    return Build(Construction(saved.get("form", Construction.LOOSE)), figures)


def write_build(build: Build) -> dict[str, Any]:
    """Returns a build in the form in which it is saved; an empty dict for a loose one. `read_build` reads it."""
    return {} if build.construction is Construction.LOOSE else {"form": build.construction.value, **build.figures}


def shares_by_pattern(build: Build, balloons: int, colours: int) -> tuple[int, ...]:
    """Returns how many balloons of each colour one piece of this many balloons has, by the pattern of its fours.

    Returns an empty tuple when the build has no pattern, when the balloons do not make whole fours, or when there
    are too many colours.
    """
    if "pattern" not in build.figures or balloons % FOUR or not 1 <= colours <= MOST_COLOURS:
        return ()
    spiral = build.figures["pattern"] == Pattern.SPIRAL and colours <= FOUR
    return colour_counts(balloons // FOUR, colours, Pattern.SPIRAL if spiral else Pattern.LAYERS)
