"""Office: balloon types as they are made, weighed, bought and priced; a page for each."""

from typing import ClassVar

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response

from app.actions.catalogue.balloon_types import (
    SHAPES,
    BalloonTypeFigures,
    add_balloon_type,
    archive_balloon_type,
    change_balloon_type,
    load_balloon_type,
    material_lock_problem,
)
from app.physics.balloon import BalloonType
from app.physics.float_time import FloatTime, float_time
from app.physics.material import Material, Traits
from app.places.office.recalculated import save_and_recalculate, status_of
from app.quoting.catalogue import BalloonOffer
from app.quoting.costs import least_list_price, loose_cost
from app.quoting.errors import Refused
from app.store.models import BalloonTypeRow
from app.web.forms import (
    MeasureField,
    MoneyField,
    NumberField,
    ShopForm,
    StrictChoiceField,
    TextField,
    WholeField,
    choices_of,
)
from app.web.forms.drawn import Drawn, drawn_fields
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.float_time import float_time_words
from app.web.wording.materials import MATERIAL_WORDS, full_words, mass_hint, shape_hint

MONEY = {
    "price_minor": "price",
    "treated_minor": "treated",
    "fill_minor": "fill",
    "top_up_minor": "top_up",
    "pack_minor": "pack_cost",
}
"""The field of each price, by its name in the store."""
GASES = {"both": "Helium or air", "air": "Air only"}


class BalloonTypeForm(ShopForm):
    """The form of a balloon type; its material decides what is asked."""

    field_names: ClassVar = MONEY | {"air_only": "gas"}

    name = TextField("Name")
    material = StrictChoiceField("Material", choices=choices_of([*Material]))
    shape = StrictChoiceField("Shape", choices=choices_of(SHAPES))
    nominal_in = NumberField("Size", 1, 100, "in")
    rated_in = MeasureField("Full diameter", 1, 100, "in", optional=True)
    gas = StrictChoiceField("Filled with", choices=choices_of(GASES))
    mass_g = MeasureField("Weight of one", 0.1, 1000, "g")
    size_factor = NumberField("Size factor", 0.1, 5)
    helium_l = NumberField("Helium in one", 0.01, 5000, "L", optional=True)
    median_hours = NumberField("Stated float time", 0.01, 5000, "h", optional=True)
    price = MoneyField("Price")
    treated = MoneyField("Price when treated", optional=True)
    fill = MoneyField("Filling the customer's own", optional=True)
    top_up = MoneyField("Top-up", optional=True)
    pack_size = WholeField("Pack size", 1, 100_000)
    pack_cost = MoneyField("Cost of a pack")

    @property
    def traits(self) -> Traits:
        """What its material can do; if none is chosen, what the first material can do."""
        return Material(_blank(self.material.data or "")["material"]).traits

    @property
    def can_be_treated(self) -> bool:
        """Whether it may be treated to float longer."""
        return self.traits.can_be_treated and self.gas.data != "air"

    @property
    def takes_own(self) -> bool:
        """Whether the shop may fill the customer's own."""
        return self.traits.takes_own and self.gas.data != "air"

    @property
    def can_be_topped_up(self) -> bool:
        """Whether the shop may refill one that came back soft."""
        return self.traits.can_be_topped_up and self.gas.data != "air"

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        measured = ("rated_in", "helium_l", "median_hours")
        asked = {"treated": self.can_be_treated, "fill": self.takes_own, "top_up": self.can_be_topped_up}
        return name in self.traits.measures if name in measured else asked.get(name, True)

    def figures(self) -> BalloonTypeFigures:
        """Returns what was typed. The form must be valid."""
        return BalloonTypeFigures(
            name=self.name.value,
            material=str(self.material.data),
            shape=str(self.shape.data),
            nominal_in=self.nominal_in.value,
            rated_in=self.rated_in.value_or_none,
            mass_g=self.mass_g.value,
            helium_l=self.helium_l.value_or_none,
            median_hours=self.median_hours.value_or_none,
            size_factor=self.size_factor.value,
            air_only=self.gas.data == "air",
            price_minor=self.price.value,
            treated_minor=self.treated.value_or_none,
            fill_minor=self.fill.value_or_none,
            top_up_minor=self.top_up.value_or_none,
            pack_size=self.pack_size.value,
            pack_minor=self.pack_cost.value,
        )


def register(office: Blueprint) -> None:
    """Registers the pages of balloon types."""
    office.get("/balloon-types")(balloon_types)
    office.get("/balloon-types/new")(new_balloon_type)
    office.post("/balloon-types/new")(save_new_balloon_type)
    office.get("/balloon-types/<int:balloon_type_id>")(balloon_type)
    office.post("/balloon-types/<int:balloon_type_id>")(save_balloon_type)
    office.post("/balloon-types/<int:balloon_type_id>/archive")(archive_this_balloon_type)
    office.post("/balloon-types/<int:balloon_type_id>/restore")(restore_balloon_type)


def balloon_types() -> str:
    """Shows all balloon types."""
    rows = sorted(request_context().catalogue.balloon_types.values(), key=lambda row: (row.nominal_in, row.name))
    groups = {
        words.heading: [
            (row, _float_time_words(row.balloon_type), _least_price(row))
            for row in rows
            if row.material is material and not row.archived_at
        ]
        for material, words in MATERIAL_WORDS.items()
    }
    return render_template(
        "office/balloon_types.html",
        groups=groups,
        archived=[_archived_links(row) for row in rows if row.archived_at],
    )


def _least_price(row: BalloonOffer) -> int | None:
    """Returns what one loose balloon should cost at least; None if its price leaves enough."""
    here = request_context()
    return least_list_price(row.price_minor, loose_cost(row, here.catalogue, here.shop), here.shop)


def _archived_links(row: BalloonOffer) -> tuple[str, str, str]:
    """Returns the name, the address of the page and the address that restores it."""
    restore = url_for("office.restore_balloon_type", balloon_type_id=row.id)
    return row.name, url_for("office.balloon_type", balloon_type_id=row.id), restore


def balloon_type(balloon_type_id: int) -> Response:
    """Shows the form of a balloon type."""
    row = load_balloon_type(request_context().session, balloon_type_id)
    return _balloon_type_page(BalloonTypeForm(data=_texts_of(row)), row)


def save_balloon_type(balloon_type_id: int) -> Response:
    """Saves a changed balloon type."""
    stored = stored_balloon_type(balloon_type_id)
    row = load_balloon_type(request_context().session, balloon_type_id)
    form = BalloonTypeForm(request.form, data=_texts_of(row))
    if stored.accepts(form):
        try:
            if save_and_recalculate(form, lambda: _save(row, form, stored)):
                return see_other(url_for("office.balloon_types"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _balloon_type_page(form, row, status_of(form))


def _save(row: BalloonTypeRow, form: BalloonTypeForm, stored: StoredForm) -> str:
    """Saves what was typed, and returns the sentence about it."""
    change_balloon_type(request_context().session, row.id, form.figures())
    stored.write_history()
    return f"{row.name} saved."


def stored_balloon_type(balloon_type_id: int, *only: str) -> StoredForm:
    """Returns what is stored of a balloon type. only: the fields to look at; all if none is given."""

    def read() -> Drawn:
        row = load_balloon_type(request_context().session, balloon_type_id)
        return drawn_fields(BalloonTypeForm(data=_texts_of(row)))

    return StoredForm(f"balloon type {balloon_type_id}", read, set(only) or None)


def new_balloon_type() -> Response:
    """Shows the form of a new balloon type. It is latex until another material is chosen, which changes what is
    asked."""
    return _balloon_type_page(BalloonTypeForm(data=_blank(request.args.get("material", ""))))


def save_new_balloon_type() -> Response:
    """Saves a new balloon type."""
    form = BalloonTypeForm(request.form, data=_blank(""))
    if form.validate():
        try:
            row = add_balloon_type(request_context().session, form.figures())
            flash(f"{row.name} saved.")
            return see_other(url_for("office.balloon_types"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _balloon_type_page(form, status=422)


def archive_this_balloon_type(balloon_type_id: int) -> Response:
    """Stops offering the balloon type."""
    row = archive_balloon_type(request_context().session, balloon_type_id, request_context().now)
    flash(f"{row.name} archived. Orders and designs that use it stay as they are.")
    return see_other(url_for("office.balloon_types"))


def restore_balloon_type(balloon_type_id: int) -> Response:
    """Offers an archived balloon type again."""
    row = archive_balloon_type(request_context().session, balloon_type_id, None)
    flash(f"{row.name} restored.")
    return see_other(url_for("office.balloon_types"))


def median_float_time(balloon_type: BalloonType) -> FloatTime:
    """Returns how long half of them last with helium in the shop, untreated and full."""
    shop = request_context().shop
    return float_time(balloon_type, shop.air, shop.float_defaults)


def _float_time_words(balloon_type: BalloonType) -> str:
    """Returns its float time in words."""
    if balloon_type.air_only:
        return "Air only"
    return float_time_words(median_float_time(balloon_type), request_context().formats)


def _blank(material: str) -> dict[str, str]:
    """Returns the texts of a new form."""
    formats = request_context().formats
    chosen = material if material in {*Material} else next(iter(Material))
    plainest = {
        "shape": "round",
        "gas": "both",
        "size_factor": "1",
        "pack_size": "1",
        "pack_cost": formats.amount(0),
    }
    return plainest | {"material": chosen}


def _texts_of(row: BalloonTypeRow) -> dict[str, str | float]:
    """Returns what fills in the form of a saved balloon type."""
    formats = request_context().formats
    figures = ("nominal_in", "helium_l", "median_hours", "size_factor", "pack_size")
    return {
        **{name: getattr(row, name) for name in ("name", "material", "shape")},
        "gas": "air" if row.air_only else "both",
        "mass_g": row.mass_g,
        "rated_in": row.rated_in,
        **{
            name: formats.typed_number(value) if (value := getattr(row, name)) is not None else ""
            for name in figures
        },
        **{field: formats.amount(getattr(row, name)) for name, field in MONEY.items()},
    }


def _balloon_type_page(form: BalloonTypeForm, row: BalloonTypeRow | None = None, status: int = 200) -> Response:
    """Returns the page of a balloon type; of a new one without a row."""
    if row:
        stored_balloon_type(row.id).draw(form)
    page = render_template(
        "office/balloon_type.html",
        form=form,
        row=row,
        held=material_lock_problem(request_context().session, row) if row else None,
        materials={material: words.heading for material, words in MATERIAL_WORDS.items()},
        full_words=full_words,
        shape_hint=shape_hint,
        mass_hint=mass_hint,
        floats=bool(row and median_float_time(row.balloon_type).hours),
        float_time=_float_time_words(row.balloon_type) if row else "",
    )
    return make_response(page, status)
