"""Pick-ups: orders by ready-by, one step after another until they are handed over."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Blueprint, Response, request, url_for

from app.actions.orders.concerns import StepAsked
from app.actions.orders.hand_over import steps_of, take_step, undo_step
from app.actions.records.open_work import work_key
from app.places.pickups.asking import ShownQuestion, pay_at_door, sent_sureness, show_question
from app.places.pickups.rentals import overdue_times, register, rentals_shown, tap_rentals
from app.quoting.errors import Problem, Refused
from app.quoting.journey import SetUpTrip, set_up_trip_of
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart
from app.store.queries.bench import BoardRow, batches_of_orders
from app.store.queries.pickups import PickupRow, pickups_of_day
from app.store.queries.plan import SavedDelay
from app.web.batch_state import display_changes
from app.web.batch_view import time_reasons_of
from app.web.cylinder_actions import cylinder_action_forms, load_venue_helium
from app.web.days import read_shop_day
from app.web.forms import ShopForm, read_id, sent_client_key
from app.web.htmx import (
    is_current_version,
    new_key,
    no_change_response,
    page_or_part,
    page_version,
    see_other,
    wants_part,
)
from app.web.requests import request_context
from app.web.wording.bill import balance_of_row, balance_words
from app.web.wording.forms import PAGE_OUT_OF_DATE
from app.web.wording.outdoors import weights_to_hang
from app.web.wording.plan import PlanWords

pickups = Blueprint("pickups", __name__, url_prefix="/pickups")
register(pickups)

STEP_WORDS = {
    HandOverStep.PACKED: "Packed",
    HandOverStep.DRY: "Dry",
    HandOverStep.ASSEMBLED: "Assembled",
    HandOverStep.WEIGHTED: "Weights tied on",
    HandOverStep.BAGGED: "Bagged",
    HandOverStep.READY: "Ready",
    HandOverStep.CAUTIONED: "Caution given",
    HandOverStep.ON_ACCOUNT: "On account",
    HandOverStep.HANDED_OVER: "Handed over",
}
AT_VENUE = {HandOverStep.READY: "Hung"}


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step of a hand-over."""

    step: str
    word: str
    done: str
    """When and by whom the step was done, empty until then."""


@dataclass(frozen=True, slots=True)
class ShownPickup:
    """delay, late_words: why it cannot be ready in time, and when it would be. finishing_from: when its finishing
    starts. money, balance_words: how its money stands, as a state and in words. unpaid: what is still to pay, empty
    if nothing is. time_reasons: why it is filled when it is, in sentences, by balloon type; empty once it has
    gone."""

    row: PickupRow
    late: bool
    delay: SavedDelay | None
    late_words: str
    finishing_from: str
    money: str
    balance_words: str
    unpaid: str
    steps: tuple[ShownStep, ...]
    next_step: ShownStep | None
    dry_at: datetime | None
    weights: str
    last_tap: int | None
    set_up: SetUpTrip | None
    time_reasons: tuple[tuple[str, tuple[str, ...]], ...]


@pickups.get("/")
def board() -> Response:
    """Shows the hand-overs of the day."""
    here = request_context()
    if is_current_version(here.session, request.args.get("v"), here.now):
        return no_change_response()
    return _board()


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


@pickups.post("/orders/<int:number>/undo")
def undo(number: int) -> Response:
    """Undoes a step."""
    here = request_context()
    try:
        undo_step(here.context, number, read_id(request.form.get("tap")))
    except Refused as refused:
        return _board(refused, status=422)
    return _after_tap()


@pickups.post("/orders/<int:number>/rentals")
def rentals(number: int) -> Response:
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


def _board(refused: Refused | None = None, status: int = 200, question: ShownQuestion | None = None) -> Response:
    """Returns the board. refused: why the tap was not saved. question: what is asked before it is."""
    here, form = request_context(), ShopForm()
    form.add_problems(refused.problems if refused else ())
    day = read_shop_day(request.args.get("day"), here)
    rows = pickups_of_day(here.session, day.start, day.end, is_today=day.is_today)
    plan = PlanWords.of(here.plan, here.formats, day.clock_date)
    batches = _batches_to_explain(rows)
    shown = [_show(row, here.now, plan, batches[work_key(row.number, row.part)]) for row in rows]
    all_rentals = rentals_shown(day)
    leave_times = (row.leaves_at + timedelta(seconds=1) for row in rows)
    reason_changes = (at for every in batches.values() for one in every for at in display_changes(one, here.shop))
    change_times = [*leave_times, *reason_changes, *overdue_times(all_rentals), day.midnight, day.end]
    return page_or_part(
        "pickups/board.html",
        "pickups/_board.html",
        status,
        day=day,
        waiting=[pickup for pickup in shown if not pickup.row.is_gone],
        gone=[pickup for pickup in shown if pickup.row.is_gone],
        all_rentals=all_rentals,
        gas=load_venue_helium([row.id for row in rows if row.at_venue and not row.is_gone]),
        cylinder_action_form=cylinder_action_forms(),
        form=form,
        question=question,
        version=page_version(here.session, change_times, here.now),
        new_key=new_key,
        now=here.now,
    )


def _batches_to_explain(rows: Iterable[PickupRow]) -> defaultdict[str, list[BoardRow]]:
    """Returns the batches of the hand-overs that are still in the shop, by the key of their work."""
    found: defaultdict[str, list[BoardRow]] = defaultdict(list)
    for batch in batches_of_orders(request_context().session, {row.id for row in rows if not row.is_gone}):
        found[work_key(batch.order_number, batch.part)].append(batch)
    return found


def _set_up_trip(row: PickupRow) -> SetUpTrip | None:
    """Returns the trip of a delivery that was sold with set-up; its crew goes with the main part."""
    if not row.set_ups or row.hand_over != HandOver.DELIVER or row.part is OrderPart.LATER or not row.arrives_at:
        return None
    usual = request_context().shop.trip
    return set_up_trip_of(row.arrives_at, row.event_start, row.travel_minutes, row.set_ups, usual)


def _show(row: PickupRow, now: datetime, plan: PlanWords, batches: Iterable[BoardRow]) -> ShownPickup:
    """Returns a hand-over as the board shows it. batches: those whose times are explained."""
    here, order = request_context(), work_key(row.number, row.part)
    done = {act: f"{here.formats.clock(at)}, {who}" for _, act, at, who in row.taps}
    words = STEP_WORDS | (AT_VENUE if row.at_venue else {})
    steps = tuple(
        ShownStep(step, words[step], done.get(step, ""))
        for step in steps_of(treated=row.treated, at_venue=row.at_venue)
    )
    to_do = next((step for step in steps if not step.done), None)
    its_turn = to_do and not row.is_gone and (row.all_filled or to_do.step == HandOverStep.PACKED)
    wet = [batch.filled_at for batch in row.batches if batch.treated and batch.filled_at]
    return ShownPickup(
        row=row,
        late=not row.is_gone
        and now > row.leaves_at
        and not (done.keys() & {HandOverStep.READY, HandOverStep.PACKED}),
        delay=None if row.is_gone else plan.delays.get(order),
        late_words="" if row.is_gone else plan.late(order),
        finishing_from="" if row.is_gone else plan.finish(order),
        money=balance_of_row(row).state,
        balance_words=balance_words(balance_of_row(row), here.formats),
        unpaid=here.formats.money(row.due_minor) if row.due_minor > 0 else "",
        steps=steps,
        next_step=to_do if its_turn else None,
        dry_at=max(wet) + timedelta(minutes=here.shop.work_times.drying_minutes) if wet else None,
        weights=weights_to_hang(row, here.formats),
        last_tap=row.taps[-1][0] if row.taps else None,
        set_up=_set_up_trip(row),
        time_reasons=tuple(
            (one.balloon_type_name, time_reasons_of(one, here.shop, here.formats, now, plan)) for one in batches
        ),
    )
