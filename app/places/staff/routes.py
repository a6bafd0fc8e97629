"""Staff: choose your name, or add one."""

from flask import Blueprint, Response, flash, make_response, render_template, request, session, url_for

from app.actions.shop.office import add_staff
from app.quoting.errors import Refused
from app.store.queries.staff import staff_names
from app.web.forms import ShopForm, TextField
from app.web.htmx import see_other
from app.web.requests import request_context

LOOKS = {"": "As this device", "light": "Light", "dark": "Dark"}


class StaffNameForm(ShopForm):
    """A new name."""

    name = TextField("New name")


staff = Blueprint("staff", __name__, url_prefix="/staff")


@staff.get("/")
def choose() -> Response:
    """Shows the names."""
    return _page(StaffNameForm())


@staff.post("/")
def chosen() -> Response:
    """Remembers the chosen name in this browser."""
    name = request.form.get("name", "")
    if name in staff_names(request_context().session):
        session["who"] = name
        session.permanent = True
    return see_other(url_for("counter.new_order"))


@staff.post("/look")
def choose_look() -> Response:
    """Remembers in this browser whether its pages are light, dark, or as the device is."""
    look = request.form.get("look")
    if look in LOOKS:
        session["look"] = look
        session.permanent = True
    return see_other(url_for("staff.choose", chosen="look"))


@staff.post("/new")
def add() -> Response:
    """Adds a name to choose from."""
    form = StaffNameForm(request.form)
    try:
        add_staff(request_context().session, form.name.data or "")
    except Refused as refused:
        form.add_problems(refused.problems)
        return _page(form, 422)
    flash(f"{form.name.data} added.")
    return see_other(url_for("staff.choose"))


def _page(form: StaffNameForm, status: int = 200) -> Response:
    """Returns the page of names."""
    names = staff_names(request_context().session)
    return make_response(render_template("staff/choose.html", names=names, form=form, looks=LOOKS), status)
