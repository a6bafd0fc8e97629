"""Office: the shop's settings."""

from flask import Blueprint, Response, make_response, render_template, request, url_for

from app.actions.records.shop import setting_values
from app.actions.shop.settings_history import SETTINGS_SUBJECT, change_shop_settings
from app.places.office.recalculated import save_and_recalculate, status_of
from app.places.office.settings_form import SettingsForm, fill_in_settings
from app.quoting.errors import Refused
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.quoting.settings.zones import offered_zones
from app.web.forms.drawn import drawn_fields
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm


def register(office: Blueprint) -> None:
    """Registers the pages of settings."""
    office.get("/")(settings)
    office.get("/settings")(settings)
    office.post("/settings")(save_settings)


def settings() -> Response:
    """Shows the settings."""
    return _page(SettingsForm(data=_saved_settings()))


def save_settings() -> Response:
    """Saves the settings; what was not sent stays as it is."""
    stored = stored_settings()
    form = SettingsForm(request.form, data=_saved_settings())
    if stored.accepts(form):
        try:
            if save_and_recalculate(form, lambda: _save(form)):
                return see_other(url_for("office.settings"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(form, status_of(form))


def _save(form: SettingsForm) -> str:
    """Saves the changed settings, and returns the sentence about it."""
    change_shop_settings(request_context().context, form.changes())
    return "Settings saved."


def stored_settings(*only: str) -> StoredForm:
    """Returns what is stored of the settings. only: the keys to look at; all if none is given."""
    return StoredForm(SETTINGS_SUBJECT, lambda: drawn_fields(SettingsForm(data=_settings_now())), set(only) or None)


def _settings_now() -> dict[str, float | int | str]:
    """Returns what fills in the form of the settings, read anew."""
    here = request_context()
    return fill_in_settings(setting_values(here.session), here.formats)


def _saved_settings() -> dict[str, float | int | str]:
    """Returns what fills in the form of the saved settings."""
    here = request_context()
    return fill_in_settings(here.shop.display, here.formats)


def _page(form: SettingsForm, status: int = 200) -> Response:
    """Returns the page of the settings."""
    stored_settings().draw(form)
    groups: dict[str, list[Setting]] = {}
    for setting in SETTINGS:
        groups.setdefault(setting.group, []).append(setting)
    return make_response(
        render_template("office/settings.html", groups=groups, form=form, zones=offered_zones()), status
    )
