"""Bench: who is there on a day, the load against it, and what a hand more or fewer would do."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

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
from app.web.forms import read_span, read_whole
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.wording.orders import change_words, shift_words

MOST_HANDS = 9
STEP_MINUTES = 5
PASSED = "That day has passed."


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What a change of hands would do: the plan with it, the orders that it breaks, and those that it saves."""

    words: str
    plan: SavedPlan
    breaks: list[Risk]
    saves: list[Risk]


def register(bench: Blueprint) -> None:
    bench.get("/bench/staff")(staff)
    bench.post("/bench/staff")(save_staff)


def staff() -> Response:
    """With `by` in the address, also what such a change would do; nothing is kept."""
    if "by" not in request.args or _is_past(_day()):
        return _page()
    try:
        return _page(_read_change(request.args))
    except ValidationError as wrong:
        return _page(problem=str(wrong), status=422)


def save_staff() -> Response:
    """One at a time: the second waits, and then sees what the first one kept."""
    lock_board(request_context().session)
    try:
        if _is_past(_day()):
            raise ValidationError(PASSED)
        change = _read_change(request.form)
        if request.form.get("were") != _described(_turns(change.day)):
            raise ValidationError("Somebody changed that day meanwhile: look again.")
    except ValidationError as wrong:
        return _page(problem=str(wrong), status=422)
    change_staff(request_context().session, change)
    flash(f"{request_context().formats.day(change.day)} is kept: the hours are being worked out anew.")
    return see_other(url_for("bench.staff", day=change.day))


def _day() -> ShopDay:
    return read_day(request.values.get("day"), request_context().formats, request_context().now)


def _is_past(day: ShopDay) -> bool:
    return day.end <= request_context().now


def _turns(day: date) -> Sequence[ShiftHours]:
    return load_roster(request_context().session, request_context().shop.opening).shift_hours_on(day)


def _described(turns: Sequence[ShiftHours]) -> str:
    """A day's turns as a form carries them, to know them again."""
    return "; ".join(map(shift_words, turns))


def _read_change(sent: Mapping[str, str]) -> StaffChange:
    """Raises ValidationError with a sentence."""
    span = read_span(sent.get("from", ""), sent.get("to", ""), "The second hour must be after the first.")
    if span is None:
        raise ValidationError("From when to when? Two hours, as in 13:00 and 18:00.")
    by = read_whole(sent.get("by", ""), -MOST_HANDS, MOST_HANDS, "Hands")
    if not by:
        raise ValidationError("How many more, or fewer? One at least.")
    return StaffChange(day=_day().on, starts=span[0], ends=span[1], by=by)


def _page(change: StaffChange | None = None, problem: str = "", status: int = 200) -> Response:
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
        problem=problem,
        typed=_typed(change, day, turns),
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


def _typed(change: StaffChange | None, day: ShopDay, turns: Sequence[ShiftHours]) -> Mapping[str, str]:
    """The hours as they would be kept, else what was typed, else a proposal."""
    if change:
        start, end = (f"{minutes // 60:02}:{minutes % 60:02}" for minutes in (change.starts, change.ends))
        return {"from": start, "to": end, "by": str(change.by)}
    return request.values if "by" in request.values else _proposed(day, turns)


def _proposed(day: ShopDay, turns: Sequence[ShiftHours]) -> dict[str, str]:
    """One hand fewer for the rest of the day; no hours where nobody is there any more."""
    here = request_context()
    now = here.formats.local(step_up(here.now, STEP_MINUTES, here.formats.zone)).replace(tzinfo=None)
    first, last = (datetime.combine(day.on, at) for at in _ends(turns)) if turns else (now, now)
    if now >= last:
        return {"by": "-1"}
    return {"from": f"{max(first, now):%H:%M}", "to": f"{last:%H:%M}", "by": "-1"}


def _ends(turns: Sequence[ShiftHours]) -> tuple[time, time]:
    return min(turn.start for turn in turns), max(turn.end for turn in turns)
