"""Bench: read the cylinders, take one into use, record that one is empty."""

from collections.abc import Mapping

from flask import Blueprint, Response, flash, make_response, render_template, url_for

from app.actions.gas.balance import gas_now
from app.quoting.states import CylinderState
from app.web.cylinder_actions import (
    CylinderActionForm,
    apply_cylinder_action,
    cylinder_action_forms,
    describe_cylinder_action,
)
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.wording.gas import litres, show_cylinder

ACTS: Mapping[str, tuple[tuple[str, str], ...]] = {
    CylinderState.IN_USE: (("read", "Save reading"), ("empty", "Mark empty"), ("aside", "Put away, part used")),
    CylinderState.FULL: (("use", "Put in use"), ("read", "Save reading")),
    "along": (("back", "Back from the venue"), ("read", "Save reading")),
}


def register(bench: Blueprint) -> None:
    """Registers the page of the cylinders."""
    bench.get("/bench/gas")(cylinders)
    bench.post("/bench/gas/<int:cylinder_id>")(save_cylinder_press)


def cylinders() -> Response:
    """Shows the cylinders."""
    return _page()


def save_cylinder_press(cylinder_id: int) -> Response:
    """Saves what was pressed at a cylinder."""
    row, form = apply_cylinder_action(cylinder_id)
    if row is None:
        return _page(form, 422)
    flash(describe_cylinder_action(row))
    return see_other(url_for("bench.cylinders"))


def _page(refused: CylinderActionForm | None = None, status: int = 200) -> Response:
    """Returns the page of the cylinders. refused: the form that could not be saved."""
    here = request_context()
    stock = gas_now(here.context)
    page = render_template(
        "bench/gas.html",
        cylinders=[show_cylinder(one, here.shop, here.formats) for one in stock or ()],
        total=litres(sum(one.left for one in stock or ()), here.formats),
        acts=ACTS,
        cylinder_action_form=cylinder_action_forms(refused),
        new_key=new_key,
    )
    return make_response(page, status)
