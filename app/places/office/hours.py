"""Office: opening hours by weekday, and other hours on single dates."""

from collections.abc import Iterator, Sequence
from datetime import date

from flask import Blueprint, Response, make_response, render_template, request, url_for

from app.actions.records.shop import load_opening
from app.actions.shop.office import change_week, delete_exception_hours, save_exception_hours
from app.places.office.recalculated import save_and_recalculate, status_of
from app.planning.opening import Opening
from app.planning.shoptime import length_of, minutes_from_to
from app.quoting.settings.setting import WEEKDAYS
from app.web.days import read_date
from app.web.forms import DayField, FormGroup, ShopForm, TextField, TimeRangeForm, add_sentence
from app.web.forms.drawn import DrawnField, drawn_fields
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.hours import clock_change_words, hours_words

NO_OPENING_HOURS = "Enter opening hours for at least one day."


class OpeningForm(TimeRangeForm):
    """The hours of one weekday, whose number ends the names of its fields."""

    first = TextField("Opens", name="opens")
    last = TextField("Closes", name="closes")


class ExceptionForm(TimeRangeForm):
    """Other hours on one date; if both are empty, the shop is closed."""

    day = DayField("Date")
    first = TextField("Opens", name="opens")
    last = TextField("Closes", name="closes")


def register(office: Blueprint) -> None:
    """Registers the page of opening hours."""
    office.get("/hours")(hours)
    office.post("/hours")(save_hours)
    office.post("/hours/exceptions")(save_exception)
    office.post("/hours/exceptions/<day>/remove")(remove_exception)


def hours() -> Response:
    """Shows the opening hours."""
    return _page(_saved_week())


def save_hours() -> Response:
    """Saves the opening hours of the week."""
    stored = _stored_week()
    days = [OpeningForm(request.form, suffix=weekday) for weekday in range(7)]
    week = FormGroup(zip(WEEKDAYS, days, strict=True))
    is_valid = stored.accepts(week)
    if is_valid and not any(day.minutes for day in days):
        add_sentence(days[0].first, NO_OPENING_HOURS)
        is_valid = False
    if is_valid and save_and_recalculate(week, lambda: _save_week(days, stored)):
        return see_other(url_for("office.hours"))
    return _page(week, status=status_of(week))


def _save_week(days: Sequence[OpeningForm], stored: StoredForm) -> str:
    """Saves the opening hours of the week, and returns the sentence about it."""
    change_week(request_context().session, {weekday: day.minutes for weekday, day in enumerate(days)})
    stored.write_history()
    return "Opening hours saved."


def save_exception() -> Response:
    """Saves other hours for a date."""
    form = ExceptionForm(request.form)
    is_valid = form.validate()
    stored = _stored_exceptions(form.day.value_or_none)
    if stored.is_unchanged(form) and is_valid and save_and_recalculate(form, lambda: _save_exception(form, stored)):
        return see_other(url_for("office.hours"))
    return _page(_saved_week(), form, status=status_of(form))


def _save_exception(form: ExceptionForm, stored: StoredForm) -> str:
    """Saves other hours for a date, and returns the sentence about it."""
    save_exception_hours(request_context().session, form.day.value, form.minutes)
    stored.write_history()
    return f"Hours on {request_context().formats.day(form.day.value)} saved."


def remove_exception(day: str) -> Response:
    """Removes the other hours of a date."""
    of_day, form = read_date(day) or date.min, ShopForm()
    stored = _stored_exceptions(of_day)
    if stored.is_unchanged(form) and save_and_recalculate(form, lambda: _remove_exception(of_day, stored)):
        return see_other(url_for("office.hours"))
    return _page(_saved_week(), removing=(of_day, form), status=status_of(form))


def _remove_exception(day: date, stored: StoredForm) -> str:
    """Removes the other hours of a date, and returns the sentence about it."""
    delete_exception_hours(request_context().session, day)
    stored.write_history()
    return "Exception removed."


def _saved_week() -> FormGroup:
    """Returns the forms of the saved week."""
    days = [OpeningForm(suffix=weekday) for weekday in range(7)]
    here = request_context()
    week = load_opening(here.session).week
    for weekday, day in enumerate(days):
        day.fill_in(week.get(weekday, ()), here.formats)
    return FormGroup(zip(WEEKDAYS, days, strict=True))


def _stored_week() -> StoredForm:
    """Returns what is stored of the week."""
    return StoredForm("hours", lambda: drawn_fields(_saved_week()))


def _stored_exceptions(only: date | None = None) -> StoredForm:
    """Returns the stored hours of single dates. only: the date to look at; all if it is None."""
    return StoredForm("exception hours", lambda: dict(_drawn_exceptions()), {only.isoformat()} if only else None)


def _drawn_exceptions() -> Iterator[tuple[str, DrawnField]]:
    """Yields the hours of single dates, each as a field whose name is the date."""
    for day, words in _exceptions():
        yield day.isoformat(), DrawnField(request_context().formats.day(day), words or "closed", words or "closed")


def _exceptions() -> list[tuple[date, str]]:
    """Returns the dates with other hours, and these in words; empty if the shop is closed."""
    opening = load_opening(request_context().session)
    return [(day, _exception_words(opening, day)) for day in sorted(opening.exceptions)]


def _exception_words(opening: Opening, day: date) -> str:
    """Returns the hours of a date in words; empty if the shop is closed."""
    hours, formats = opening.hours(day), request_context().formats
    if hours is None:
        return ""
    minutes = minutes_from_to(*hours)
    change = clock_change_words(*minutes, length_of(day, minutes, opening.zone), formats)
    return f"{hours_words(*minutes, formats)}{f' ({change})' if change else ''}"


def _page(
    week: FormGroup,
    exception: ExceptionForm | None = None,
    removing: tuple[date, ShopForm] | None = None,
    status: int = 200,
) -> Response:
    """Returns the page of opening hours. removing: a date whose hours were not removed, and why."""
    exception = exception or ExceptionForm()
    _stored_week().draw(week)
    exceptions = _stored_exceptions()
    exceptions.draw(exception)
    page = render_template(
        "office/hours.html",
        week=week,
        exception=exception,
        removing=removing,
        drawn=exceptions.drawn,
        exceptions=_exceptions(),
    )
    return make_response(page, status)
