"""Staff: choose your name, or add one."""

from flask import Blueprint, Response, make_response, render_template, request, session, url_for
from sqlalchemy import select

from app.actions.errors import Refused
from app.actions.office import add_staff
from app.store.models import StaffMember
from app.web.door import visit
from app.web.htmx import see_other

staff = Blueprint("staff", __name__, url_prefix="/staff")


@staff.get("/")
def choose() -> Response:
    return _page()


@staff.post("/")
def chosen() -> Response:
    name = request.form.get("name", "")
    if name in _names():
        session["who"] = name
        session.permanent = True
    return see_other(url_for("counter.new_order"))


@staff.post("/new")
def add() -> Response:
    try:
        add_staff(visit().session, request.form.get("name", ""))
    except Refused as refused:
        return _page(refused.problems[0].sentence, status=422)
    return see_other(url_for("staff.choose"))


def _names() -> list[str]:
    return list(visit().session.scalars(select(StaffMember.name).order_by(StaffMember.name)))


def _page(wrong: str = "", status: int = 200) -> Response:
    sent = request.form.get("name", "")
    return make_response(render_template("staff/choose.html", names=_names(), wrong=wrong, sent=sent), status)
