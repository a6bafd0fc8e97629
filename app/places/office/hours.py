"""Office: opening hours by weekday, and other hours on single dates."""

from datetime import date

from flask import Blueprint, Response, make_response, render_template, request, url_for

from app.actions.shop.office import change_week, delete_exception_hours, save_exception_hours
from app.places.office.recalculated import replan
from app.planning.shoptime import length_of, minutes_from_to
from app.quoting.settings.setting import WEEKDAYS
from app.web.days import read_date
from app.web.forms import DayField, FormGroup, TextField, TimeRangeForm, add_sentence
from app.web.htmx import see_other
from app.web.requests import request_context
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
    days = [OpeningForm(request.form, suffix=weekday) for weekday in range(7)]
    week = FormGroup(zip(WEEKDAYS, days, strict=True))
    is_valid = week.validate()
    if is_valid and not any(day.minutes for day in days):
        add_sentence(days[0].first, NO_OPENING_HOURS)
        is_valid = False
    if not is_valid:
        return _page(week, status=422)
    change_week(request_context().session, {weekday: day.minutes for weekday, day in enumerate(days)})
    replan("Opening hours saved.")
    return see_other(url_for("office.hours"))


def save_exception() -> Response:
    """Saves other hours for a date."""
    form = ExceptionForm(request.form)
    if not form.validate():
        return _page(_saved_week(), form, 422)
    day = form.day.value
    save_exception_hours(request_context().session, day, form.minutes)
    replan(f"Hours on {request_context().formats.day(day)} saved.")
    return see_other(url_for("office.hours"))


def remove_exception(day: str) -> Response:
    """Removes the other hours of a date."""
    delete_exception_hours(request_context().session, read_date(day) or date.min)
    replan("Exception removed.")
    return see_other(url_for("office.hours"))


def _saved_week() -> FormGroup:
    """Returns the forms of the saved week."""
    days = [OpeningForm(suffix=weekday) for weekday in range(7)]
    here = request_context()
    for weekday, day in enumerate(days):
        day.fill_in(here.shop.opening.week.get(weekday, ()), here.formats)
    return FormGroup(zip(WEEKDAYS, days, strict=True))


def _exception_words(day: date) -> str:
    """Returns the hours of a date in words; empty if the shop is closed."""
    opening, formats = request_context().shop.opening, request_context().formats
    hours = opening.hours(day)
    if hours is None:
        return ""
    minutes = minutes_from_to(*hours)
    change = clock_change_words(*minutes, length_of(day, minutes, opening.zone), formats)
    return f"{hours_words(*minutes, formats)}{f' ({change})' if change else ''}"


def _page(week: FormGroup, exception: ExceptionForm | None = None, status: int = 200) -> Response:
    """Returns the page of opening hours."""
    page = render_template(
        "office/hours.html",
        week=week,
        exception=exception or ExceptionForm(),
        exceptions=[(day, _exception_words(day)) for day in sorted(request_context().shop.opening.exceptions)],
    )
    return make_response(page, status)
