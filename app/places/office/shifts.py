"""Office: who is at the bench when, by weekday and on single dates."""

from collections.abc import Sequence
from datetime import date

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for
from werkzeug.exceptions import BadRequest
from wtforms.validators import ValidationError

from app.actions.bench.holding_area import load_holding_area
from app.actions.bench.plan import read_bench
from app.actions.records.history import touch_board
from app.actions.records.shop import load_roster
from app.actions.shop.office import ShiftMinutes, change_day_shifts, change_shifts
from app.places.office.hours import WEEKDAYS
from app.planning.roster import ShiftHours
from app.web.days import read_date, read_day
from app.web.drawings.load_chart import picture_of_day
from app.web.forms import read_span, read_whole
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.wording.orders import shift_words

ROWS = 3
MOST_HANDS = 50


def register(office: Blueprint) -> None:
    office.get("/bench")(bench)
    office.post("/bench")(save_week)
    office.post("/bench/days")(save_day)
    office.post("/bench/days/<day>/forget")(forget_day)


def bench() -> Response:
    return _page()


def save_week() -> Response:
    week, problems = {}, {}
    for weekday in range(7):
        try:
            week[weekday] = _read_shifts(str(weekday))
        except ValidationError as wrong:
            problems[str(weekday)] = str(wrong)
    if problems:
        return _page(problems, status=422)
    change_shifts(request_context().session, week)
    return _saved("The shifts are kept.")


def save_day() -> Response:
    try:
        day = read_date(request.form.get("day"))
        if day is None:
            raise ValidationError("Which day? A date, please.")
        shifts = _read_shifts("day")
        if not shifts:
            raise ValidationError("Who is there then? From, to and hands; 0 hands when nobody is.")
    except (ValidationError, BadRequest) as wrong:
        return _page({"day": getattr(wrong, "description", str(wrong))}, status=422)
    change_day_shifts(request_context().session, day, shifts)
    return _saved(f"{request_context().formats.day(day)} is kept.")


def forget_day(day: str) -> Response:
    change_day_shifts(request_context().session, read_date(day) or date.min, [])
    return _saved("That day is as its weekday again.")


def _saved(sentence: str) -> Response:
    touch_board(request_context().session)
    flash(sentence)
    return see_other(url_for("office.bench"))


def _read_shifts(of: str) -> list[ShiftMinutes]:
    """The rows that were filled in. Raises ValidationError with a sentence."""
    shifts = []
    for row in range(ROWS):
        sent = [request.form.get(f"{name}-{of}-{row}", "") for name in ("from", "to", "staff")]
        if not any(text.strip() for text in sent):
            continue
        span = read_span(sent[0], sent[1], "A shift must end after it begins.")
        if span is None:
            raise ValidationError("From when to when? Two hours, as in 08:00 and 12:00.")
        staff = read_whole(sent[2], 0, MOST_HANDS, "Hands")
        shifts.append(ShiftMinutes(starts=span[0], ends=span[1], staff=staff))
    return shifts


def _page(problems: dict[str, str] | None = None, status: int = 200) -> Response:
    here = request_context()
    roster = load_roster(here.session, here.shop.opening)
    week = [
        (str(number), name, _rows(roster.week.get(number, ())), _usual(number))
        for number, name in enumerate(WEEKDAYS)
    ]
    dates = [(on, ", ".join(shift_words(turn) for turn in turns)) for on, turns in sorted(roster.days.items())]
    day = read_day(request.args.get("day"), here.formats, here.now)
    work = read_bench(here.context, until=[day.end]).work
    holding_area = load_holding_area(here.context, here.shop.on_hand.holding_area_room)
    page = render_template(
        "office/bench.html",
        day=day,
        picture=picture_of_day(here.plan, work, holding_area, day, here.now, here.formats),
        week=week,
        dates=dates,
        no_rows=_rows(()),
        points=here.shop.points,
        problems=problems or {},
        sent=request.form,
    )
    return make_response(page, status)


def _rows(turns: Sequence[ShiftHours]) -> list[tuple[str, str, str]]:
    """From, to and hands as they are typed, and empty rows for more."""
    typed = [(f"{turn.start:%H:%M}", f"{turn.end:%H:%M}", str(turn.staff)) for turn in turns[:ROWS]]
    return typed + [("", "", "")] * (ROWS - len(typed))


def _usual(weekday: int) -> tuple[str, ...]:
    """What an empty weekday means: one hand while the shop is open."""
    hours = request_context().shop.opening.week.get(weekday)
    return (*(f"{at:%H:%M}" for at in hours), "1") if hours else ()
