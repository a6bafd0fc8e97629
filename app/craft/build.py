"""How a design is put together: its form, and the figures that the form asks for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from app.craft.clusters import FOUR, MOST_COLOURS, Pattern, tone_counts
from app.craft.curves import Shape
from app.craft.garland import Fullness


class Construction(StrEnum):
    """LOOSE: nothing is put together. BOUQUET: layers of three under its foils and spheres. STRINGS: one above
    another on lines. The rest are of air-filled fours, but STRUNG, helium on a line, and STUFFED."""

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
    """What a form asks for: a number from low to high, or one of the choices."""

    key: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()

    def check(self, value: Any) -> float | str:
        """Raises ValueError with a sentence."""
        if self.choices:
            if value not in self.choices:
                raise ValueError(f"{self.label}: one of {', '.join(self.choices)}, please.")
            return str(value)
        if type(value) not in (int, float) or not self.low <= value <= self.high:
            raise ValueError(f"{self.label}: a number from {self.low:g} to {self.high:g} {self.unit}, please.")
        return float(value)


PATTERN = BuildFigure("pattern", "Colours run", choices=tuple(Pattern))
SPAN = BuildFigure("span_m", "Span", "m", 0.5, 30)
HEIGHT = BuildFigure("height_m", "Height", "m", 0.3, 15)
FIGURES: Mapping[Construction, tuple[BuildFigure, ...]] = {
    Construction.COLUMN: (BuildFigure("height_m", "Height", "m", 0.3, 6), PATTERN),
    Construction.ARCH: (BuildFigure("shape", "Shape", choices=tuple(Shape)), SPAN, HEIGHT, PATTERN),
    Construction.GARLAND: (
        BuildFigure("length_m", "Length", "m", 0.3, 50),
        BuildFigure("fullness", "Fullness", choices=tuple(Fullness)),
    ),
    Construction.STRUNG: (SPAN, HEIGHT, BuildFigure("spacing_m", "Between balloons", "m", 0.1, 3)),
}
"""A form that is not named asks for nothing."""


@dataclass(frozen=True, slots=True)
class Build:
    """figures: by key, as the form asks. Raises ValueError with a sentence where one is wrong or missing."""

    form: Construction = Construction.LOOSE
    figures: Mapping[str, float | str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        asked = FIGURES.get(self.form, ())
        for figure in asked:
            figure.check(self.figures.get(figure.key))
        strange = sorted(self.figures.keys() - _keys(asked))
        if strange:
            raise ValueError(f"A {self.form} has no {', '.join(strange)}.")

    def number(self, key: str) -> float:
        return float(self.figures[key])


def _keys(figures: Iterable[BuildFigure]) -> set[str]:
    return {figure.key for figure in figures}


def read_build(saved: Mapping[str, Any]) -> Build:
    """From {"form": …, and its figures}; empty is loose. Raises ValueError."""
    figures = {key: value for key, value in saved.items() if key != "form"}
    return Build(Construction(saved.get("form", Construction.LOOSE)), figures)


def write_build(build: Build) -> dict[str, Any]:
    """The inverse of read_build; nothing for loose ones."""
    return {} if build.form is Construction.LOOSE else {"form": build.form.value, **build.figures}


def shares_by_pattern(build: Build, balloons: int, colours: int) -> tuple[int, ...]:
    """Balloons of each colour in one piece of so many, in the order of the colours, as its fours take them by its
    pattern; empty where it has none, or they make no fours of so many colours."""
    if "pattern" not in build.figures or balloons % FOUR or not 1 <= colours <= MOST_COLOURS:
        return ()
    spiral = build.figures["pattern"] == Pattern.SPIRAL and colours <= FOUR
    return tone_counts(balloons // FOUR, colours, Pattern.SPIRAL if spiral else Pattern.LAYERS)
