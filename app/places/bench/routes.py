"""Bench: what to fill next, and the taps while it is filled."""

from datetime import UTC, datetime
from functools import cache
from typing import Any

from flask import Blueprint, Response, jsonify, request, url_for

from app.actions.bench import leftovers
from app.actions.bench.taps import WARNED_IF_EARLY, Press, question_about, tap_batch, undo_tap
from app.actions.errors import TooEarly
from app.actions.records.open_work import order_number_of, work_key
from app.places.bench import calculator, fetch_list, gas, more, staff
from app.places.bench.board import change_times, draw_board, kept_board, rows_of
from app.places.bench.drawn_board import DrawnBoard, find_shown, keep_shown
from app.places.bench.missing import missing_of
from app.places.bench.more import load_row
from app.places.bench.risks import due_on
from app.places.bench.sizer import find_same_setting, show_fill
from app.places.bench.ticket_head import fill_time_of, last_tap, next_job_after
from app.places.bench.ticket_steps import show_ticket_steps
from app.planning.shoptime import local_day
from app.quoting.errors import Problem, Refused
from app.quoting.states import TapAction
from app.store.queries.bench import BoardRow
from app.store.queries.plan import SavedDelay
from app.store.queries.taps import taps_of_batch
from app.web.batch_state import state_of, window_of
from app.web.batch_view import outcome_of, show_batch
from app.web.days import ShopDay, read_shop_day
from app.web.forms import ShopForm, TextField, read_id, sent_client_key
from app.web.htmx import (
    data_version,
    new_key,
    no_change_response,
    page_or_part,
    page_version,
    page_with_part,
    see_other,
    wants_part,
)
from app.web.late_reason import press_late_reason
from app.web.requests import polled, request_context
from app.web.wording.allergy import warn_of_batch
from app.web.wording.batches import early_question
from app.web.wording.plan import PlanWords

bench = Blueprint("bench", __name__)
for page_module in (calculator, gas, staff, fetch_list, more):
    page_module.register(bench)


class TapForm(ShopForm):
    """The number of balloons filled, if it is typed."""

    count = TextField("Filled")


@bench.get("/bench")
@polled
def board() -> Response:
    """Shows the batches of the day."""
    day = _day()
    drawn = kept_board(day, request.args.get("ask", ""))
    if request.args.get("v", "").rpartition(".")[2] == drawn.digest:
        return no_change_response()
    return _board_answer(day, drawn)


def _board(day: ShopDay, ask: str = "", problem: str = "", status: int = 200) -> Response:
    """Returns the board of the day after a tap. ask: the batch about which it asks whether it is to be started too
    early. problem: why a tap was not saved."""
    return _board_answer(day, draw_board(day, ask, problem), status)


def _board_answer(day: ShopDay, drawn: DrawnBoard, status: int = 200) -> Response:
    """Returns the page with this board, or the board alone. To a page that says which board it shows, only rows are
    sent that differ from that one's."""
    version = f"{drawn.made_from[0]}.{int(drawn.until.timestamp())}.{drawn.digest}"
    since = request.headers.get("X-Board-Shown", "") if wants_part() else ""
    shown = find_shown(since.rpartition(".")[2])
    keep_shown(drawn)
    response = page_with_part("bench/board.html", drawn.answer(version, shown), status, day=day)
    if shown:
        response.headers["X-Board-Since"] = since
    return response


@bench.get("/bench.json")
def board_json() -> Response:
    """Returns the batches of the day as JSON."""
    day = _day()
    rows = rows_of(day)
    return jsonify(
        day=day.local_date.isoformat(),
        version=data_version(request_context().session, change_times(rows), request_context().now),
        batches=[_as_json(row) for row in rows],
        late=[_late_as_json(delay) for delay in due_on(day, request_context().plan.delays)],
    )


@bench.get("/bench/batches/<key>")
@polled
def ticket(key: str) -> Response:
    """Shows the ticket of a batch."""
    return _ticket(key, _still_asked(key))


def _still_asked(key: str) -> TooEarly | None:
    """Returns the question that stands on the page which renews itself, if it is still to be asked."""
    asked = request.args.get("act", "")
    if asked not in WARNED_IF_EARLY:
        return None
    return question_about(request_context().context, key, TapAction(asked))


@bench.post("/bench/batches/<key>/taps")
def tap(key: str) -> Response:
    """Saves a tap on a batch."""
    here, sent, form = request_context(), request.form, TapForm(request.form)
    try:
        act = TapAction(sent.get("act", ""))
    except ValueError:
        raise Refused(Problem("act", "This tap is unknown. Load the page again.")) from None
    try:
        press = Press(
            act,
            sent_client_key(),
            count=read_id(form.count.text),
            colour=sent.get("colour", ""),
            sure=sent.get("sure") == "yes",
        )
        tap_batch(here.context, key, press)
    except Refused as refused:
        return _refused(key, refused)
    return _after_tap(key)


@bench.post("/bench/batches/<key>/undo")
def undo(key: str) -> Response:
    """Undoes a tap on a batch."""
    here = request_context()
    try:
        undo_tap(here.context, key, read_id(request.form.get("tap")))
    except Refused as refused:
        return _refused(key, refused)
    return _after_tap(key)


@bench.post("/bench/orders/<int:number>/leftover")
def settle_leftover(number: int) -> Response:
    """Saves what became of an order of an earlier day."""
    here, outcome = request_context(), request.form.get("outcome")
    if outcome == "made":
        leftovers.mark_as_made(here.context, number, sent_client_key())
    elif outcome == "not-made":
        leftovers.mark_as_not_made(here.context, number)
    else:
        raise Refused(Problem("outcome", "This press is unknown. Load the page again."))
    return _after_leftover()


@bench.post("/bench/orders/<int:number>/leftover/undo")
def undo_leftover(number: int) -> Response:
    """Takes back what was said about an order of an earlier day."""
    leftovers.undo_leftover(request_context().context, number)
    return _after_leftover()


@bench.post("/bench/orders/<int:number>/late-reason")
def say_why_not_made(number: int) -> Response:
    """Saves why an order of an earlier day was not made, or takes it back."""
    press_late_reason(number)
    return _after_leftover()


def _after_leftover() -> Response:
    """Returns the board after a press at an order of an earlier day."""
    request_context().session.flush()  # the query of the board must see the press
    return _board(_day()) if wants_part() else see_other(url_for("bench.board", _anchor="leftovers"))


def _after_tap(key: str) -> Response:
    """Returns the ticket after a tap, or the board if it was tapped there."""
    here = request_context()
    here.session.flush()  # the query of the page must see the tap
    if request.args.get("back") == "board":
        return _board(_day()) if wants_part() else see_other(url_for("bench.board", day=request.args.get("day")))
    return _ticket(key) if wants_part() else see_other(url_for("bench.ticket", key=key))


def _refused(key: str, refused: Refused) -> Response:
    """Returns the page on which a tap was not saved, and why."""
    if request.args.get("back") != "board":
        return _ticket(key, refused, status=422)
    if isinstance(refused, TooEarly):
        return _board(_day(), ask=key, status=422)
    return _board(_day(), problem=" ".join(one.sentence for one in refused.problems), status=422)


def _ticket(key: str, refused: Refused | None = None, status: int = 200) -> Response:
    """Returns the ticket. refused: why the tap was not saved."""
    here = request_context()
    row = load_row(key)
    read_rows = cache(rows_of)
    same_setting, others = find_same_setting(row, read_rows)
    form = TapForm(request.form if refused else None)
    early = refused if isinstance(refused, TooEarly) else None
    if refused and not early:
        form.add_problems(refused.problems)
        if not (row.order_state == "open" and row.started_at and row.left):
            form.move_errors_to_form()
    plan = PlanWords.of(here.plan, here.formats, local_day(here.now, here.formats.zone))
    batch, taps = show_batch(row, here.shop, here.formats, here.now, plan), taps_of_batch(here.session, row.id)
    fill_time = fill_time_of(row, batch.state)
    return page_or_part(
        "bench/ticket.html",
        "bench/_ticket.html",
        status,
        batch=batch,
        fill_time=fill_time,
        missing=missing_of(row, here),
        undoable=last_tap(taps),
        next_job=next_job_after(row, read_rows) if row.started_at else None,
        fill=show_fill(row),
        allergy=warn_of_batch(row.material) if row.latex_allergy else None,
        same_setting=same_setting,
        made=show_ticket_steps(row),
        taps=taps,
        form=form,
        early=early.early if early else None,
        early_words=early_question(early, here.formats, plan.day) if early else "",
        asked=request.form if request.form else request.args,
        version=_version([row, *others], *([fill_time.due] if fill_time else [])),
        new_key=new_key,
        today=plan.day,
    )


def _day() -> ShopDay:
    """Returns the day in the address; today if there is none."""
    here = request_context()
    return read_shop_day(request.args.get("day"), here)


def _version(rows: list[BoardRow], *more: datetime) -> str:
    """Returns a version of the ticket; it changes when the ticket has something new to show. more: moments at which
    it has besides."""
    here = request_context()
    return page_version(here.session, [*change_times(rows), *more], here.now)


def _as_json(row: BoardRow) -> dict[str, Any]:
    """Returns a batch for the JSON."""
    here = request_context()
    window, order = window_of(row, here.shop), work_key(row.order_number, row.part)
    late = {delay.order for delay in here.plan.delays}
    return {
        "key": row.key,
        "order": row.order_number,
        "customer": row.customer,
        "quantity": row.quantity,
        "kind": row.balloon_type_name,
        "fill_size_in": row.fill_size_in,
        "gas": row.gas,
        "treated": row.treated,
        "not_before": _iso(row.not_before),
        "inflate_by": _iso(row.inflate_by),
        "own_inflate_by": _iso(row.own_inflate_by),
        "blocks": [[_iso(block.start), _iso(block.end), block.staff] for block in here.plan.blocks_of(row.key)],
        "ready_by": _iso(row.ready_by),
        "chance": outcome_of(row, here.shop).chance,
        "state": state_of(row, window, here.now, here.shop, delayed=order in late),
    }


def _late_as_json(delay: SavedDelay) -> dict[str, Any]:
    """Returns a late order for the JSON."""
    number = order_number_of(delay.order)
    return {
        "order": int(number),
        "later_part": delay.order != number,
        "ready_by": _iso(delay.ready_by),
        "ready_at": _iso(delay.ready_at),
    }


def _iso(moment: datetime | None) -> str | None:
    """Returns the moment in UTC as ISO 8601."""
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}" if moment else None
