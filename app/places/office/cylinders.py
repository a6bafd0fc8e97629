"""Office: one cylinder, its figures and readings; one that came."""

from collections.abc import Mapping
from datetime import date

from flask import Blueprint, flash, request, url_for
from flask.wrappers import Response

from app.actions.gas.cylinders import CylinderFigures, add_cylinder, change_cylinder, load_cylinder
from app.actions.gas.readings import undo_reading
from app.craft.gas import LITRES_PER_CUBIC_FOOT, US_NORMAL_C, PressureReading, water_litres
from app.places.office.record_page import page, problems_by_field
from app.quoting.errors import Problem, Refused
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.store.queries.gas import readings
from app.web.cylinder_presses import press_cylinder, pressed_words, read_gauge
from app.web.forms import tap_key
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.typed import Typed
from app.web.wording.gas import pressure, purity_words

CONTENTS = {"water": "litres of water", "m3": "m³ of gas", "cuft": "cu ft of gas"}
"""What is stamped on it: its inside, or its nominal content."""
SMALLEST_L, LARGEST_L = 0.2, 200.0
FULLEST_BAR = 300.0
HOLDS: Mapping[str, tuple[float, float, str]] = {
    "water": (SMALLEST_L, LARGEST_L, "L"),
    "m3": (0.01, 60.0, "m³"),
    "cuft": (0.3, 2100.0, "cu ft"),
}
"""The least and the most that is typed: what the largest inside holds at the highest pressure, rounded up."""
WITHOUT_GAUGE = {CylinderState.FULL: ("empty", "gone")}
"""Presses that nothing is typed for: they are asked about."""
ACTS: Mapping[str, tuple[tuple[str, str], ...]] = {
    CylinderState.FULL: (("read", "Note it"), ("use", "Take into use"), ("empty", "Empty"), ("gone", "Gone back")),
    CylinderState.IN_USE: (("read", "Note it"), ("aside", "Set aside"), ("empty", "Empty"), ("gone", "Gone back")),
    CylinderState.EMPTY: (("read", "Note it"), ("aside", "Not empty: stands by"), ("gone", "Gone back")),
    CylinderState.GONE_BACK: (("aside", "Still here: stands by"),),
    "along": (("back", "Back from the venue"), ("read", "Note it")),
}


def register(office: Blueprint) -> None:
    office.get("/gas/new")(new_cylinder)
    office.post("/gas/new")(save_new_cylinder)
    office.get("/gas/<int:cylinder_id>")(cylinder)
    office.post("/gas/<int:cylinder_id>")(save_cylinder)
    office.post("/gas/<int:cylinder_id>/press")(press_this_cylinder)
    office.post("/gas/<int:cylinder_id>/readings/<int:reading_id>/undo")(undo_this_reading)


def new_cylinder() -> Response:
    purity = f"{request_context().shop.float_defaults.purity * 100:g}"
    return _page(
        {
            "holds_in": "water",
            "full": "200",
            "purity": purity,
            "came_on": request_context().context.today.isoformat(),
        }
    )


def save_new_cylinder() -> Response:
    texts = request.form.to_dict()
    try:
        row = add_cylinder(request_context().context, _read(texts), tap_key())
    except Refused as refused:
        return _page(texts, None, refused)
    flash(f"{row.name} is at the shop.")
    return see_other(url_for("office.gas"))


def cylinder(cylinder_id: int) -> Response:
    row = load_cylinder(request_context().session, cylinder_id)
    return _page(_texts_of(row), row)


def save_cylinder(cylinder_id: int) -> Response:
    row, texts = load_cylinder(request_context().session, cylinder_id), request.form.to_dict()
    try:
        row = change_cylinder(request_context().context, cylinder_id, _read(texts))
    except Refused as refused:
        return _page(texts, row, refused)
    flash(f"{row.name} is kept.")
    return see_other(url_for("office.cylinder", cylinder_id=cylinder_id))


def press_this_cylinder(cylinder_id: int) -> Response:
    row = load_cylinder(request_context().session, cylinder_id)
    try:
        row = press_cylinder(cylinder_id)
    except Refused as refused:
        return _page(_texts_of(row), row, pressing=refused)
    flash(pressed_words(row))
    return see_other(url_for("office.cylinder", cylinder_id=cylinder_id))


def undo_this_reading(cylinder_id: int, reading_id: int) -> Response:
    here = request_context()
    undo_reading(here.context, cylinder_id, reading_id)
    return see_other(url_for("office.cylinder", cylinder_id=cylinder_id))


def _texts_of(row: Cylinder) -> dict[str, str]:
    return {
        "name": row.name,
        "holds": f"{row.water_l:.4g}",
        "holds_in": "water",
        "full": f"{row.full_bar:.4g}",
        "purity": f"{row.purity_percent:g}",
        "came_on": row.came_on.isoformat(),
    }


def _read(texts: Mapping[str, str]) -> CylinderFigures:
    """Raises Refused. A content in cubic feet, and the pressure beside it, are told at 70 °F."""
    typed = Typed(texts, request_context().formats.decimals)
    name, came_on = typed.text("name"), _read_day(typed.text("came_on"))
    holds_in = typed.one_of("holds_in", [*CONTENTS])
    holds = typed.number("holds", *HOLDS.get(holds_in, HOLDS["water"]))
    purity = typed.number("purity", 50, 100, "%")
    typed.check()
    full = _read_full(typed.text("full"))
    if holds_in == "cuft":
        full = PressureReading(full.bar, US_NORMAL_C)
    inside = holds if holds_in == "water" else water_litres(holds * _litres_in(holds_in), full)
    if not SMALLEST_L <= inside <= LARGEST_L:
        sentence = (
            f"That is an inside of {_plain(inside)} litres of water: {SMALLEST_L:g} to {LARGEST_L:g}, please."
        )
        raise Refused(Problem("holds", sentence))
    return CylinderFigures(name, inside, full.at(PressureReading(0).celsius).bar, purity, came_on)


def _plain(litres: float) -> str:
    return f"{litres:,.0f}" if litres >= 10 else f"{litres:.2g}"


def _litres_in(holds_in: str) -> float:
    return 1000.0 if holds_in == "m3" else LITRES_PER_CUBIC_FOOT


def _read_full(text: str) -> PressureReading:
    """As at 15 °C."""
    try:
        gauge = read_gauge({"bar": text, "celsius": ""})
    except Refused as refused:
        raise Refused(*(Problem("full", problem.sentence) for problem in refused.problems)) from None
    if gauge is None or not 1 <= gauge.bar <= FULLEST_BAR:
        raise Refused(Problem("full", f"1 to {FULLEST_BAR:g} bar, or in psi with its unit, please."))
    return PressureReading(gauge.bar)


def _read_day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Refused(Problem("came_on", "On which day did it come? A date, please.")) from None
    if not 2000 <= day.year <= 2100:
        raise Refused(Problem("came_on", "Check the year."))
    return day


def _page(
    texts: Mapping[str, str],
    row: Cylinder | None = None,
    refused: Refused | None = None,
    pressing: Refused | None = None,
) -> Response:
    here = request_context()
    return page(
        "office/cylinder.html",
        refused or pressing,
        texts=texts,
        row=row,
        problems=problems_by_field(refused, {}),
        pressed=problems_by_field(pressing, {}),
        acts=ACTS["along" if row.order_id else row.state] if row else (),
        asks=WITHOUT_GAUGE.get(CylinderState(row.state), ()) if row else (),
        today=request_context().context.today.isoformat(),
        readings=readings(here.session, cylinder_id=row.id)[::-1] if row else (),
        purity=purity_words(row, here.shop) if row else "",
        contents=CONTENTS,
        pressure=pressure,
        new_key=new_key,
    )
