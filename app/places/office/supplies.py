"""Office: weights, ribbon, plush, bags, treatment, modelling balloons, rental items; a page for each."""

from typing import Any, ClassVar

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response
from wtforms.validators import ValidationError

from app.actions.catalogue.supplies import (
    SupplyFigures,
    add_supply,
    archive_supply,
    change_supply,
    load_supply,
    unit_lock_problem,
)
from app.quoting.errors import Refused
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import SupplyRow
from app.store.queries.stock import all_supplies
from app.web.forms import (
    CountedField,
    MeasureField,
    MoneyField,
    PriceOfOneField,
    ShopForm,
    StrictChoiceField,
    TextField,
    choices_of,
)
from app.web.forms.drawn import Drawn, drawn_fields
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.stock import (
    COUNTED_IN,
    counting_unit,
    describe_amount,
    name_of_one,
    price_of_amount,
    price_words,
)

HEADINGS = {
    SupplySort.WEIGHT: "Weights",
    SupplySort.RIBBON: "Ribbon",
    SupplySort.PLUSH: "Plush",
    SupplySort.BAG: "Bags",
    SupplySort.TREATMENT: "Treatment",
    SupplySort.MODELLING: "Modelling balloons",
    SupplySort.RENTAL: "Rentals",
    SupplySort.OTHER: "Other",
}
CHOOSE_SORT = "Choose what it is."


class SupplyForm(ShopForm):
    """The form of a supply; its sort, which is chosen first, decides what is asked."""

    field_names: ClassVar = {"price_minor": "price", "pack_minor": "pack_cost", "deposit_minor": "deposit"}

    sort = TextField("What it is")
    name = TextField("Name")
    unit = StrictChoiceField("Counted in")
    grams = MeasureField("Weight", 0.01, 50_000, "g")
    width_cm = MeasureField("Width", 0.5, 500, "cm")
    pack_size = CountedField("Pack size", 0.01, 100_000)
    pack_cost = MoneyField("Cost of a pack")
    price = PriceOfOneField("Price", optional=True)
    deposit = MoneyField("Security deposit")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit.choices = choices_of(_unit_names())
        self.set_sort(str(self.sort.data or ""))

    def set_sort(self, sort: str) -> None:
        """Sets the sort, which decides whether the weight is that of one piece or of a length."""
        self.sort.data = sort
        self.grams.set_unit("g/m" if sort == SupplySort.RIBBON else "g")
        for field in (self.pack_size, self.price):
            field.set_unit(COUNTED_IN[self.counted_in])

    @property
    def chosen(self) -> SupplySort | None:
        """The chosen sort; None if none is chosen."""
        return SupplySort(self.sort.data) if self.sort.data in {*SupplySort} else None

    @property
    def counted_in(self) -> SupplyUnit:
        """The unit in which it is counted; pieces if none is chosen."""
        return SupplyUnit(self.unit.data) if self.unit.data in {*SupplyUnit} else SupplyUnit.PIECE

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        sort = self.chosen
        if sort is None:
            return name == "sort"
        asked = {"grams": sort.weighs, "width_cm": sort.has_width, "deposit": sort is SupplySort.RENTAL}
        return asked.get(name, True)

    def validate_sort(self, _field: Any) -> None:
        if self.chosen is None:
            raise ValidationError(CHOOSE_SORT)

    def figures(self) -> SupplyFigures:
        """Returns what was typed. The form must be valid."""
        return SupplyFigures(
            name=self.name.value,
            sort=SupplySort(self.sort.data),
            unit=SupplyUnit(self.unit.data),
            pack_size=self.pack_size.value,
            pack_minor=self.pack_cost.value,
            price_minor=self.price.value_or_none,
            grams=self.grams.value_or_none,
            width_cm=self.width_cm.value_or_none,
            deposit_minor=self.deposit.value_or_none or 0,
        )


def register(office: Blueprint) -> None:
    """Registers the pages of supplies."""
    office.get("/supplies")(supplies)
    office.get("/supplies/new")(new_supply)
    office.post("/supplies/new")(save_new_supply)
    office.get("/supplies/<int:supply_id>")(supply)
    office.post("/supplies/<int:supply_id>")(save_supply)
    office.post("/supplies/<int:supply_id>/archive")(archive_this_supply)
    office.post("/supplies/<int:supply_id>/restore")(restore_supply)


def _unit_names() -> dict[SupplyUnit, str]:
    """Returns the name of each unit in which the shop counts."""
    formats = request_context().formats
    return {unit: counting_unit(unit, formats).name or "pieces" for unit in SupplyUnit}


def supplies() -> str:
    """Shows all supplies."""
    rows = all_supplies(request_context().session)
    return render_template(
        "office/supplies.html",
        groups={sort: [row for row in rows if row.sort == sort and not row.archived_at] for sort in HEADINGS},
        archived=[_archived_links(row) for row in rows if row.archived_at],
        headings=HEADINGS,
        describe_amount=describe_amount,
        name_of_one=name_of_one,
        price_words=price_words,
        price_of_amount=price_of_amount,
    )


def _archived_links(row: SupplyRow) -> tuple[str, str, str]:
    """Returns the name, the address of the page and the address that restores it."""
    restore = url_for("office.restore_supply", supply_id=row.id)
    return row.name, url_for("office.supply", supply_id=row.id), restore


def supply(supply_id: int) -> Response:
    """Shows the form of a supply."""
    row = load_supply(request_context().session, supply_id)
    return _supply_page(SupplyForm(data=_texts_of(row)), row)


def save_supply(supply_id: int) -> Response:
    """Saves a changed supply."""
    stored = stored_supply(supply_id)
    here = request_context()
    row = load_supply(here.session, supply_id)
    form = SupplyForm(request.form, data=_texts_of(row))
    form.set_sort(row.sort)
    if stored.accepts(form):
        try:
            row = change_supply(here.session, supply_id, form.figures())
            stored.write_history()
            flash(f"{row.name} saved.")
            return see_other(url_for("office.supplies"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _supply_page(form, row, form.refused_status)


def stored_supply(supply_id: int) -> StoredForm:
    """Returns what is stored of a supply."""

    def read() -> Drawn:
        return drawn_fields(SupplyForm(data=_texts_of(load_supply(request_context().session, supply_id))))

    return StoredForm(f"supply {supply_id}", read)


def new_supply() -> Response:
    """Shows the form of a new supply. Its sort comes first, since it decides what is asked."""
    sort = request.args.get("sort", "")
    return _supply_page(SupplyForm(data=_blank(sort) if sort in {*SupplySort} else {}))


def save_new_supply() -> Response:
    """Saves a new supply."""
    form = SupplyForm(request.form, data=_blank(request.form.get("sort", "")))
    if form.validate():
        try:
            row = add_supply(request_context().session, form.figures())
            flash(f"{row.name} saved.")
            return see_other(url_for("office.supplies"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _supply_page(form, status=422)


def archive_this_supply(supply_id: int) -> Response:
    """Stops offering the supply."""
    row = archive_supply(request_context().session, supply_id, request_context().now)
    flash(f"{row.name} archived. Orders and designs that use it stay as they are.")
    return see_other(url_for("office.supplies"))


def restore_supply(supply_id: int) -> Response:
    """Offers an archived supply again."""
    row = archive_supply(request_context().session, supply_id, None)
    flash(f"{row.name} restored.")
    return see_other(url_for("office.supplies"))


def _blank(sort: str) -> dict[str, str]:
    """Returns the texts of a new form."""
    formats = request_context().formats
    unit = SupplySort(sort).unit if sort in {*SupplySort} else SupplyUnit.PIECE
    return {
        "sort": sort,
        "unit": unit,
        "pack_size": "1",
        "pack_cost": formats.amount(0),
        "deposit": formats.amount(0),
    }


def _texts_of(row: SupplyRow) -> dict[str, str | float | None]:
    """Returns what fills in the form of a saved supply."""
    formats = request_context().formats
    return {
        **{name: getattr(row, name) for name in ("name", "sort", "unit", "grams", "width_cm")},
        "pack_size": row.pack_size,
        "price": row.price_minor,
        "pack_cost": formats.amount(row.pack_minor),
        "deposit": formats.amount(row.deposit_minor),
    }


def _supply_page(form: SupplyForm, row: SupplyRow | None = None, status: int = 200) -> Response:
    """Returns the page of a supply; of a new one without a row."""
    if row:
        stored_supply(row.id).draw(form)
    page = render_template(
        "office/supply.html",
        form=form,
        row=row,
        held=unit_lock_problem(request_context().session, row) if row and row.sort == SupplySort.OTHER else None,
        headings=HEADINGS,
        unit_name=_unit_names()[form.counted_in],
        one=name_of_one(form.counted_in, request_context().formats),
        price_of_amount=price_of_amount,
    )
    return make_response(page, status)
