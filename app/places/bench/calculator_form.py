"""The form of the build calculator: what was typed, as a piece to make."""

from collections.abc import Mapping
from typing import Any

from wtforms import HiddenField, SelectChoice
from wtforms.validators import ValidationError

from app.craft.build import BuildFigure, Construction
from app.craft.colours import ColoursUnclear, read_colours
from app.craft.garland import Fullness, garland
from app.craft.sizing import fill_size
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.physics.light import Surroundings
from app.physics.material import materials_that
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, StuffedItem
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.recipe import SoldSupply
from app.quoting.shop import Shop
from app.quoting.states import SupplySort
from app.web.forms import (
    ChoiceField,
    MeasureField,
    ShopForm,
    StrictChoiceField,
    TextField,
    WholeField,
    WindField,
    choices_of,
    read_id,
)
from app.web.forms.figures import FigureField, set_up_figure_fields, typed_build
from app.web.requests import request_context

CONSTRUCTION_NAMES = {
    Construction.BOUQUET: "Bouquet",
    Construction.STRINGS: "Vertical string",
    Construction.BASE: "Base",
    Construction.COLUMN: "Column",
    Construction.ARCH: "Arch",
    Construction.GARLAND: "Garland",
    Construction.STRUNG: "Strung arch",
    Construction.STUFFED: "Stuffed balloon",
}
FILLED_WITH_AIR = (Construction.BASE, Construction.COLUMN, Construction.ARCH, Construction.GARLAND)
NUMBER_MAY_BE_EMPTY = (Construction.COLUMN, Construction.ARCH, Construction.GARLAND, Construction.STRUNG)
WITH_TOPPERS = (Construction.BOUQUET, Construction.STRINGS)
TOPPERS = materials_that(lambda traits: traits.is_topper)
CHOOSE_TYPE = "Choose a balloon type."
CHOOSE_TOPPER = f"Choose a {TOPPERS} for the top."
MOST_LETTERS = 200
COLOUR_SAMPLE = 1000
"""The balloons over which colours are shared out if no number was typed."""
DEFAULTS: Mapping[str, str | float] = {
    **{"number": "9", "toppers": "0", "pieces": "1", "where": "indoors", "gas": "air", "inside": "none"},
    **{"height_m": 2.0, "span_m": 3.0, "length_m": 3.0, "shape": "ellipse", "pattern": "spiral"},
    "fullness": "medium",
}
CONSTRUCTION_DEFAULTS: Mapping[Construction, Mapping[str, str | float]] = {
    Construction.BASE: {"number": "4"},
    Construction.COLUMN: {"number": ""},
    Construction.ARCH: {"number": "", "height_m": 2.2},
    Construction.STRUNG: {"number": "", "span_m": 4.0, "height_m": 2.2},
    Construction.STUFFED: {"number": "1"},
}
DEFAULT_BALLOON_TYPES = {Construction.STUFFED: "18 in clear stuffing latex"}
PLACES = {"indoors": "indoors", "shade": "outdoors in the shade", "sun": "outdoors in the sun"}
INSIDE = {"none": "none", "air": "with air", "helium": "with helium"}


class CalculatorForm(ShopForm):
    """The form for one construction, which comes with the address and decides what is asked."""

    construction = HiddenField(name="form")
    balloon_type = ChoiceField("Balloon type")
    number = WholeField("Balloons", 1, 2000)
    colours = TextField("Colours")
    toppers = WholeField("Balloons on top", 0, 50, empty=0)
    topper = ChoiceField("Balloon on top")
    gas = StrictChoiceField("Gas", choices=choices_of([*Gas]))
    item = TextField("Item inside")
    item_cm = MeasureField("Item width when pressed together", 0.5, 100, "cm")
    inside = StrictChoiceField("Small balloons inside", choices=choices_of(INSIDE))
    height_m = FigureField()
    span_m = FigureField()
    length_m = FigureField()
    spacing_m = FigureField()
    shape = FigureField()
    fullness = FigureField()
    pattern = FigureField()
    pieces = WholeField("Pieces", 1, 500)
    where = StrictChoiceField("Where", choices=choices_of(PLACES))
    wind = WindField("Wind outdoors", optional=True)
    weight = ChoiceField("Weight")

    figures: tuple[BuildFigure, ...] = ()
    chosen = Construction.BOUQUET

    @property
    def asks_number(self) -> bool:
        """Whether the construction is made of a number of balloons."""
        return self.chosen not in (Construction.STUFFED, Construction.GARLAND)

    @property
    def asks_colours(self) -> bool:
        """Whether the construction has colours."""
        return self.chosen not in (Construction.STUFFED, Construction.STRUNG)

    @property
    def number_may_be_empty(self) -> bool:
        """Whether the calculator can find the number of balloons itself."""
        return self.chosen in NUMBER_MAY_BE_EMPTY

    @property
    def counted(self) -> bool:
        """Whether the number of balloons is known: it was typed, or it follows from the length of a garland."""
        return self.chosen is Construction.GARLAND or (self.asks_number and bool(self.number.text))

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        is_stuffed = self.chosen is Construction.STUFFED
        asked = {
            "number": self.asks_number and (self.counted or not self.number_may_be_empty),
            "colours": self.asks_colours,
            **dict.fromkeys(("toppers", "topper"), self.chosen in WITH_TOPPERS),
            **dict.fromkeys(("gas", "item", "inside"), is_stuffed),
            "item_cm": is_stuffed and bool(self.item.text),
        }
        if isinstance(self[name], FigureField):
            return name in {figure.key for figure in self.figures}
        return asked.get(name, True)

    def validate_balloon_type(self, field: Any) -> None:
        if field.data not in {choice.value for choice in field.choices}:
            raise ValidationError(CHOOSE_TYPE)

    def validate_colours(self, field: Any) -> None:
        if self.asks_colours and not self.number.errors:
            try:
                read_colours(field.text, self.number.value_or_none or COLOUR_SAMPLE)
            except ColoursUnclear as unclear:
                raise ValidationError(str(unclear)) from None

    def validate_topper(self, field: Any) -> None:
        known = {choice.value for choice in field.choices if choice.value}
        if self.toppers.value_or_none and field.data not in known:
            raise ValidationError(CHOOSE_TOPPER)


def calculator_form(sent: Mapping[str, str], shop: Shop, catalogue: Catalogue) -> CalculatorForm:
    """Returns the form as it was sent; what was not sent has defaults, so that at first it holds something that can
    be made."""
    chosen = next((one for one in CONSTRUCTION_NAMES if one == sent.get("form")), Construction.BOUQUET)
    rows = [row for row in catalogue.balloon_types.values() if row.archived_at is None]
    balloon_types = [row for row in rows if _is_allowed(chosen, row)]
    first_shown = {**DEFAULTS, **CONSTRUCTION_DEFAULTS.get(chosen, {})}
    defaults = {name: _plain(value) for name, value in first_shown.items()}
    defaults["spacing_m"] = shop.craft.strung.spacing_m
    wanted = DEFAULT_BALLOON_TYPES.get(chosen, "11 in latex")
    balloon_type = next((row for row in balloon_types if row.name == wanted), next(iter(balloon_types), None))
    form = CalculatorForm(sent, data=defaults | {"balloon_type": str(balloon_type.id) if balloon_type else ""})
    form.chosen, form.construction.data = chosen, chosen.value
    form.figures = set_up_figure_fields(form, chosen)
    form.balloon_type.choices = _choices_of(balloon_types)
    toppers = [row for row in rows if row.material.traits.is_topper and not row.air_only]
    form.topper.choices = [SelectChoice("", "none"), *_choices_of(toppers)]
    weights = [
        row for row in catalogue.supplies.values() if row.sort == SupplySort.WEIGHT and row.archived_at is None
    ]
    form.weight.choices = [SelectChoice("", "not chosen yet"), *_choices_of(weights)]
    return form


def _plain(value: str | float) -> str | float:
    """Returns a default; a length in metres as it is, or in whole and half feet if the shop types feet."""
    unit = request_context().formats.unit("m")
    if isinstance(value, str) or unit.size == 1.0:
        return value
    return f"{round(2 * value / unit.size) / 2:g}"


def _choices_of(rows: Any) -> list[SelectChoice]:
    """Returns the rows as choices."""
    return [SelectChoice(str(row.id), row.name) for row in rows]


def _is_allowed(form: Construction, row: BalloonOffer) -> bool:
    """Returns whether the construction can be made of the balloon type."""
    traits = row.material.traits
    if form in FILLED_WITH_AIR:
        return traits.is_tied and not row.air_only
    if form is Construction.STUFFED:
        return traits.can_hold_items(air_only=row.air_only)
    return not row.air_only and (form is Construction.STRUNG or not traits.is_topper)


def place_of(form: CalculatorForm, shop: Shop) -> BuildPlace:
    """Returns where the piece will be. The form must be valid."""
    surroundings, wind = Surroundings(form.where.data), form.wind.value_or_none
    celsius = shop.air.celsius if surroundings.outdoors else shop.indoors_celsius
    return BuildPlace(
        Air(celsius, shop.air.elevation_m), surroundings, shop.outdoors.wind_limit_m_s if wind is None else wind
    )


def bouquet_balloon_of(form: CalculatorForm, place: BuildPlace, shop: Shop, catalogue: Catalogue) -> BuildInput:
    """Returns the piece to make. The form must be valid."""
    return BuildInput(
        title=CONSTRUCTION_NAMES[form.chosen],
        quantity=form.pieces.value,
        build=typed_build(form, form.chosen),
        balloons=_balloons(form, place, shop, catalogue),
        supplies=_weight(form, catalogue),
        items=_items(form),
        has_final_counts=form.counted,
        needs_chosen_weight=False,
    )


def _balloons(
    form: CalculatorForm, place: BuildPlace, shop: Shop, catalogue: Catalogue
) -> tuple[BalloonGroup, ...]:
    """Returns the balloons of the piece."""
    if form.chosen is Construction.GARLAND:
        return _garland_balloons(form, place, shop, catalogue)
    number = form.number.value_or_none or (COLOUR_SAMPLE if form.number_may_be_empty else 1)
    colours = read_colours(form.colours.text if form.asks_colours else "", number)
    balloon_type = catalogue.balloon_types[read_id(form.balloon_type.data)]
    groups = [_group(balloon_type, _gas(form), colours, place, shop)]
    if form.toppers.value_or_none:
        topper = catalogue.balloon_types[read_id(form.topper.data)]
        groups.append(_group(topper, Gas.HELIUM, {"": form.toppers.value}, place, shop))
    if form.chosen is Construction.STUFFED and form.inside.data in {*Gas} and (small := _smallest(catalogue)):
        groups.append(_group(small, Gas(form.inside.data), {"": 1}, place, shop))
    return tuple(groups)


def _garland_balloons(
    form: CalculatorForm, place: BuildPlace, shop: Shop, catalogue: Catalogue
) -> tuple[BalloonGroup, ...]:
    """Returns the balloons of a garland by the shop's mix; a size that the shop does not have is left out."""
    build = typed_build(form, form.chosen)
    fullness = Fullness(str(build.figures["fullness"]))
    sold = {row.nominal_in: row for row in catalogue.offered_types if _is_allowed(form.chosen, row)}
    counts = garland(build.number("length_m"), fullness, shop.craft.garlands).counts
    return tuple(
        _group(sold[size], Gas.AIR, read_colours(form.colours.text, count), place, shop)
        for size, count in counts
        if count and size in sold
    )


def _gas(form: CalculatorForm) -> Gas:
    """Returns the gas that the construction is filled with."""
    if form.chosen is Construction.STUFFED:
        return Gas(form.gas.data)
    return Gas.AIR if form.chosen in FILLED_WITH_AIR else Gas.HELIUM


def _smallest(catalogue: Catalogue) -> BalloonOffer | None:
    """Returns the smallest balloon type of the shop that is tied, which goes into a stuffed balloon; None if there
    is none."""
    rows = [row for row in catalogue.balloon_types.values() if row.archived_at is None]
    return min((row for row in rows if row.material.traits.is_tied), key=lambda row: row.nominal_in, default=None)


def _group(row: BalloonOffer, gas: Gas, colours: Mapping[str, int], place: BuildPlace, shop: Shop) -> BalloonGroup:
    """Returns balloons of one type as the shop fills them."""
    balloon_type = row.balloon_type
    size = fill_size(balloon_type, gas, shop.air, (place.air,), place.surroundings, shop.air_sizes)
    return BalloonGroup(Filling(balloon_type, gas, size.litres, shop.air), size.diameter_in, tuple(colours.items()))


def _items(form: CalculatorForm) -> tuple[StuffedItem, ...]:
    """Returns the item to be stuffed in, if one was typed."""
    width = form.item_cm.value_or_none
    return () if width is None else (StuffedItem(form.item.text[:MOST_LETTERS], width),)


def _weight(form: CalculatorForm, catalogue: Catalogue) -> tuple[SoldSupply, ...]:
    """Returns the weight below the piece, if one was chosen."""
    row = catalogue.supplies.get(read_id(form.weight.data))
    return (SoldSupply(row.id, row.name, row.sort, 1.0),) if row and row.sort == SupplySort.WEIGHT else ()
