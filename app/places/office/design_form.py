"""The form of a design: its fields, and the sentences about what is wrong in them."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, TypeVar

from wtforms import FieldList, FormField, HiddenField, SelectChoice, TextAreaField
from wtforms.validators import ValidationError

from app.actions.catalogue.designs import (
    LONGEST_ASSEMBLY,
    MAX_PART_QUANTITY,
    MAX_SUPPLY_QUANTITY,
    MOST_PARTS,
    MOST_SEASONS,
    MOST_SUPPLIES,
    DesignFigures,
)
from app.actions.catalogue.names import tidy_name
from app.craft.build import Build, BuildFigure, Construction
from app.craft.colours import ColoursUnclear, read_colours
from app.physics.balloon import Gas
from app.quoting.catalogue import Part
from app.quoting.errors import Problem
from app.quoting.request import MOST_HUNG_G
from app.web.forms import (
    ChoiceField,
    MeasureField,
    MoneyField,
    NumberField,
    ParsedField,
    RadioChoiceField,
    ShopForm,
    StrictChoiceField,
    TextField,
    WholeField,
    add_sentence,
    choices_of,
    read_id,
)
from app.web.forms.dates import read_day_of_year
from app.web.forms.figures import FigureField, set_up_figure_fields, typed_build
from app.web.requests import request_context
from app.web.wording.stock import COUNTED_IN

Read = TypeVar("Read")
CHOOSE_TYPE = "Choose a balloon type, or clear the row."
CHOOSE_SUPPLY = "Choose a supply, or clear the row."
PRICING = [SelectChoice("set", "Fixed"), SelectChoice("computed", "From its cost")]
GASES = [SelectChoice(gas.value, gas.value) for gas in Gas]
CONSTRUCTION_NAMES = {
    Construction.LOOSE: "Loose balloons",
    Construction.BOUQUET: "Bouquet, in layers",
    Construction.STRINGS: "Bouquet, one above the other",
    Construction.BASE: "Base of fours",
    Construction.COLUMN: "Column of fours",
    Construction.ARCH: "Arch of fours",
    Construction.GARLAND: "Garland of mixed sizes",
    Construction.STRUNG: "Strung arch, with helium",
    Construction.STUFFED: "Stuffed balloon",
}
ROWS_OF = {"balloon_type": "parts", "gas": "parts", "quantity": "parts", "colours": "parts", "hung_g": "parts"} | {
    **dict.fromkeys(("supply", "quantity_per_piece"), "supplies"),
    **dict.fromkeys(("first", "last"), "seasons"),
}
"""The list of the form in which a field of this name is."""


class PartForm(ShopForm):
    """Balloons of one type. A blank row is no part."""

    balloon_type = ChoiceField("Balloon type")
    quantity = WholeField("How many", 1, MAX_PART_QUANTITY)
    gas = ChoiceField("Gas", choices=GASES, default="helium")
    colours = TextField("Fixed colours")
    hung_g = MeasureField("Hangs on each", 0, MOST_HUNG_G, "g", empty=0.0)

    shares: Mapping[str, int] = MappingProxyType({})
    """The balloons by colour, once the form is validated."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        typed = (self.balloon_type, self.quantity, self.colours, self.hung_g)
        return not any((field.data or "").strip() for field in typed)

    @property
    def balloon_type_id(self) -> int:
        """The id of the chosen balloon type."""
        return read_id(self.balloon_type.data)

    @property
    def is_air(self) -> bool:
        """Whether the balloons are filled with air."""
        return bool(self.gas.data == Gas.AIR)

    def uses_field(self, _name: str) -> bool:
        """Returns whether the row asks for the field."""
        return not self.is_blank

    def validate_balloon_type(self, _field: Any) -> None:
        if not self.is_blank and not self.balloon_type_id:
            raise ValidationError(CHOOSE_TYPE)

    def validate_colours(self, field: Any) -> None:
        self.shares, quantity = {}, self.quantity.value_or_none
        if not field.text or not self.balloon_type_id or quantity is None:
            return
        row = request_context().catalogue.balloon_types.get(self.balloon_type_id)
        try:
            has_figures = row is not None and row.material.traits.comes_as_figures
            self.shares = read_colours(field.text, quantity, figures=has_figures)
        except ColoursUnclear as unclear:
            raise ValidationError(str(unclear)) from None

    def part(self) -> Part | None:
        """Returns the part; None if it is wrong. Call it once the form is validated."""
        quantity = self.quantity.value_or_none
        if not self.balloon_type_id or quantity is None:
            return None
        gas = Gas.AIR if self.is_air else Gas.HELIUM
        hung_g = round(self.hung_g.value_or_none or 0.0, 2)
        return Part(self.balloon_type_id, gas, quantity, tuple(self.shares.items()), hung_g)


class PartSupplyForm(ShopForm):
    """A supply that goes into one piece. A blank row is none."""

    supply = ChoiceField("Supply")
    quantity_per_piece = MeasureField("Per piece", 0.01, MAX_SUPPLY_QUANTITY, "")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        supply = request_context().catalogue.supplies.get(read_id(self.supply.data))
        self.quantity_per_piece.set_unit(COUNTED_IN[supply.unit] if supply else "")

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        return not any((field.data or "").strip() for field in (self.supply, self.quantity_per_piece))

    def uses_field(self, _name: str) -> bool:
        """Returns whether the row asks for the field."""
        return not self.is_blank

    def validate_supply(self, field: Any) -> None:
        if not self.is_blank and not read_id(field.data):
            raise ValidationError(CHOOSE_SUPPLY)

    def supplied(self) -> tuple[int, float] | None:
        """Returns which supply, and how much of it; None if it is wrong. Call it once the form is validated."""
        chosen, quantity_per_piece = read_id(self.supply.data), self.quantity_per_piece.value_or_none
        return (chosen, quantity_per_piece) if chosen and quantity_per_piece is not None else None


class SeasonForm(ShopForm):
    """A season, from one day of the year to another. A blank row is none."""

    first = ParsedField("From", read_day_of_year)
    last = ParsedField("To", read_day_of_year)

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        return not any((field.data or "").strip() for field in (self.first, self.last))

    def uses_field(self, _name: str) -> bool:
        """Returns whether the row asks for the field."""
        return not self.is_blank

    def season(self) -> tuple[str, str] | None:
        """Returns the season; None if it is wrong. Call it once the form is validated."""
        first, last = self.first.value_or_none, self.last.value_or_none
        return (first, last) if first and last else None


class FiguresForm(ShopForm):
    """The figures of all constructions; only those that the chosen one asks for are read."""

    height_m = FigureField()
    span_m = FigureField()
    length_m = FigureField()
    spacing_m = FigureField()
    shape = FigureField()
    fullness = FigureField()
    pattern = FigureField()

    asked: tuple[BuildFigure, ...] = ()

    def uses_field(self, name: str) -> bool:
        """Returns whether the chosen construction asks for the figure."""
        return name in {figure.key for figure in self.asked}


class DesignForm(ShopForm):
    """The form of a design, with rows of parts, supplies and seasons."""

    photo = HiddenField()
    """The name of the order's photo from which the design is made."""
    name = TextField("Name")
    pricing = RadioChoiceField("Pricing", choices=PRICING, default="set")
    price_minor = MoneyField("Price")
    seasons = FieldList(FormField(SeasonForm), "Season", min_entries=MOST_SEASONS, max_entries=MOST_SEASONS)
    parts = FieldList(FormField(PartForm), "Part", min_entries=2, max_entries=MOST_PARTS)
    build = StrictChoiceField(
        "Construction", choices=choices_of(CONSTRUCTION_NAMES), default=Construction.LOOSE.value
    )
    figures = FormField(FiguresForm, "Construction")
    assembly_minutes = NumberField("Assembly time", 0, LONGEST_ASSEMBLY, "minutes", empty=0.0)
    steps = TextAreaField("Assembly steps, one per line")
    supplies = FieldList(FormField(PartSupplyForm), "Supply", min_entries=2, max_entries=MOST_SUPPLIES)

    row_places: dict[str, Sequence[int]]
    """The row in the form of each part, supply and season that was read."""

    @property
    def is_computed(self) -> bool:
        """Whether the price follows from the cost."""
        return bool(self.pricing.data == "computed")

    @property
    def build_form(self) -> Construction:
        """The chosen construction."""
        return Construction(self.build.data) if self.build.data in {*Construction} else Construction.LOOSE

    @property
    def asked(self) -> tuple[BuildFigure, ...]:
        """The figures that the chosen construction asks for, each set on its field."""
        inner = self.figures.form
        inner.asked = set_up_figure_fields(inner, self.build_form)
        return tuple(inner.asked)

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        return name != "price_minor" or not self.is_computed

    def validate(self, extra_validators: Any = None) -> bool:
        """Returns whether the form is valid, without its blank rows."""
        self.row_places = {name: _filled_in(self[name]) for name in ("parts", "supplies", "seasons")}
        return bool(self.asked is not None and super().validate(extra_validators))

    def design(self) -> DesignFigures:
        """Returns the design as far as it could be read. Call it once the form is validated."""
        return DesignFigures(
            name=tidy_name(self.name.data or ""),
            parts=self._rows("parts", PartForm.part),
            price_minor=None if self.is_computed else self.price_minor.value_or_none or 0,
            assembly_minutes=self.assembly_minutes.value_or_none or 0.0,
            steps=tuple(step for line in (self.steps.data or "").splitlines() if (step := " ".join(line.split()))),
            seasons=self._rows("seasons", SeasonForm.season),
            supplies=self._rows("supplies", PartSupplyForm.supplied),
            build=self.construction() or Build(),
        )

    def _rows(self, name: str, read: Callable[[Any], Read | None]) -> tuple[Read, ...]:
        """Returns what could be read of the rows of this name."""
        rows = [read(self[name][place].form) for place in self.row_places[name]]
        return tuple(row for row in rows if row is not None)

    def construction(self) -> Build | None:
        """Returns how it is put together; None if a figure of it is wrong or missing. Call it once the form is
        validated."""
        if self.build.errors or any(field.errors for field in self.figures.form):
            return None
        return typed_build(self.figures.form, self.build_form)

    def add_problems(self, problems: Iterable[Problem], field_names: Mapping[str, str] | None = None) -> None:
        """Adds each problem to its field. Blank rows are not in the design, so places are counted back to rows of
        the form."""
        for problem in problems:
            if problem.line is None:
                super().add_problems([problem], field_names)
                continue
            rows = ROWS_OF[problem.field]
            filled_in = self.row_places[rows]
            place = filled_in[problem.line] if problem.line < len(filled_in) else 0
            add_sentence(self[rows][place].form[problem.field], problem.sentence)


def _filled_in(rows: Iterable[Any]) -> list[int]:
    """Returns the places of the rows that are not blank."""
    return [place for place, row in enumerate(rows) if not row.form.is_blank]
