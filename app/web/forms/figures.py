"""Fields for what a construction asks for: a height, a span, a pattern."""

from collections.abc import Mapping

from app.craft.build import FIGURES, Build, BuildFigure, Construction
from app.web.forms.fields import TypedField, choices_of
from app.web.forms.reading import read_number


class FigureField(TypedField[float | str]):
    """One figure of a construction; which one, and in which range, the construction says."""

    figure: BuildFigure | None = None

    def be(self, figure: BuildFigure) -> None:
        self.figure, self.unit, self.label.text = figure, figure.unit, figure.label
        if figure.choices:
            self.choices = choices_of(figure.choices)

    def read(self, text: str) -> float | str:
        if self.figure is None:
            raise ValueError("This construction does not ask for it.")
        if self.figure.choices:
            return self.figure.check(text)
        return self.figure.check(read_number(text, self.figure.low, self.figure.high, self.figure.unit))


def ask_figures(fields: Mapping[str, FigureField], construction: Construction) -> tuple[BuildFigure, ...]:
    """What a construction asks for, each set on its field."""
    asked = FIGURES.get(construction, ())
    for figure in asked:
        fields[figure.key].be(figure)
    return asked


def build_of(fields: Mapping[str, FigureField], construction: Construction) -> Build:
    """Of fields that were found right."""
    return Build(construction, {one.key: fields[one.key].value for one in FIGURES.get(construction, ())})
