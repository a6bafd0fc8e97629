"""Office: who is at the bench when, by weekday and on single dates."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for

from app.actions.bench.holding_area import load_holding_area
from app.actions.bench.plan import read_bench
from app.actions.records.history import touch_board
from app.actions.records.shop import load_roster
from app.actions.shop.office import ShiftMinutes, change_day_shifts, change_shifts
from app.planning.roster import ShiftHours
from app.quoting.settings.setting import WEEKDAYS
from app.web.days import read_date, read_shop_day
from app.web.drawings.load_chart import picture_of_day
from app.web.forms import DayField, FormGroup, ShopForm, TextField, TimeRangeForm, WholeField, add_sentence
from app.web.forms.drawn import DrawnField, drawn_fields
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm
from app.web.wording.forms import enter_both_times
from app.web.wording.plan import shift_words

ROWS = 3
MAX_STAFF = 50
NO_SHIFT = "Enter from, to and people; 0 people if nobody works."


class ShiftForm(TimeRangeForm):
    """The staff from one time to another. A blank row is no shift."""

    first = TextField("From", name="from")
    last = TextField("To", name="to")
    staff = WholeField("People", 0, MAX_STAFF)

    @property
    def missing(self) -> str:
        """The sentence where both times are left empty."""
        return enter_both_times(8, 12)

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        return not any((field.data or "").strip() for field in self)

    def validate(self, extra_validators: Any = None) -> bool:
        return self.is_blank or super().validate(extra_validators)


class DayForm(ShopForm):
    """Asks for a date on which the shifts differ from those of its weekday."""

    day = DayField("Date")


def register(office: Blueprint) -> None:
    """Registers the page of shifts."""
    office.get("/bench")(bench)
    office.post("/bench")(save_week)
    office.post("/bench/days")(save_day)
    office.post("/bench/days/<day>/remove")(remove_day)


def bench() -> Response:
    """Shows the shifts."""
    return _page(_saved_week())


def save_week() -> Response:
    """Saves the shifts of the week."""
    stored = _stored_week()
    week = [_shifts_of(weekday, request.form) for weekday in range(7)]
    forms = _combined_form(week)
    if not stored.accepts(forms):
        return _page(week, forms, status=forms.refused_status)
    change_shifts(request_context().session, {weekday: _typed(rows) for weekday, rows in enumerate(week)})
    return _saved("Shifts saved.", stored)


def save_day() -> Response:
    """Saves the shifts of one date."""
    day, rows = DayForm(request.form), _shifts_of("day", request.form)
    forms = _day_forms(day, rows)
    is_valid = forms.validate()
    if is_valid and not _typed(rows):
        add_sentence(rows[0].first, NO_SHIFT)
        is_valid = False
    stored = _stored_dates(day.day.value_or_none)
    if not stored.is_unchanged(forms) or not is_valid:
        return _page(_saved_week(), day_forms=forms, on_day=day, on_day_rows=rows, status=forms.refused_status)
    change_day_shifts(request_context().session, day.day.value, _typed(rows))
    return _saved(f"Shifts on {request_context().formats.day(day.day.value)} saved.", stored)


def remove_day(day: str) -> Response:
    """Removes the shifts of one date."""
    of_day, form = read_date(day) or date.min, ShopForm()
    stored = _stored_dates(of_day)
    if not stored.is_unchanged(form):
        return _page(_saved_week(), removing=(of_day, form), status=form.refused_status)
    change_day_shifts(request_context().session, of_day, [])
    return _saved("Exception removed.", stored)


def _saved(sentence: str, stored: StoredForm) -> Response:
    """Returns a redirect to the page, which then shows the sentence. stored: what was there before."""
    stored.write_history()
    touch_board(request_context().session)
    flash(sentence)
    return see_other(url_for("office.bench"))


def _shifts_of(of: str | int, sent: Any = None) -> list[ShiftForm]:
    """Returns the rows of a weekday, or of one date."""
    return [ShiftForm(sent, suffix=f"{of}-{row}") for row in range(ROWS)]


def _typed(rows: Sequence[ShiftForm]) -> list[ShiftMinutes]:
    """Returns the rows that were filled in. The forms must be valid."""
    return [
        ShiftMinutes(starts=row.minutes[0], ends=row.minutes[1], staff=row.staff.value)
        for row in rows
        if row.minutes
    ]


def _saved_week() -> list[list[ShiftForm]]:
    """Returns the rows of the saved week."""
    here = request_context()
    roster = load_roster(here.session, here.shop.opening)
    week = [_shifts_of(weekday) for weekday in range(7)]
    for weekday, rows in enumerate(week):
        for form, shift in zip(rows, roster.week.get(weekday, ()), strict=False):
            form.fill_in((shift.start, shift.end), here.formats)
            form.staff.data = str(shift.staff)
    return week


def _stored_week() -> StoredForm:
    """Returns what is stored of the week."""
    return StoredForm("shifts", lambda: drawn_fields(_combined_form(_saved_week())))


def _stored_dates(only: date | None = None) -> StoredForm:
    """Returns the stored shifts of single dates. only: the date to look at; all if it is None."""

    def read() -> dict[str, DrawnField]:
        formats = request_context().formats
        return {day.isoformat(): DrawnField(formats.day(day), said, said) for day, _, said in _dates()}

    return StoredForm("exception shifts", read, {only.isoformat()} if only else None)


def _day_forms(day: DayForm, rows: Sequence[ShiftForm]) -> FormGroup:
    """Returns the form of one date with its rows as one form."""
    return FormGroup([("", day), *(("", row) for row in rows)])


def _combined_form(week: Sequence[Sequence[ShiftForm]]) -> FormGroup:
    """Returns all rows of the week as one form."""
    return FormGroup((name, form) for name, rows in zip(WEEKDAYS, week, strict=True) for form in rows)


def _page(
    week: Sequence[Sequence[ShiftForm]],
    forms: FormGroup | None = None,
    *,
    day_forms: FormGroup | None = None,
    on_day: DayForm | None = None,
    on_day_rows: Sequence[ShiftForm] = (),
    removing: tuple[date, ShopForm] | None = None,
    status: int = 200,
) -> Response:
    """Returns the page. on_day, on_day_rows: what was typed for one date. removing: a date whose shifts were not
    removed, and why."""
    here = request_context()
    day = read_shop_day(request.args.get("day"), here)
    work = read_bench(here.context, until=[day.end]).work
    holding_area = load_holding_area(here.context, here.shop.stock_defaults.holding_area_room)
    on_day, on_day_rows = on_day or DayForm(), on_day_rows or _shifts_of("day")
    forms, dates = forms or _combined_form(week), _stored_dates()
    _stored_week().draw(forms)
    day_forms = day_forms or _day_forms(on_day, on_day_rows)
    dates.draw(day_forms)
    page = render_template(
        "office/bench.html",
        day=day,
        picture=picture_of_day(here.plan, work, holding_area, day, here.now, here.formats),
        week=[(name, rows, _usual(number)) for number, (name, rows) in enumerate(zip(WEEKDAYS, week, strict=True))],
        week_problems=forms,
        dates=_dates(),
        drawn_dates=dates.drawn,
        removing=removing,
        on_day=on_day,
        on_day_rows=on_day_rows,
        day_problems=day_forms,
        points=here.shop.points,
    )
    return make_response(page, status)


def _dates() -> list[tuple[date, Sequence[ShiftHours], str]]:
    """Returns the dates with shifts of their own: the date, its shifts, and these in words."""
    here = request_context()
    roster = load_roster(here.session, here.shop.opening)
    return [
        (on, shifts, ", ".join(shift_words(one, here.formats, roster.length(on, one)) for one in shifts))
        for on, shifts in sorted(roster.days.items())
    ]


def _usual(weekday: int) -> tuple[str, ...]:
    """Returns in words what an empty weekday means: one person while the shop is open."""
    here = request_context()
    hours = here.shop.opening.week.get(weekday)
    return (*map(here.formats.time_of_day, hours), "1") if hours else ()
