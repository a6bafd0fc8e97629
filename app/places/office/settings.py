"""Office: the shop's settings in plain words, and the store's health."""

from typing import cast

from flask import Blueprint, Response, current_app, make_response, render_template, request, url_for

from app.actions.shop.office import change_settings
from app.places.office.recalculated import replan
from app.quoting.errors import Refused
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.web.htmx import see_other
from app.web.requests import StillaloftFlask, request_context


def register(office: Blueprint) -> None:
    office.get("/")(settings)
    office.get("/settings")(settings)
    office.post("/settings")(save_settings)
    office.get("/health")(health)


def settings() -> Response:
    return _page({})


def save_settings() -> Response:
    typed = {setting.key: request.form[setting.key] for setting in SETTINGS if setting.key in request.form}
    try:
        change_settings(request_context().session, typed)
    except Refused as refused:
        problems = {problem.field: problem.sentence for problem in refused.problems}
        return _page(problems, typed, status=422)
    replan("The settings are kept.")
    return see_other(url_for("office.settings"))


def health() -> str:
    facts = cast(StillaloftFlask, current_app).database.describe()
    return render_template("office/health.html", facts=facts)


def _page(problems: dict[str, str], typed: dict[str, str] | None = None, status: int = 200) -> Response:
    groups: dict[str, list[Setting]] = {}
    for setting in SETTINGS:
        groups.setdefault(setting.group, []).append(setting)
    shown = {**request_context().shop.display, **(typed or {})}
    page = render_template("office/settings.html", groups=groups, shown=shown, problems=problems)
    return make_response(page, status)
