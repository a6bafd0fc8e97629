"""Office: opening hours by weekday, and other hours on single dates."""

from datetime import date

from flask import Blueprint, Response, make_response, render_template, request, url_for
from werkzeug.exceptions import BadRequest
from wtforms.validators import ValidationError

from app.actions.office import Hours, change_week, except_day, forget_exception
from app.places.office.replanned import replan
from app.web.days import read_date
from app.web.door import visit
from app.web.forms import read_hour
from app.web.htmx import see_other

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def add_to(office: Blueprint) -> None:
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
    change_week(visit().session, week)
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
    except_day(visit().session, day, span)
    replan(f"{visit().formats.day(day)} is kept.")
    return see_other(url_for("office.hours"))


def drop_exception(day: str) -> Response:
    forget_exception(visit().session, read_date(day) or date.min)
    replan("The exception is gone.")
    return see_other(url_for("office.hours"))


BACKWARDS = "It must close after it opens."


def read_span(opens: str, closes: str, backwards: str = BACKWARDS) -> Hours | None:
    """Minutes after midnight; None when both are empty: closed. backwards: what is said when the second hour is not
    after the first. Raises ValidationError with a sentence."""
    if not opens.strip() and not closes.strip():
        return None
    first, last = read_hour(opens), read_hour(closes)
    if first is None or last is None:
        raise ValidationError("Two hours, as in 08:00 and 18:00, or leave both empty when closed.")
    start, end = first[0] * 60 + first[1], min(last[0] * 60 + last[1], 24 * 60 - 1)
    if start >= end:
        raise ValidationError(backwards)
    return start, end


def _page(problems: dict[str, str] | None = None, status: int = 200) -> Response:
    opening = visit().shop.opening
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
