"""Fields for what a construction asks for: a height, a span, a pattern."""

from collections.abc import Mapping

from app.craft.build import FIGURES, Build, BuildFigure, Construction
from app.web.forms.fields import choices_of
from app.web.forms.measured import MeasuredField
from app.web.wording.forms import NOT_USED


class FigureField(MeasuredField[float | str]):
    """One figure of a construction; which one, and in which range, the construction says."""

    kept_unit = "m"
    figure: BuildFigure | None = None

    def set_figure(self, figure: BuildFigure) -> None:
        self.figure, self.label.text = figure, figure.label
        self.set_unit(figure.unit)
        if figure.choices:
            self.choices = choices_of(figure.choices)

    def read(self, text: str) -> float | str:
        if self.figure is None:
            raise ValueError(NOT_USED)
        if self.figure.choices:
            return self.figure.check(text)
        return self.figure.check(self.read_number(text, self.figure.low, self.figure.high))


def set_up_figure_fields(fields: Mapping[str, FigureField], construction: Construction) -> tuple[BuildFigure, ...]:
    """Sets each figure that the construction needs on its field, and returns these figures."""
    asked = FIGURES.get(construction, ())
    for figure in asked:
        fields[figure.key].set_figure(figure)
    return asked


def typed_build(fields: Mapping[str, FigureField], construction: Construction) -> Build:
    """Returns the build that validated fields describe."""
    return Build(construction, {one.key: fields[one.key].value for one in FIGURES.get(construction, ())})
