"""Office: who changed which setting and when; one press puts a value back."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache

from flask import Blueprint, Response, make_response, render_template, url_for

from app.actions.records.office_history import office_history
from app.actions.records.shop import setting_values
from app.actions.shop.settings_history import SETTINGS_SUBJECT, change_shop_settings, former_value
from app.places.office.recalculated import save_and_recalculate, status_of
from app.places.office.settings import stored_settings
from app.places.office.settings_form import SettingsForm, fill_in_settings
from app.quoting.errors import Refused
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.quoting.shop import DEFAULT_VALUES, Value
from app.store.models import OfficeChange
from app.web.formats import Formats
from app.web.forms import ShopForm
from app.web.forms.drawn import DrawnField, drawn_fields, write_drawn
from app.web.htmx import see_other
from app.web.requests import request_context

BY_KEY = {setting.key: setting for setting in SETTINGS}


@dataclass(frozen=True, slots=True)
class ShownChange:
    """A change of one setting. was, now: in words. drawn: the value as it is today, with which the page is drawn.
    form: why it was not put back. is_back: whether the setting has the value of before again."""

    entry_id: int
    key: str
    at: datetime
    who: str
    label: str
    was: str
    now: str
    drawn: str
    is_back: bool
    form: ShopForm | None


def register(office: Blueprint) -> None:
    """Registers the history of settings."""
    office.get("/settings/history")(settings_history)
    office.post("/settings/history/<int:change_id>/<key>")(put_back_setting)


def settings_history() -> Response:
    """Shows the history of settings."""
    return _page()


def put_back_setting(change_id: int, key: str) -> Response:
    """Saves the value that a setting had before a change."""
    stored, form = stored_settings(key), ShopForm()
    setting, before = former_value(request_context().session, change_id, key)
    try:
        if stored.is_unchanged(form) and save_and_recalculate(form, lambda: _put_back(setting, before)):
            return see_other(url_for("office.settings_history"))
    except Refused as refused:
        form.add_problems(refused.problems)
    return _page((change_id, key), form, status_of(form))


def _put_back(setting: Setting, value: Value) -> str:
    """Saves the value, and returns the sentence about it. Raises Refused."""
    change_shop_settings(request_context().context, {setting.key: value})
    return f"{setting.label} put back."


def _page(of: tuple[int, str] | None = None, form: ShopForm | None = None, status: int = 200) -> Response:
    """Returns the page. of: the entry and key that were not put back. form: why."""
    entries = office_history(request_context().session, SETTINGS_SUBJECT)
    changes = [change for entry in entries for change in _changes(entry, of, form)]
    return make_response(render_template("office/settings_history.html", changes=changes), status)


def _changes(entry: OfficeChange, of: tuple[int, str] | None, form: ShopForm | None) -> Iterator[ShownChange]:
    """Yields the changes of an entry. A setting that is no longer there is left out."""
    today, formats = setting_values(request_context().session), request_context().formats
    for key, _, was, now in entry.changes:
        if key not in BY_KEY:
            continue
        before, after, drawn = (drawn_setting(BY_KEY[key], value, formats) for value in (was, now, today[key]))
        yield ShownChange(
            entry.id,
            key,
            entry.at,
            entry.who,
            BY_KEY[key].label,
            before.shown or "blank",
            after.shown or "blank",
            write_drawn({key: drawn}),
            is_back=today[key] == was,
            form=form if of == (entry.id, key) else None,
        )


def drawn_setting(setting: Setting, value: Value, formats: Formats) -> DrawnField:
    """Returns a value of a setting as the settings show it."""
    values = fill_in_settings({**DEFAULT_VALUES, setting.key: value}, formats)
    return drawn_fields(_form_of_one(setting.key)(data=values))[setting.key]


@cache
def _form_of_one(key: str) -> type[ShopForm]:
    """Returns a form of one setting alone."""
    return type("OneSettingForm", (ShopForm,), {key: getattr(SettingsForm, key)})
