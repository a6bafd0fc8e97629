"""The form of a design: what is typed, and every sentence it may answer with."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from wtforms import FieldList, Form, FormField, RadioField, SelectChoice, SelectField, StringField, TextAreaField
from wtforms.validators import ValidationError

from app.actions.catalogue.designs import (
    LONGEST_ASSEMBLY,
    MOST_OF_A_PART,
    MOST_OF_A_SUPPLY,
    MOST_PARTS,
    MOST_SEASONS,
    MOST_SUPPLIES,
    DesignFigures,
)
from app.actions.catalogue.names import tidy_name
from app.actions.catalogue.seasons import read_day
from app.craft.build import FIGURES, Build, BuildFigure, Construction
from app.craft.colours import ColoursUnclear, share_out
from app.physics.balloon import Gas
from app.quoting.catalogue import Catalogue, Part
from app.quoting.errors import Problem
from app.web.formats import Formats
from app.web.forms import read_id, read_money, read_number, read_whole

Read = TypeVar("Read")
PRICING = [SelectChoice("set", "Set"), SelectChoice("computed", "Computed from its cost")]
GASES = [SelectChoice(gas.value, gas.value) for gas in Gas]
FORM_WORDS = {
    Construction.LOOSE: "loose balloons",
    Construction.BOUQUET: "bouquet, in layers",
    Construction.STRINGS: "bouquet, one above another",
    Construction.BASE: "base of fours",
    Construction.COLUMN: "column of fours",
    Construction.ARCH: "arch of fours",
    Construction.GARLAND: "garland of mixed sizes",
    Construction.STRUNG: "arch on a line, helium",
    Construction.STUFFED: "stuffed balloon",
}
ROWS_OF = {"balloon_type": "parts", "gas": "parts", "quantity": "parts", "colours": "parts"} | {
    **dict.fromkeys(("supply", "of_one"), "supplies"),
    **dict.fromkeys(("first", "last"), "seasons"),
}
"""The list in the form that has such a field."""


def tell(field: Any, sentence: object) -> None:
    field.errors = [*field.errors, str(sentence)]


def read_field(field: Any, read: Callable[[str], Read]) -> Read | None:
    """None, with the sentence at the field, when it cannot be read."""
    try:
        return read((field.data or "").strip())
    except (ValidationError, ColoursUnclear, ValueError) as wrong:
        tell(field, wrong)
        return None


class PartForm(Form):
    """Balloons of one kind. A row left blank is no part."""

    balloon_type = SelectField("Kind", validate_choice=False)
    quantity = StringField("How many")
    gas = SelectField("Gas", choices=GASES, default="helium", validate_choice=False)
    colours = StringField("Fixed colours")

    @property
    def is_blank(self) -> bool:
        return not any((field.data or "").strip() for field in (self.balloon_type, self.quantity, self.colours))

    @property
    def balloon_type_id(self) -> int:
        return read_id(self.balloon_type.data)

    @property
    def is_air(self) -> bool:
        return bool(self.gas.data == Gas.AIR)

    def read(self, catalogue: Catalogue) -> Part | None:
        if not self.balloon_type_id:
            tell(self.balloon_type, "Of which kind? Choose one, or empty the row.")
        quantity = read_field(self.quantity, lambda text: read_whole(text, 1, MOST_OF_A_PART, "How many"))
        if not self.balloon_type_id or quantity is None:
            return None
        row = catalogue.balloon_types.get(self.balloon_type_id)
        may_hold_figures = row is not None and row.material.traits.comes_as_figures

        def read_colours(text: str) -> dict[str, int]:
            return share_out(text, quantity, figures=may_hold_figures) if text else {}

        colours = read_field(self.colours, read_colours)
        return Part(
            self.balloon_type_id, Gas.AIR if self.is_air else Gas.HELIUM, quantity, tuple((colours or {}).items())
        )


class SupplyForm(Form):
    """What else goes into one. A row left blank is none."""

    supply = SelectField("Supply", validate_choice=False)
    of_one = StringField("In one of it")

    @property
    def is_blank(self) -> bool:
        return not any((field.data or "").strip() for field in (self.supply, self.of_one))

    def read(self) -> tuple[int, float] | None:
        chosen = read_id(self.supply.data)
        if not chosen:
            tell(self.supply, "Which supply? Choose one, or empty the row.")
        of_one = read_field(self.of_one, lambda text: read_number(text, 0.01, MOST_OF_A_SUPPLY, ""))
        return (chosen, of_one) if chosen and of_one is not None else None


class SeasonForm(Form):
    """From one day of the year to another."""

    first = StringField("From")
    last = StringField("To")

    @property
    def is_blank(self) -> bool:
        return not any((field.data or "").strip() for field in (self.first, self.last))

    def read(self) -> tuple[str, str] | None:
        first, last = read_field(self.first, read_day), read_field(self.last, read_day)
        return (first, last) if first and last else None


class FiguresForm(Form):
    """All that any form of a design asks for; only what its own asks is read."""

    height_m = StringField()
    span_m = StringField()
    length_m = StringField()
    spacing_m = StringField()
    shape = SelectField(validate_choice=False)
    fullness = SelectField(validate_choice=False)
    pattern = SelectField(validate_choice=False)


class DesignForm(Form):
    name = StringField("Name")
    pricing = RadioField("Price", choices=PRICING, default="set", validate_choice=False)
    price_minor = StringField("Price")
    assembly_minutes = StringField("Assembly")
    steps = TextAreaField("Steps of its assembly, one a line")
    seasons = FieldList(FormField(SeasonForm), min_entries=MOST_SEASONS, max_entries=MOST_SEASONS)
    parts = FieldList(FormField(PartForm), min_entries=2, max_entries=MOST_PARTS)
    supplies = FieldList(FormField(SupplyForm), min_entries=2, max_entries=MOST_SUPPLIES)
    build = SelectField(
        "Put together as",
        choices=[SelectChoice(form.value, words) for form, words in FORM_WORDS.items()],
        default=Construction.LOOSE.value,
        validate_choice=False,
    )
    figures = FormField(FiguresForm)
    photo = StringField("Photo")
    """The name of an order's photo that the design is made of."""

    row_places: dict[str, Sequence[int]]
    """Where in the form each part, supply and season stands that was read."""

    @property
    def is_computed(self) -> bool:
        return bool(self.pricing.data == "computed")

    @property
    def build_form(self) -> Construction:
        return Construction(self.build.data) if self.build.data in {*Construction} else Construction.LOOSE

    @property
    def asked(self) -> tuple[BuildFigure, ...]:
        """The figures that the chosen form asks for."""
        return FIGURES.get(self.build_form, ())

    def read(self, catalogue: Catalogue, formats: Formats) -> DesignFigures:
        """What can be read of it, with a sentence at each field that cannot."""
        self.row_places = {name: _filled_in(self[name]) for name in ("parts", "supplies", "seasons")}
        return DesignFigures(
            name=tidy_name(self.name.data or ""),
            parts=self._rows("parts", lambda row: row.read(catalogue)),
            price_minor=None if self.is_computed else self._read_price(formats),
            assembly_minutes=self._read_minutes(),
            steps=tuple(step for line in (self.steps.data or "").splitlines() if (step := " ".join(line.split()))),
            seasons=self._rows("seasons", SeasonForm.read),
            supplies=self._rows("supplies", SupplyForm.read),
            build=self.read_build() or Build(),
        )

    def _rows(self, name: str, read: Callable[[Any], Read | None]) -> tuple[Read, ...]:
        rows = [read(self[name][place].form) for place in self.row_places[name]]
        return tuple(row for row in rows if row is not None)

    def _read_price(self, formats: Formats) -> int:
        return read_field(self.price_minor, lambda text: read_money(text, formats.decimals)) or 0

    def _read_minutes(self) -> float:
        def read(text: str) -> float:
            return read_number(text or "0", 0, LONGEST_ASSEMBLY, "minutes")

        return read_field(self.assembly_minutes, read) or 0.0

    def read_build(self) -> Build | None:
        """None, with the sentences at the figures, where one is wrong or missing."""
        if self.build.data not in {*Construction}:
            tell(self.build, "One of these, please.")
            return None
        read = {figure.key: self._read_figure(figure) for figure in self.asked}
        figures = {key: value for key, value in read.items() if value is not None}
        return Build(self.build_form, figures) if len(figures) == len(read) else None

    def _read_figure(self, figure: BuildFigure) -> float | str | None:
        def read(text: str) -> float | str:
            return figure.check(text if figure.choices else _number(text, figure))

        return read_field(self.figures.form[figure.key], read)

    def say(self, problems: Iterable[Problem]) -> None:
        """Each at its field; rows left blank are no rows of the design: back to the form's own count."""
        for problem in problems:
            if problem.line is None:
                tell(self[problem.field], problem.sentence)
                continue
            rows = ROWS_OF[problem.field]
            places = self.row_places[rows]
            place = places[problem.line] if problem.line < len(places) else 0
            tell(self[rows][place].form[problem.field], problem.sentence)

    @property
    def all_errors(self) -> list[str]:
        rows = [row.form for name in ("parts", "supplies", "seasons") for row in self[name]]
        inner = [field for form in (self.figures.form, *rows) for field in form]
        plain = [field for field in self if not isinstance(field, FieldList | FormField)]
        return [error for field in (*plain, *inner) for error in field.errors]


def _filled_in(rows: Iterable[Any]) -> list[int]:
    return [place for place, row in enumerate(rows) if not row.form.is_blank]


def _number(text: str, figure: BuildFigure) -> float | None:
    """None for what is no number, which the figure refuses."""
    try:
        return float(text.replace(",", ".").removesuffix(figure.unit).strip())
    except ValueError:
        return None
