"""Bench: the staff of a day, the workload against it, and what one person more or fewer would change."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for
from wtforms.validators import ValidationError

from app.actions.bench.holding_area import load_holding_area
from app.actions.bench.plan import calculate_plan, read_bench
from app.actions.records.history import lock_board
from app.actions.records.shop import load_roster
from app.actions.shop.staff import change_staff
from app.places.bench.risks import Risks, risks_of
from app.planning.roster import Roster, StaffChange, minutes_in_day
from app.planning.shoptime import minute_to_utc, step_up, time_of_minute
from app.store.queries.plan import SavedDelay, SavedPlan
from app.web.days import ShopDay, read_shop_day
from app.web.drawings.load_chart import picture_of_day
from app.web.forms import TextField, TimeRangeForm, WholeField, choices_of
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.wording.forms import enter_both_times
from app.web.wording.plan import change_words, shift_words

MAX_STAFF = 9
STEP_MINUTES = 5
PASSED = "This day has passed. Choose today or a later day."
CHOOSE_STAFF = "Choose at least 1 person more or fewer."
CHANGED_MEANWHILE = "Somebody else changed the staff of this day. Check the change again."
OFFERED = {
    "-2": "2 people fewer",
    "-1": "1 person fewer",
    "1": "1 person more",
    "2": "2 people more",
}
"""The changes of staff that the form offers."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What a change of staff would do: the plan with it, the orders that become late, and those that are in time
    again."""

    words: str
    plan: SavedPlan
    newly_late: Risks
    in_time_again: Risks


class StaffForm(TimeRangeForm):
    """How many people more or fewer, from one time to another, on the page's day."""

    first = TextField("From", name="from", id="staff-from")
    last = TextField("To", name="to", id="staff-to")
    by = WholeField("Staff", -MAX_STAFF, MAX_STAFF, id="staff-by")

    @property
    def missing(self) -> str:
        """The sentence where both times are left empty."""
        return enter_both_times(13, 18)

    def validate_by(self, field: Any) -> None:
        if not field.value:
            raise ValidationError(CHOOSE_STAFF)

    @property
    def change(self) -> StaffChange:
        """The change that was typed. The form must be valid; its times are then written as they would be saved."""
        day = _day().local_date
        starts, ends = minutes_in_day(*(self.minutes or (0, 0)), _roster().shift_hours_on(day))
        self.fill_in((time_of_minute(starts), time_of_minute(ends)), request_context().formats)
        return StaffChange(day=day, starts=starts, ends=ends, by=self.by.value)

    def offering(self) -> "StaffForm":
        """Returns the form with the usual changes to choose from, and what was typed if that is another."""
        others = {} if self.by.data in OFFERED else {self.by.data or "": self.by.data or ""}
        self.by.choices = choices_of(OFFERED | others)
        return self


def register(bench: Blueprint) -> None:
    """Registers the page of the staff."""
    bench.get("/bench/staff")(staff)
    bench.post("/bench/staff")(save_staff)


def staff() -> Response:
    """Shows the staff of the day. With `by` in the address it also shows what such a change would do; nothing is
    saved."""
    if "by" not in request.args or _is_past(_day()):
        return _page(_proposed())
    form = StaffForm(request.args)
    return _page(form, form.change) if form.validate() else _page(form, status=422)


def save_staff() -> Response:
    """Saves a change of staff. One at a time: the second request waits, and then sees what the first one saved."""
    lock_board(request_context().session)
    form = StaffForm(request.form)
    if _is_past(_day()):
        form.form_errors.append(PASSED)
    elif form.validate():
        change = form.change
        if request.form.get("shown_shifts") == "; ".join(_shifts_in_words(change.day)):
            change_staff(request_context().session, change)
            flash(f"Staff for {request_context().formats.day(change.day)} saved.")
            return see_other(url_for("bench.staff", day=change.day))
        form.form_errors.append(CHANGED_MEANWHILE)
    return _page(form, status=422)


def _day() -> ShopDay:
    """Returns the day in the request; today if there is none."""
    return read_shop_day(request.values.get("day"), request_context())


def _is_past(day: ShopDay) -> bool:
    """Returns whether the day is over."""
    return day.end <= request_context().now


def _roster() -> Roster:
    """Returns the roster as it is saved."""
    return load_roster(request_context().session, request_context().shop.opening)


def _shifts_in_words(day: date) -> list[str]:
    """Returns each shift of a day in words."""
    roster, formats = _roster(), request_context().formats
    return [shift_words(shift, formats, roster.length(day, shift)) for shift in roster.shift_hours_on(day)]


def _page(form: StaffForm, change: StaffChange | None = None, status: int = 200) -> Response:
    """Returns the page; with a change, as the day would be with it."""
    here, day = request_context(), _day()
    shifts = _shifts_in_words(day.local_date)
    what_if = _what_if(change) if change else None
    plan = what_if.plan if what_if else here.plan
    work = read_bench(here.context, change, [day.end]).work
    holding_area = None if what_if else load_holding_area(here.context, here.shop.stock_defaults.holding_area_room)
    page = render_template(
        "bench/staff.html",
        day=day,
        passed=PASSED if _is_past(day) else "",
        shifts=shifts,
        shown_shifts="; ".join(shifts),
        picture=picture_of_day(plan, work, holding_area, day, here.now, here.formats),
        resumptions=_resumptions(plan, day),
        risks=risks_of(plan.delays, day.clock_date),
        what_if=what_if,
        form=form.offering(),
    )
    return make_response(page, status)


def _what_if(change: StaffChange) -> WhatIf:
    """Returns what the change would do. Both plans are calculated up to the last order, however far ahead the day
    is."""
    here = request_context()
    benches = (read_bench(here.context, tried) for tried in (None, change))
    now, then = (calculate_plan(bench, here.now).plan for bench in benches)
    return WhatIf(
        change_words(change, here.formats),
        then,
        _later_orders(now.delays, then.delays),
        _later_orders(then.delays, now.delays),
    )


def _resumptions(plan: SavedPlan, day: ShopDay) -> int:
    """Returns how often on that day somebody returns to a batch, or to an order's finishing, that was interrupted.

    Work that only goes on with other staff is not counted.
    """
    start = max(day.start, request_context().now)
    blocks = [block for block in plan.blocks if block.start < day.end and start < block.end]
    started = {(block.key, block.start) for block in blocks} - {(block.key, block.end) for block in blocks}
    return len(started) - len({block.key for block in blocks})


def _later_orders(before: Sequence[SavedDelay], after: Sequence[SavedDelay]) -> Risks:
    """Returns the orders that are late after the change, and were in time or less late before."""
    ready = {delay.order: delay.ready_at for delay in before}

    def is_worse(delay: SavedDelay) -> bool:
        was = ready.get(delay.order, delay.ready_by)
        return was is not None and (delay.ready_at is None or delay.ready_at > was)

    return risks_of([delay for delay in after if is_worse(delay)], _day().clock_date)


def _proposed() -> StaffForm:
    """Returns a form with one person fewer for the rest of the day; without times if nobody is on shift any
    more."""
    here, day, form = request_context(), _day(), StaffForm(data={"by": "-1"})
    shifts, zone = _roster().shift_hours_on(day.local_date), here.formats.zone
    now = step_up(here.now, STEP_MINUTES, zone)
    ends = [minute_to_utc(day.local_date, minute, zone) for shift in shifts for minute in shift.minutes]
    if ends and now < max(ends):
        first, last = (here.formats.local(at).time() for at in (max(min(ends), now), max(ends)))
        form.fill_in((first, last), here.formats)
    return form
