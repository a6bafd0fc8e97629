"""Pick-ups: the day's hand-overs by the hour at which they leave, each with its check list."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

from flask import Blueprint, Response, render_template, request, url_for

from app.actions.orders.concerns import StepAsked
from app.actions.orders.hand_over import take_step, undo_step
from app.actions.records.open_work import work_key
from app.places.pickups import rentals, tag
from app.places.pickups.asking import ShownQuestion, pay_at_door, sent_sureness, show_question
from app.places.pickups.holding_place import PlaceForm, place_forms, save_place
from app.places.pickups.kept_page import KeptPage, keep_page, kept_page
from app.places.pickups.later import read_asked_later
from app.places.pickups.links import PickupLinks
from app.places.pickups.rentals import ShownRentals, overdue_times, rentals_shown, tap_rentals
from app.places.pickups.shown import ShownPickup, show_pickup
from app.places.pickups.waiting import is_waiting, next_quarter
from app.quoting.errors import Problem, Refused
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart
from app.store.queries.bench import BoardRow
from app.store.queries.order_batches import batches_of_orders
from app.store.queries.pickup_rows import PickupRow
from app.store.queries.pickups import pickups_of_day
from app.web.batch_state import display_changes
from app.web.cylinder_actions import cylinder_action_forms, load_venue_helium
from app.web.days import ShopDay, read_shop_day
from app.web.drawings.day_line import MIDDLE, NARROW, WIDE, DayLine, LineEntry, layout_day_line
from app.web.forms import ShopForm, read_id, sent_client_key
from app.web.htmx import (
    page_version,
    page_with_part,
    see_other,
    wants_part,
)
from app.web.late_reason import press_late_reason
from app.web.marks import MarkedKeys
from app.web.requests import polled, request_context
from app.web.wording.forms import PAGE_OUT_OF_DATE
from app.web.wording.pickups import day_summary, state_counts
from app.web.wording.plan import PlanWords

pickups = Blueprint("pickups", __name__, url_prefix="/pickups")
rentals.register(pickups)
tag.register(pickups)


@pickups.get("/")
@polled
def board() -> Response:
    """Shows the hand-overs of the day."""
    day = read_shop_day(request.args.get("day"), request_context())
    if "later" in request.args:
        return _answer(day, _draw(day))
    return _answer(day, kept_page(day.local_date, lambda board: _draw(day, board=board)))


@pickups.post("/orders/<int:number>/steps")
def step(number: int) -> Response:
    """Saves a step."""
    here = request_context()
    try:
        chosen, part = (
            HandOverStep(request.form.get("step", "")),
            OrderPart(request.form.get("part", OrderPart.MAIN)),
        )
    except ValueError:
        raise Refused(Problem("step", PAGE_OUT_OF_DATE)) from None
    try:
        take_step(here.context, number, chosen, sent_client_key(), part=part, sure=sent_sureness())
    except StepAsked as asked:
        return _board(question=show_question(asked, number, part), status=422)
    except Refused as refused:
        return _board(refused, status=422)
    return _after_tap()


@pickups.post("/orders/<int:number>/payments")
def pay(number: int) -> Response:
    """Saves that all that is due was paid."""
    try:
        pay_at_door(number)
    except Refused as refused:
        return _board(refused, status=422)
    return _after_tap()


@pickups.post("/orders/<int:number>/place")
def place(number: int) -> Response:
    """Saves where in the holding area the order stands."""
    form = save_place(number)
    return _board(placing=form, status=422) if form.problems else _after_tap()


@pickups.post("/orders/<int:number>/late-reason")
def say_why_late(number: int) -> Response:
    """Saves why the order was late, or takes it back."""
    try:
        press_late_reason(number)
    except Refused as refused:
        return _board(refused, status=422)
    return _after_tap()


@pickups.post("/orders/<int:number>/undo")
def undo(number: int) -> Response:
    """Undoes a step."""
    here = request_context()
    try:
        undo_step(here.context, number, read_id(request.form.get("tap")))
    except Refused as refused:
        return _board(refused, status=422)
    return _after_tap()


@pickups.post("/orders/<int:number>/rentals", endpoint="rentals")
def press_rentals(number: int) -> Response:
    """Saves what was pressed at rentals."""
    try:
        tap_rentals(number)
    except Refused as refused:
        return _board(refused, status=422)
    return _after_tap()


def _after_tap() -> Response:
    """Returns the board after a tap."""
    request_context().session.flush()  # the queries of the board must see the tap
    return _board() if wants_part() else see_other(url_for("pickups.board", day=request.args.get("day")))


def _board(
    refused: Refused | None = None,
    status: int = 200,
    question: ShownQuestion | None = None,
    placing: PlaceForm | None = None,
) -> Response:
    """Returns the board after a press. refused: why the tap was not saved. question: what is asked before it is.
    placing: the place that could not be saved."""
    day = read_shop_day(request.args.get("day"), request_context())
    return _answer(day, _draw(day, refused, question, placing), status)


def _answer(day: ShopDay, page: KeptPage, status: int = 200) -> Response:
    """Returns the page with this board, or the board alone."""
    return page_with_part("pickups/board.html", page.drawn.of_this_answer(), status, day=day)


def _draw(
    day: ShopDay,
    refused: Refused | None = None,
    question: ShownQuestion | None = None,
    placing: PlaceForm | None = None,
    board: int | None = None,
) -> KeptPage:
    """Returns the board of a day as it is drawn now. board: its version, if it was read already."""
    here, form = request_context(), placing or ShopForm()
    form.add_problems(refused.problems if refused else ())
    rows = pickups_of_day(here.session, day.start, day.end, is_today=day.is_today)
    plan, batches = PlanWords.of(here.plan, here.formats, day.clock_date), _batches_to_explain(rows)
    gas = load_venue_helium([row.id for row in rows if row.at_venue and not row.is_gone])
    later = read_asked_later()
    shown = [
        show_pickup(row, plan, batches[work_key(row.number, row.part)], gas.get(row.id), later) for row in rows
    ]
    all_rentals = rentals_shown(day)
    version = page_version(here.session, _change_times(rows, batches, all_rentals, day), here.now, board)
    drawn = render_template(
        "pickups/_board.html",
        **_sorted_pickups(shown, day),
        day=day,
        all_rentals=all_rentals,
        gas=gas,
        cylinder_action_form=cylinder_action_forms(),
        place_form=place_forms(placing),
        later=later,
        form=form,
        question=question,
        version=version,
        links=PickupLinks.of(None if day.is_today else day.local_date),
        new_key=MarkedKeys().new_key,
        now=here.now,
    )
    return keep_page(drawn, version)


def _sorted_pickups(shown: Sequence[ShownPickup], day: ShopDay) -> dict[str, Any]:
    """Returns the hand-overs in the parts of the page, and what is said of them together."""
    waiting = sorted((one for one in shown if not one.row.is_gone), key=lambda one: one.leaves_by)
    states = [one.state for one in shown]
    from_earlier = sum(one.row.leaves_at < day.start for one in shown)
    return {
        "lines": _day_lines(shown, day),
        "summary": day_summary(states, from_earlier),
        "counts": state_counts(states),
        "from_earlier": from_earlier,
        "waiting": waiting,
        "next_up": next((one for one in waiting if one.waits_for_us), None) if day.is_today else None,
        "run": [one for one in waiting if one.row.hand_over != HandOver.COLLECT],
        "gone": [one for one in shown if one.row.is_gone],
    }


def _change_times(
    rows: Sequence[PickupRow],
    batches: dict[str, list[BoardRow]],
    all_rentals: Iterable[ShownRentals],
    day: ShopDay,
) -> Iterator[datetime | None]:
    """Yields the moments at which the clock alone changes something on the page."""
    here = request_context()
    yield from (row.leaves_at + timedelta(seconds=1) for row in rows)
    yield from (
        at for every in batches.values() for one in every for at in display_changes(one, here.shop, here.now)
    )
    yield from overdue_times(all_rentals)
    yield from (day.start, day.midnight, day.end)
    if any(is_waiting(row, here.now) for row in rows):
        yield next_quarter(here.now)


def _day_lines(shown: Sequence[ShownPickup], day: ShopDay) -> list[DayLine]:
    """Returns the time line of the day for a wide window, a tablet and a phone; none if nothing leaves on it. What
    should have left on an earlier day is not on it."""
    here = request_context()
    of_day = [one for one in shown if one.row.leaves_at >= day.start]
    entries = [_line_entry(one) for one in of_day]
    now = here.now if day.is_today else None
    lines = (layout_day_line(entries, now, here.formats, width) for width in (WIDE, MIDDLE, NARROW))
    return [line for line in lines if line]


def _line_entry(one: ShownPickup) -> LineEntry:
    at, clock = one.leaves_by, request_context().formats.clock
    return LineEntry(at, str(one.row.number), one.state, one.key, f"{clock(at)}, {one.state_word.lower()}")


def _batches_to_explain(rows: Iterable[PickupRow]) -> defaultdict[str, list[BoardRow]]:
    """Returns the batches of the hand-overs that are still in the shop, by the key of their work."""
    found: defaultdict[str, list[BoardRow]] = defaultdict(list)
    for batch in batches_of_orders(request_context().session, {row.id for row in rows if not row.is_gone}):
        found[work_key(batch.order_number, batch.part)].append(batch)
    return found
