"""The form of the craft page: what was typed, as a piece to make, with a sentence at each field that is wrong."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from wtforms.validators import ValidationError

from app.craft.build import FIGURES, Build, BuildFigure, Construction
from app.craft.colours import ColoursUnclear, share_out
from app.craft.sizing import fill_size
from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Filling, Surroundings
from app.physics.material import either
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace, StuffedItem
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.recipe import SoldSupply
from app.quoting.shop import Shop
from app.quoting.states import SupplySort
from app.web.forms import read_id, read_number, read_whole, read_wind

FORM_WORDS = {
    Construction.BOUQUET: "Bouquet",
    Construction.STRINGS: "One above another",
    Construction.BASE: "Base",
    Construction.COLUMN: "Column",
    Construction.ARCH: "Arch",
    Construction.GARLAND: "Garland",
    Construction.STRUNG: "Strung arch",
    Construction.STUFFED: "Stuffed balloon",
}
IN_AIR = (Construction.BASE, Construction.COLUMN, Construction.ARCH, Construction.GARLAND)
AS_MANY_AS_IT_TAKES = (Construction.COLUMN, Construction.ARCH, Construction.GARLAND, Construction.STRUNG)
MOST_LETTERS = 200
MANY = 1000
"""Balloons to share colours out over where nobody said how many there are."""
USUAL = {
    **{"number": "9", "toppers": "0", "pieces": "1", "where": "indoors", "gas": "air", "inside": "none"},
    **{"height_m": "2", "span_m": "3", "length_m": "3", "shape": "ellipse", "pattern": "spiral"},
    "fullness": "medium",
}
OF_FORM = {
    Construction.BASE: {"number": "4"},
    Construction.COLUMN: {"number": ""},
    Construction.ARCH: {"number": "", "height_m": "2.2"},
    Construction.STRUNG: {"number": "", "span_m": "4", "height_m": "2.2"},
    Construction.STUFFED: {"number": "1"},
}
USUAL_KINDS = {Construction.STUFFED: "18 in clear stuffing latex"}
TOPPERS = either(lambda traits: traits.is_topper)
Read = TypeVar("Read")
Choices = list[tuple[str, str]]
"""Values with what is read of them."""


@dataclass
class CalculatorForm:
    """typed: the fields as they stand on the page. making, scene: None where a field is wrong."""

    form: Construction
    typed: Mapping[str, str]
    balloon_types: list[BalloonOffer]
    toppers: list[BalloonOffer]
    weights: list[tuple[int, str]]
    making: BuildInput | None = None
    scene: BuildPlace | None = None
    problems: dict[str, str] = field(default_factory=dict)

    @property
    def balloon_type_choices(self) -> Choices:
        return [(str(row.id), row.name) for row in self.balloon_types]

    @property
    def topper_choices(self) -> Choices:
        return [("", "nothing"), *((str(row.id), row.name) for row in self.toppers)]

    @property
    def weight_choices(self) -> Choices:
        return [("", "none yet"), *((str(supply_id), name) for supply_id, name in self.weights)]

    def choices_of(self, figure: BuildFigure) -> Choices:
        return [(choice, choice) for choice in figure.choices]

    @property
    def asks_number(self) -> bool:
        return self.form not in (Construction.STUFFED, Construction.GARLAND)

    @property
    def asks_colours(self) -> bool:
        return self.form not in (Construction.STUFFED, Construction.STRUNG)

    @property
    def takes_as_many(self) -> bool:
        return self.form in AS_MANY_AS_IT_TAKES

    def read(self, name: str, read: Callable[[str], Read], otherwise: Read) -> Read:
        """A field's value; what stands for it where it is wrong, which is then said at it."""
        try:
            return read(self.typed.get(name, ""))
        except (ValidationError, ValueError) as wrong:
            self.problems[name] = str(wrong)
            return otherwise


def read_form(sent: Mapping[str, str], shop: Shop, catalogue: Catalogue) -> CalculatorForm:
    form = CalculatorForm(
        form=_form(sent.get("form", "")),
        typed={},
        balloon_types=[],
        toppers=[],
        weights=[
            (row.id, row.name) for row in catalogue.supplies.values() if _is_weight(row.sort, row.archived_at)
        ],
    )
    rows = [row for row in catalogue.balloon_types.values() if row.archived_at is None]
    form.balloon_types = [row for row in rows if _may_be(form.form, row)]
    form.toppers = [row for row in rows if row.material.traits.is_topper and not row.air_only]
    form.typed = _typed(form, sent, shop)
    form.scene = _scene(form, shop)
    form.making = _making(form, shop, catalogue)
    return form


def _is_weight(sort: str, archived_at: object) -> bool:
    return sort == SupplySort.WEIGHT and archived_at is None


def _form(text: str) -> Construction:
    return next((form for form in FORM_WORDS if form == text), Construction.BOUQUET)


def _may_be(form: Construction, row: BalloonOffer) -> bool:
    traits = row.material.traits
    if form in IN_AIR:
        return traits.is_tied and not row.air_only
    if form is Construction.STUFFED:
        return traits.can_hold_items(air_only=row.air_only)
    return not row.air_only and (form is Construction.STRUNG or not traits.is_topper)


def _typed(form: CalculatorForm, sent: Mapping[str, str], shop: Shop) -> dict[str, str]:
    """What was sent over what is usual: at first the fields hold something that can be made."""
    usual = USUAL | {"spacing_m": f"{shop.craft.strung.spacing_m:g}"} | OF_FORM.get(form.form, {})
    wanted = USUAL_KINDS.get(form.form, "11 in latex")
    balloon_type = next(
        (row for row in form.balloon_types if row.name == wanted), next(iter(form.balloon_types), None)
    )
    typed = {name: text.strip()[:MOST_LETTERS] for name, text in sent.items()}
    return usual | {"balloon_type": str(balloon_type.id) if balloon_type else ""} | typed


def _scene(form: CalculatorForm, shop: Shop) -> BuildPlace:
    where = form.read("where", Surroundings, Surroundings.INDOORS)
    limit = shop.outdoors.wind_limit_m_s
    wind = form.read("wind", lambda text: read_wind(text) if text else limit, limit)
    celsius = shop.air.celsius if where.outdoors else shop.indoors_celsius
    return BuildPlace(Air(celsius, shop.air.elevation_m), where, wind)


def _making(form: CalculatorForm, shop: Shop, catalogue: Catalogue) -> BuildInput | None:
    pieces = form.read("pieces", lambda text: read_whole(text, 1, 500, "How many"), 1)
    counted = bool(form.typed["number"]) and form.asks_number
    build, balloons = _build(form), _balloons(form, shop, catalogue, counted=counted)
    items = _items(form)
    if form.problems or build is None:
        return None
    return BuildInput(
        title=FORM_WORDS[form.form],
        quantity=pieces,
        build=build,
        balloons=balloons,
        supplies=_weight(form, catalogue),
        items=items,
        counted=counted,
        weighed=False,
    )


def _build(form: CalculatorForm) -> Build | None:
    asked = FIGURES.get(form.form, ())
    nothing: float | str = ""
    figures = {one.key: form.read(one.key, _figure_reader(one), nothing) for one in asked}
    return None if form.problems else Build(form.form, figures)


def _figure_reader(figure: BuildFigure) -> Callable[[str], float | str]:
    if figure.choices:
        return figure.check
    return lambda text: figure.check(read_number(text, figure.low, figure.high, figure.unit))


def _balloons(form: CalculatorForm, shop: Shop, catalogue: Catalogue, *, counted: bool) -> tuple[BalloonGroup, ...]:
    balloon_type = next((row for row in form.balloon_types if row.id == read_id(form.typed["balloon_type"])), None)
    if balloon_type is None:
        form.problems["balloon_type"] = "Which balloons? Choose a kind, please."
        return ()
    number = MANY
    if counted or not form.takes_as_many:
        number = form.read("number", lambda text: read_whole(text, 1, 2000, "Balloons"), 1)
    return (
        _alike(form, balloon_type, _gas(form), _colours(form, number), shop),
        *_toppers(form, shop),
        *_inside(form, shop, catalogue),
    )


def _gas(form: CalculatorForm) -> Gas:
    if form.form is Construction.STUFFED:
        return form.read("gas", Gas, Gas.AIR)
    return Gas.AIR if form.form in IN_AIR else Gas.HELIUM


def _colours(form: CalculatorForm, number: int) -> dict[str, int]:
    try:
        return share_out(form.typed.get("colours", "") if form.asks_colours else "", number)
    except ColoursUnclear as unclear:
        form.problems["colours"] = str(unclear)
        return {}


def _toppers(form: CalculatorForm, shop: Shop) -> tuple[BalloonGroup, ...]:
    if form.form not in (Construction.BOUQUET, Construction.STRINGS):
        return ()
    count = form.read("toppers", lambda text: read_whole(text or "0", 0, 50, "On top"), 0)
    balloon_type = next((row for row in form.toppers if row.id == read_id(form.typed.get("topper"))), None)
    if count and balloon_type is None:
        form.problems["topper"] = f"What is on top? Choose a {TOPPERS}, please."
    return (_alike(form, balloon_type, Gas.HELIUM, {"": count}, shop),) if count and balloon_type else ()


def _inside(form: CalculatorForm, shop: Shop, catalogue: Catalogue) -> tuple[BalloonGroup, ...]:
    """Small balloons in a stuffed one: the smallest of the shop that are tied."""
    if form.form is not Construction.STUFFED or form.typed["inside"] not in {*Gas}:
        return ()
    rows = [row for row in catalogue.balloon_types.values() if row.archived_at is None]
    small = min((row for row in rows if row.material.traits.is_tied), key=lambda row: row.nominal_in, default=None)
    return (_alike(form, small, Gas(form.typed["inside"]), {"": 1}, shop),) if small else ()


def _alike(
    form: CalculatorForm, row: BalloonOffer, gas: Gas, colours: Mapping[str, int], shop: Shop
) -> BalloonGroup:
    balloon_type, scene = row.balloon_type, form.scene
    later = (scene.there,) if scene else ()
    where = scene.where if scene else Surroundings.INDOORS
    size = fill_size(balloon_type, gas, shop.air, later, where, shop.air_sizes)
    return BalloonGroup(Filling(balloon_type, gas, size.litres, shop.air), size.diameter_in, tuple(colours.items()))


def _items(form: CalculatorForm) -> tuple[StuffedItem, ...]:
    name = form.typed.get("item", "")
    if form.form is not Construction.STUFFED or not name:
        return ()
    width = form.read("item_cm", lambda text: read_number(text, 0.5, 100, "cm"), 1.0)
    return (StuffedItem(name, width),)


def _weight(form: CalculatorForm, catalogue: Catalogue) -> tuple[SoldSupply, ...]:
    row = catalogue.supplies.get(read_id(form.typed.get("weight")))
    return (SoldSupply(row.id, row.name, row.sort, 1.0),) if row and row.sort == SupplySort.WEIGHT else ()
