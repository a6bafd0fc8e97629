"""Office: the shop's settings by subject, and a search over all of them."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import Blueprint, Response, abort, make_response, render_template, request, url_for

from app.actions.records.shop import load_shop, setting_values
from app.actions.shop.settings_history import SETTINGS_SUBJECT, change_shop_settings
from app.places.office.found_pages import find_pages
from app.places.office.recalculated import save_and_recalculate, status_of
from app.places.office.settings_form import SettingsForm, fill_in_settings
from app.quoting.errors import Refused
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.search import find_settings, search_words
from app.quoting.settings.setting import Setting
from app.quoting.settings.subjects import SUBJECTS, Subject, find_subject
from app.quoting.settings.zones import offered_zones
from app.web.formats import Formats
from app.web.forms.drawn import drawn_fields
from app.web.guide import guided
from app.web.htmx import page_or_part, see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm

MOST_LETTERS = 100
EXAMPLE_MINOR = 1250
AMOUNT_SETTINGS = {"locale", "currency_symbol", "currency_decimals"}
"""The settings that change how an amount is written."""


@dataclass(frozen=True, slots=True)
class FoundSetting:
    """A setting that the search found. value: as it is saved now, in words."""

    setting: Setting
    value: str


def register(office: Blueprint) -> None:
    """Registers the pages of settings."""
    office.get("/", endpoint="home")(settings)
    office.get("/settings")(settings)
    office.post("/settings")(save_settings)
    office.get("/settings/<subject>")(settings_of_subject)


def settings() -> Response:
    """Shows the subjects of the settings, or what a search finds in all of them."""
    typed = request.args.get("q", "")[:MOST_LETTERS]
    return page_or_part(
        "office/settings.html",
        "office/_found_settings.html",
        typed=typed,
        is_searched=bool(search_words(typed)),
        found=[FoundSetting(one, _value_in_words(one)) for one in find_settings(typed)],
        found_pages=find_pages(typed),
        subjects=SUBJECTS,
    )


def settings_of_subject(subject: str) -> Response:
    """Shows the settings of one subject."""
    found = find_subject(subject) or abort(404)
    return _page(SettingsForm(data=_saved_settings()), [found])


def save_settings() -> Response:
    """Saves the settings that were sent, of whichever subject; the others stay as they are."""
    subjects = _sent_subjects()
    stored = stored_settings(*_keys_of(subjects))
    form = SettingsForm(request.form, data=_saved_settings())
    if stored.accepts(form):
        try:
            if save_and_recalculate(form, lambda: _save(form)):
                return see_other(url_for("office.settings_of_subject", subject=subjects[0].key))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(form, subjects, status_of(form))


def _sent_subjects() -> list[Subject]:
    """Returns the subjects of which something was sent; the first subject if nothing was."""
    sent = {setting.subject.key for setting in SETTINGS if setting.key in request.form}
    return [one for one in SUBJECTS if one.key in sent] or [*SUBJECTS[:1]]


def _keys_of(subjects: Iterable[Subject]) -> list[str]:
    """Returns the keys of the settings of these subjects."""
    return [setting.key for setting in SETTINGS if setting.subject in subjects]


def _save(form: SettingsForm) -> str:
    """Saves the changed settings, and returns the sentence about it."""
    here, changes = request_context(), form.changes()
    change_shop_settings(here.context, changes)
    if not AMOUNT_SETTINGS & changes.keys():
        return "Settings saved."
    return f"Settings saved. Amounts now look like {Formats.of(load_shop(here.session)).money(EXAMPLE_MINOR)}."


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


def _value_in_words(setting: Setting) -> str:
    """Returns the saved value of a setting in words."""
    return drawn_fields(SettingsForm(data=_saved_settings()))[setting.key].shown


def _page(form: SettingsForm, subjects: list[Subject], status: int = 200) -> Response:
    """Returns the page of the settings of these subjects."""
    stored_settings(*_keys_of(subjects)).draw(form)
    found = guided()
    shown = [one for one in SETTINGS if found is None or one.key in found.step.settings]
    groups = {one: [setting for setting in shown if setting.subject == one] for one in subjects}
    page = render_template("office/settings_subject.html", groups=groups, form=form, zones=offered_zones())
    return make_response(page, status)
