"""Bench: who is there on a day, the load against it, and what a hand more or fewer would do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for
from wtforms.validators import ValidationError

from app.actions.bench.holding_area import load_holding_area
from app.actions.bench.plan import read_bench, work_out
from app.actions.records.history import lock_board
from app.actions.records.shop import load_roster
from app.actions.shop.staff import change_staff
from app.places.bench.risks import Risk, risks_of
from app.planning.roster import ShiftHours, StaffChange
from app.planning.shoptime import step_up
from app.store.queries.plan import SavedDelay, SavedPlan
from app.web.days import ShopDay, read_day
from app.web.drawings.load_chart import picture_of_day
from app.web.forms import SpanForm, TextField, WholeField, choices_of
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.wording.orders import change_words, shift_words

MOST_HANDS = 9
STEP_MINUTES = 5
PASSED = "That day has passed."
OFFERED = {"-2": "2 fewer", "-1": "1 fewer", "1": "1 more", "2": "2 more"}
"""Changes of hands."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What a change of hands would do: the plan with it, the orders that it breaks, and those that it saves."""

    words: str
    plan: SavedPlan
    breaks: list[Risk]
    saves: list[Risk]


class StaffForm(SpanForm):
    """So many more or fewer from one hour to another, on the page's day."""

    backwards = "The second hour must be after the first."
    missing = "From when to when? Two hours, as in 13:00 and 18:00."

    first = TextField("From", name="from", id="staff-from")
    last = TextField("to", name="to", id="staff-to")
    by = WholeField("Hands", -MOST_HANDS, MOST_HANDS, id="staff-by")

    def validate_by(self, field: Any) -> None:
        if not field.value:
            raise ValidationError("How many more, or fewer? One at least.")

    @property
    def change(self) -> StaffChange:
        """Of a form that was found right, whose hours are then written as they would be kept."""
        starts, ends = self.minutes or (0, 0)
        self.fill_in((time(*divmod(starts, 60)), time(*divmod(ends, 60))))
        return StaffChange(day=_day().on, starts=starts, ends=ends, by=self.by.value)

    def offering(self) -> "StaffForm":
        """With the usual changes to choose from, and what was typed where that is another."""
        others = {} if self.by.data in OFFERED else {self.by.data or "": self.by.data or ""}
        self.by.choices = choices_of(OFFERED | others)
        return self


def register(bench: Blueprint) -> None:
    bench.get("/bench/staff")(staff)
    bench.post("/bench/staff")(save_staff)


def staff() -> Response:
    """With `by` in the address, also what such a change would do; nothing is kept."""
    if "by" not in request.args or _is_past(_day()):
        return _page(_proposed())
    form = StaffForm(request.args)
    return _page(form, form.change) if form.validate() else _page(form, status=422)


def save_staff() -> Response:
    """One at a time: the second waits, and then sees what the first one kept."""
    lock_board(request_context().session)
    form = StaffForm(request.form)
    if _is_past(_day()):
        form.form_errors.append(PASSED)
    elif form.validate():
        change = form.change
        if request.form.get("were") == _described(_turns(change.day)):
            change_staff(request_context().session, change)
            flash(f"{request_context().formats.day(change.day)} is kept: the hours are being worked out anew.")
            return see_other(url_for("bench.staff", day=change.day))
        form.form_errors.append("Somebody changed that day meanwhile: look again.")
    return _page(form, status=422)


def _day() -> ShopDay:
    return read_day(request.values.get("day"), request_context().formats, request_context().now)


def _is_past(day: ShopDay) -> bool:
    return day.end <= request_context().now


def _turns(day: date) -> Sequence[ShiftHours]:
    return load_roster(request_context().session, request_context().shop.opening).shift_hours_on(day)


def _described(turns: Sequence[ShiftHours]) -> str:
    """A day's turns as a form carries them, to know them again."""
    return "; ".join(map(shift_words, turns))


def _page(form: StaffForm, change: StaffChange | None = None, status: int = 200) -> Response:
    here, day = request_context(), _day()
    turns = _turns(day.on)
    what_if = _try(change) if change else None
    plan = what_if.plan if what_if else here.plan
    work = read_bench(here.context, change, [day.end]).work
    holding_area = None if what_if else load_holding_area(here.context, here.shop.on_hand.holding_area_room)
    page = render_template(
        "bench/staff.html",
        day=day,
        passed=PASSED if _is_past(day) else "",
        turns=[shift_words(turn) for turn in turns],
        were=_described(turns),
        picture=picture_of_day(plan, work, holding_area, day, here.now, here.formats),
        again=_taken_up_again(plan, day),
        risks=risks_of(plan.delays, day.on),
        what_if=what_if,
        form=form.offering(),
    )
    return make_response(page, status)


def _try(change: StaffChange) -> WhatIf:
    """Reckoned as far as the orders go, however far ahead the day is."""
    here = request_context()
    benches = (read_bench(here.context, tried) for tried in (None, change))
    now, then = (work_out(bench, here.now).plan for bench in benches)
    return WhatIf(change_words(change), then, _worse(now.delays, then.delays), _worse(then.delays, now.delays))


def _taken_up_again(plan: SavedPlan, day: ShopDay) -> int:
    """How often that day somebody turns back to a batch, or to an order's finish work, that was left meanwhile; not
    where it only goes on with other hands."""
    start = max(day.start, request_context().now)
    blocks = [block for block in plan.blocks if block.start < day.end and start < block.end]
    started = {(block.key, block.start) for block in blocks} - {(block.key, block.end) for block in blocks}
    return len(started) - len({block.key for block in blocks})


def _worse(before: Sequence[SavedDelay], after: Sequence[SavedDelay]) -> list[Risk]:
    """Orders that are late after, and were in time or less late before."""
    ready = {delay.order: delay.ready_at for delay in before}

    def is_worse(delay: SavedDelay) -> bool:
        was = ready.get(delay.order, delay.ready_by)
        return was is not None and (delay.ready_at is None or delay.ready_at > was)

    return risks_of([delay for delay in after if is_worse(delay)], _day().on)


def _proposed() -> StaffForm:
    """One hand fewer for the rest of the day; no hours where nobody is there any more."""
    here, day, form = request_context(), _day(), StaffForm(data={"by": "-1"})
    turns = _turns(day.on)
    now = here.formats.local(step_up(here.now, STEP_MINUTES, here.formats.zone)).replace(tzinfo=None)
    first, last = (datetime.combine(day.on, at) for at in _ends(turns)) if turns else (now, now)
    if now < last:
        form.fill_in((max(first, now).time(), last.time()))
    return form


def _ends(turns: Sequence[ShiftHours]) -> tuple[time, time]:
    return min(turn.start for turn in turns), max(turn.end for turn in turns)
