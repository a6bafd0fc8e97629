"""Staff: choose your name, or add one."""

from flask import Blueprint, Response, make_response, render_template, request, session, url_for

from app.actions.shop.office import add_staff
from app.quoting.errors import Refused
from app.store.queries.staff import staff_names
from app.web.htmx import see_other
from app.web.requests import request_context

staff = Blueprint("staff", __name__, url_prefix="/staff")


@staff.get("/")
def choose() -> Response:
    return _page()


@staff.post("/")
def chosen() -> Response:
    name = request.form.get("name", "")
    if name in staff_names(request_context().session):
        session["who"] = name
        session.permanent = True
    return see_other(url_for("counter.new_order"))


@staff.post("/new")
def add() -> Response:
    try:
        add_staff(request_context().session, request.form.get("name", ""))
    except Refused as refused:
        return _page(refused.problems[0].sentence, status=422)
    return see_other(url_for("staff.choose"))


def _page(wrong: str = "", status: int = 200) -> Response:
    sent = request.form.get("name", "")
    return make_response(
        render_template("staff/choose.html", names=staff_names(request_context().session), wrong=wrong, sent=sent),
        status,
    )
