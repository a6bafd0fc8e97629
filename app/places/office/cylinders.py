"""Office: one cylinder, its figures and readings; and a new cylinder."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response
from wtforms import HiddenField
from wtforms.validators import ValidationError

from app.actions.gas.cylinders import NAME_NEEDED, CylinderFigures, add_cylinder, change_cylinder, load_cylinder
from app.actions.gas.readings import undo_reading
from app.craft.gas import LITRES_PER_CUBIC_FOOT, US_NORMAL_C, PressureReading, water_litres
from app.planning.shoptime import local_day
from app.quoting.errors import Refused
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.store.queries.gas import readings
from app.web.cylinder_actions import (
    CylinderActionForm,
    apply_cylinder_action,
    cylinder_action_forms,
    describe_cylinder_action,
)
from app.web.forms import (
    DayField,
    Near,
    NumberField,
    PressureField,
    ShopForm,
    StrictChoiceField,
    TextField,
    add_sentence,
    choices_of,
    sent_client_key,
)
from app.web.forms.drawn import Drawn, drawn_fields
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.gas import STATE_WORDS, describe_purity, pressure

CONTENTS = {"water": "litres of water", "m3": "m³ of gas", "cuft": "cu ft of gas"}
"""What is stamped on a cylinder: its inside, or its nominal content."""
SMALLEST_L, LARGEST_L = 0.2, 200.0
FULLEST_BAR = 300.0
RIGHT_FULL = f"Enter 1 to {FULLEST_BAR:g} bar, or psi with its unit, for example 2640 psi."
HOLDS: Mapping[str, tuple[float, float, str]] = {
    "water": (SMALLEST_L, LARGEST_L, "L"),
    "m3": (0.01, 60.0, "m³"),
    "cuft": (0.3, 2100.0, "cu ft"),
}
"""The range of the field; the upper end is what the largest inside holds at the highest pressure, rounded up."""
PRESSES_TO_CONFIRM = {CylinderState.FULL: ("empty", "gone")}
"""Presses for which nothing is typed, so that a question is asked first."""
ACTS: Mapping[str, tuple[tuple[str, str], ...]] = {
    CylinderState.FULL: (
        *(("read", "Save reading"), ("use", "Put in use")),
        *(("empty", "Mark empty"), ("gone", "Return to supplier")),
    ),
    CylinderState.IN_USE: (
        *(("read", "Save reading"), ("aside", "Put away, part used")),
        *(("empty", "Mark empty"), ("gone", "Return to supplier")),
    ),
    CylinderState.EMPTY: (
        *(("read", "Save reading"), ("aside", "Not empty: put away")),
        ("gone", "Return to supplier"),
    ),
    CylinderState.GONE_BACK: (("aside", "Still here: put away"),),
    "along": (("back", "Back from the venue"), ("read", "Save reading")),
}


class CylinderForm(ShopForm):
    """What is written on a cylinder. full: the pressure that its gauge shows when it is full."""

    client_key = HiddenField()
    name = TextField("Name")
    holds = NumberField("Capacity", SMALLEST_L, LARGEST_L, "L")
    holds_in = StrictChoiceField("Capacity in", choices=choices_of(CONTENTS))
    full = PressureField("Pressure when full", missing=RIGHT_FULL)
    purity = NumberField("Helium purity", 50, 100, "%")
    came_on = DayField("Arrived on", near=Near.PAST)

    def validate(self, extra_validators: Any = None) -> bool:
        """Returns whether the form is valid: what it holds must also fit a size that cylinders have."""
        self.holds.low, self.holds.high, self.holds.unit = HOLDS.get(str(self.holds_in.data), HOLDS["water"])
        if not super().validate(extra_validators):
            return False
        if SMALLEST_L <= self._inside <= LARGEST_L:
            return True
        sentence = (
            f"A cylinder has {SMALLEST_L:g} to {LARGEST_L:g} litres of water volume; this makes"
            f" {_plain(self._inside)}. Check the capacity, its unit and the pressure."
        )
        add_sentence(self.holds, sentence)
        return False

    def validate_name(self, field: Any) -> None:
        if not field.text:
            raise ValidationError(NAME_NEEDED)

    def validate_full(self, field: Any) -> None:
        if not 1 <= field.value <= FULLEST_BAR:
            raise ValidationError(RIGHT_FULL)

    @property
    def _full(self) -> PressureReading:
        """Returns the pressure when full. A content in cubic feet, and the pressure given with it, are at 70 °F;
        others at 15 °C."""
        if self.holds_in.data == "cuft":
            return PressureReading(self.full.value, US_NORMAL_C)
        return PressureReading(self.full.value)

    @property
    def _inside(self) -> float:
        """Returns its inside in litres of water."""
        if self.holds_in.data == "water":
            return self.holds.value
        litres = 1000.0 if self.holds_in.data == "m3" else LITRES_PER_CUBIC_FOOT
        return water_litres(self.holds.value * litres, self._full)

    def figures(self) -> CylinderFigures:
        """Returns what was typed. The form must be valid."""
        full_bar = self._full.at(PressureReading(0).celsius).bar
        return CylinderFigures(self.name.value, self._inside, full_bar, self.purity.value, self.came_on.value)


def register(office: Blueprint) -> None:
    """Registers the pages of cylinders."""
    office.get("/gas/new")(new_cylinder)
    office.post("/gas/new")(save_new_cylinder)
    office.get("/gas/<int:cylinder_id>")(cylinder)
    office.post("/gas/<int:cylinder_id>")(save_cylinder)
    office.post("/gas/<int:cylinder_id>/press")(cylinder_action)
    office.post("/gas/<int:cylinder_id>/readings/<int:reading_id>/undo")(undo_this_reading)


def new_cylinder() -> Response:
    """Shows the form of a new cylinder."""
    here = request_context()
    purity = here.formats.typed_number(here.shop.float_defaults.purity * 100)
    blank = {"holds_in": "water", "full": "200", "purity": purity, "came_on": _today()}
    return _page(CylinderForm(data=blank | {"client_key": new_key()}))


def save_new_cylinder() -> Response:
    """Saves a new cylinder."""
    form = CylinderForm(request.form)
    if form.validate():
        try:
            here = request_context()
            row = add_cylinder(here.context, form.figures(), sent_client_key())
            flash(f"{row.name} added. {describe_purity(row, here.shop, here.formats)}".rstrip())
            return see_other(url_for("office.gas"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(form, status=422)


def cylinder(cylinder_id: int) -> Response:
    """Shows a cylinder."""
    row = load_cylinder(request_context().session, cylinder_id)
    return _page(CylinderForm(data=_texts_of(row)), row)


def save_cylinder(cylinder_id: int) -> Response:
    """Saves the corrected figures of a cylinder."""
    stored = _stored(cylinder_id)
    row, form = load_cylinder(request_context().session, cylinder_id), CylinderForm(request.form)
    if stored.accepts(form):
        try:
            row = change_cylinder(request_context().context, cylinder_id, form.figures())
            stored.write_history()
            flash(f"{row.name} saved.")
            return see_other(url_for("office.cylinder", cylinder_id=cylinder_id))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(form, row, status=form.refused_status)


def _stored(cylinder_id: int) -> StoredForm:
    """Returns what is stored of a cylinder's figures."""

    def read() -> Drawn:
        return drawn_fields(CylinderForm(data=_texts_of(load_cylinder(request_context().session, cylinder_id))))

    return StoredForm(f"cylinder {cylinder_id}", read)


def cylinder_action(cylinder_id: int) -> Response:
    """Saves what was pressed at a cylinder."""
    row = load_cylinder(request_context().session, cylinder_id)
    pressed, form = apply_cylinder_action(cylinder_id)
    if pressed is None:
        return _page(CylinderForm(data=_texts_of(row)), row, form, 422)
    flash(describe_cylinder_action(pressed))
    return see_other(url_for("office.cylinder", cylinder_id=cylinder_id))


def undo_this_reading(cylinder_id: int, reading_id: int) -> Response:
    """Undoes a reading."""
    here = request_context()
    flash(f"A reading of {undo_reading(here.context, cylinder_id, reading_id).name} undone.")
    return see_other(url_for("office.cylinder", cylinder_id=cylinder_id))


def _texts_of(row: Cylinder) -> dict[str, str]:
    """Returns the texts of the form of a saved cylinder."""
    formats = request_context().formats
    typed = formats.typed_number
    return {
        "name": row.name,
        "holds": typed(row.water_l, 4),
        "holds_in": "water",
        "full": typed(row.full_bar, 4),
        "purity": typed(row.purity_percent),
        "came_on": formats.typed_date(row.came_on),
    }


def _plain(litres: float) -> str:
    """Returns the litres as they are typed."""
    return f"{litres:,.0f}" if litres >= 10 else f"{litres:.2g}"


def _today() -> date:
    """Returns today's local date."""
    here = request_context()
    return local_day(here.now, here.formats.zone)


def _page(
    form: CylinderForm, row: Cylinder | None = None, pressing: CylinderActionForm | None = None, status: int = 200
) -> Response:
    """Returns the page of a cylinder; of a new one without a row. pressing: the form that could not be saved."""
    here = request_context()
    if row:
        _stored(row.id).draw(form)
    page = render_template(
        "office/cylinder.html",
        form=form,
        row=row,
        cylinder_action_form=cylinder_action_forms(pressing),
        acts=ACTS["along" if row.order_id else row.state] if row else (),
        acts_to_confirm=PRESSES_TO_CONFIRM.get(CylinderState(row.state), ()) if row else (),
        readings=readings(here.session, cylinder_id=row.id)[::-1] if row else (),
        purity=describe_purity(row, here.shop, here.formats) if row else "",
        cylinder_states=STATE_WORDS,
        pressure=lambda bar: pressure(bar, here.formats),
        new_key=new_key,
    )
    return make_response(page, status)
