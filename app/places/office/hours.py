"""Office: opening hours by weekday, and other hours on single dates."""

from datetime import date

from flask import Blueprint, Response, make_response, render_template, request, url_for
from werkzeug.exceptions import BadRequest
from wtforms.validators import ValidationError

from app.actions.shop.office import Hours, change_week, except_day, forget_exception
from app.places.office.recalculated import replan
from app.web.days import read_date
from app.web.forms import read_span
from app.web.htmx import see_other
from app.web.requests import request_context

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def register(office: Blueprint) -> None:
    office.get("/hours")(hours)
    office.post("/hours")(save_hours)
    office.post("/hours/exceptions")(save_exception)
    office.post("/hours/exceptions/<day>/forget")(drop_exception)


def hours() -> Response:
    return _page()


def save_hours() -> Response:
    week: dict[int, Hours | None] = {}
    problems: dict[str, str] = {}
    for weekday in range(7):
        try:
            week[weekday] = read_span(
                request.form.get(f"opens-{weekday}", ""), request.form.get(f"closes-{weekday}", "")
            )
        except ValidationError as wrong:
            problems[str(weekday)] = str(wrong)
    if not problems and not any(week.values()):
        problems["0"] = "On one day at least the shop must be open."
    if problems:
        return _page(problems, status=422)
    change_week(request_context().session, week)
    replan("The hours are kept.")
    return see_other(url_for("office.hours"))


def save_exception() -> Response:
    sent = request.form
    try:
        day = read_date(sent.get("day"))
        if day is None:
            raise ValidationError("Which day? A date, please.")
        span = read_span(sent.get("opens", ""), sent.get("closes", ""))
    except (ValidationError, BadRequest) as wrong:
        return _page({"exception": getattr(wrong, "description", str(wrong))}, status=422)
    except_day(request_context().session, day, span)
    replan(f"{request_context().formats.day(day)} is kept.")
    return see_other(url_for("office.hours"))


def drop_exception(day: str) -> Response:
    forget_exception(request_context().session, read_date(day) or date.min)
    replan("The exception is gone.")
    return see_other(url_for("office.hours"))


def _page(problems: dict[str, str] | None = None, status: int = 200) -> Response:
    opening = request_context().shop.opening
    week = [
        (number, name, *(f"{at:%H:%M}" for at in opening.week.get(number, ())))
        for number, name in enumerate(WEEKDAYS)
    ]
    return make_response(
        render_template(
            "office/hours.html",
            week=[(*row, "", "")[:4] for row in week],
            exceptions=sorted(opening.exceptions.items()),
            problems=problems or {},
            sent=request.form,
        ),
        status,
    )
