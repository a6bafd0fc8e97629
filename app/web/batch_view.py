"""This module describes a batch as bench, ticket and order page show it: its state, its sentences, its float
strip."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from app.actions.records.batches import read_float_plan, usable_window
from app.actions.records.open_work import work_key
from app.physics.balloon import Gas
from app.planning.bench_window import BenchWindow
from app.planning.reasons import FinishingReason, TimeReasons, WorkReason, float_reason
from app.planning.window import FloatOutcome, FloatPlan, Verdict
from app.quoting.reasons import latest_finish_start
from app.quoting.shop import Shop
from app.quoting.states import OrderState
from app.store.queries.bench import BoardRow
from app.web.drawings.float_strip import Strip, StripHours, layout
from app.web.formats import Formats
from app.web.wording.materials import nozzle_name
from app.web.wording.orders import foil_fill_level, started_sentence, window_sentence
from app.web.wording.outcome import outcome_sentence
from app.web.wording.outdoors import weight_sentence
from app.web.wording.plan import PlanWords
from app.web.wording.why import describe_reasons


class BatchState(StrEnum):
    """The state of a batch on the board.

    EARLY: filled now, it would sink during the event. OPEN: it may be filled. DUE: it must be started soon. LATE:
    it should have been started. NOT_MADE: its order is over, and it was not filled.
    """

    EARLY = "early"
    OPEN = "open"
    DUE = "due"
    LATE = "late"
    STARTED = "started"
    FILLED = "filled"
    CANCELLED = "cancelled"
    NOT_MADE = "not-made"


STATE_WORDS = {
    BatchState.EARLY: "Too early",
    BatchState.OPEN: "Can start",
    BatchState.DUE: "Due",
    BatchState.LATE: "Late",
    BatchState.STARTED: "Filling",
    BatchState.FILLED: "Filled",
    BatchState.CANCELLED: "Cancelled: stop",
    BatchState.NOT_MADE: "Not made",
}


LOAD_TOLERANCE_G = 0.005
"""Loads that are shown as the same number count as the same."""


@dataclass(frozen=True, slots=True)
class BoardBatch:
    """A batch as the pages show it.

    tip: what the gas goes through into the balloons. verdict: with its real start once it has one. chance_now: how
    sure it is to float to the end if it is started now, as text; empty unless that is too early. one_person_note:
    when one person must start the first of several batches, while there is no plan yet. planned_times,
    finishing_start, delay_note: what the plan of the whole bench says. load: what hangs on each
    balloon, “5.75 g”; empty if that is no more than on a loose one. time_reasons: why it is filled when it is, in
    sentences.
    """

    row: BoardRow
    state: BatchState
    state_word: str
    note: str
    chance_now: str
    changes_since_start: tuple[str, ...]
    colours: str
    size: str
    tip: str
    inflate_by: str
    one_person_note: str
    planned_times: str
    finishing_start: str
    delay_note: str
    verdict: Verdict
    was_started_early: bool
    chance: str
    weight: str
    load: str
    strip: Strip
    time_reasons: tuple[str, ...]


def show_batch(row: BoardRow, shop: Shop, formats: Formats, now: datetime, plan: PlanWords) -> BoardBatch:
    """Returns a batch as the pages show it; times on the plan's day have no weekday."""
    day, order = plan.day, work_key(row.order_number, row.part)
    window = window_of(row, shop)
    state = state_of(row, window, now, shop.soon_minutes, delayed=order in plan.delays)
    float_plan = read_float_plan(row.float_plan)
    outcome, promise = outcome_of(row, shop), float_plan.endurance.promise
    until = formats.short_moment(row.lasts_until or row.ready_by, day)
    sentence = outcome_sentence(outcome, promise, until, row.gas)
    hours = StripHours(window, row.event_start, row.lasts_until, float_plan, outcome.verdict, row.started_at)
    words = _started_sentence(row, formats, day) or window_sentence(window, formats, day, now, lasts=outcome.lasts)
    return BoardBatch(
        row=row,
        state=state,
        state_word=_state_word(row, state, formats, now),
        note=_note(row, window, state, formats, now),
        chance_now=formats.percent(float_plan.chance(now)) if state is BatchState.EARLY else "",
        changes_since_start=changed_since_start(row, formats),
        colours=", ".join(f"{count} {name}" for name, count in row.colours),
        size=formats.size(row.fill_size_in) if row.material.traits.stretches else foil_fill_level(row.fill_share),
        tip=nozzle_name(row.material, Gas(row.gas)),
        inflate_by=formats.short_moment(row.inflate_by, day),
        one_person_note="" if order in plan.finish_starts else _one_person_note(row, formats, day),
        planned_times=plan.times(row.key),
        finishing_start=plan.finish(order),
        delay_note=plan.late(order),
        verdict=outcome.verdict,
        was_started_early=_was_started_early(row, outcome),
        chance=sentence,
        weight=weight_sentence(row.weight_g, formats) if row.quantity else "",
        load=formats.weighed(row.load_g, 2) if row.load_g > shop.loads.loose_g + LOAD_TOLERANCE_G else "",
        strip=layout(hours, f"{words} {sentence}", formats, now),
        time_reasons=time_reasons_of(row, shop, formats, now, plan),
    )


def time_reasons_of(
    row: BoardRow, shop: Shop, formats: Formats, now: datetime, plan: PlanWords
) -> tuple[str, str, str, str]:
    """Returns why a batch is filled when it is, in four sentences; times on the plan's day have no weekday."""
    finish_start = plan.finish_starts.get(work_key(row.order_number, row.part))
    reasons = reasons_of(row, window_of(row, shop), read_float_plan(row.float_plan), shop, finish_start)
    return describe_reasons(reasons, formats, plan.day, now)


def reasons_of(
    row: BoardRow,
    window: BenchWindow,
    float_plan: FloatPlan,
    shop: Shop,
    planned_finish_start: datetime | None = None,
) -> TimeReasons:
    """Returns the reasons for the time of a batch. It counts from its real start, once it has one.

    planned_finish_start: the latest start of its order's finishing in the plan of the whole bench, if it has one.
    """
    finishing = timedelta(minutes=row.finishing_minutes)
    start = row.started_at or row.inflate_by
    own_finish_start = latest_finish_start(row.ready_by, finishing, row.hand_over, shop)
    return TimeReasons(
        float_reason(row.material, Gas(row.gas), float_plan, shop.certainty.safe, start),
        WorkReason(
            at_venue=row.at_venue,
            work=timedelta(minutes=row.work_minutes),
            window=window,
            not_before=row.not_before,
            alone_by=row.own_inflate_by,
            order_by=row.first_fill_by,
            started_at=row.started_at,
        ),
        FinishingReason(
            drying=timedelta(minutes=shop.work_times.drying_minutes if row.treated else 0),
            finishing=finishing,
            starts_by=min((at for at in (planned_finish_start, own_finish_start) if at), default=None),
            ready_by=row.ready_by,
        ),
    )


def window_of(row: BoardRow, shop: Shop) -> BenchWindow:
    """Returns the window in which a batch may be filled."""
    return usable_window(row.not_before, row.inflate_by, row.ready_by, row.hand_over, shop)


def state_of(
    row: BoardRow, window: BenchWindow, now: datetime, soon_minutes: int, *, delayed: bool = False
) -> BatchState:
    """Returns the state of a batch.

    delayed: whether its order cannot be ready in time. Then the batch's own latest start counts, because the start
    in the plan moves on with the clock.
    """
    if row.order_state == OrderState.CANCELLED:
        return BatchState.CANCELLED
    if row.not_made_at and not row.filled_at:
        return BatchState.NOT_MADE
    if row.filled_at or row.started_at:
        return BatchState.FILLED if row.filled_at else BatchState.STARTED
    if now > (row.own_inflate_by if delayed else row.inflate_by):
        return BatchState.LATE
    soon = timedelta(minutes=soon_minutes)
    if window.is_early(now, soon):
        return BatchState.EARLY
    return BatchState.DUE if now >= row.inflate_by - soon else BatchState.OPEN


def display_changes(row: BoardRow, shop: Shop) -> list[datetime | None]:
    """Returns the moments at which the clock alone changes what is shown of a batch."""
    window = window_of(row, shop)
    due = row.inflate_by - timedelta(minutes=shop.soon_minutes)
    return [window.earliest, due, row.inflate_by + timedelta(seconds=1)]


def outcome_of(row: BoardRow, shop: Shop) -> FloatOutcome:
    """Returns what becomes of a batch: with its real start once it was started, until then with the planned
    one."""
    float_plan = read_float_plan(row.float_plan)
    return float_plan.outcome(float_plan.start_to_judge(row.started_at, row.inflate_by), shop.certainty)


def _was_started_early(row: BoardRow, outcome: FloatOutcome) -> bool:
    """Returns whether a batch is not safe because it was started before it should be."""
    if row.started_at is None or row.not_before is None or row.started_at >= row.not_before:
        return False
    return outcome.verdict is not Verdict.SAFE


def _started_sentence(row: BoardRow, formats: Formats, day: date) -> str:
    """Returns when a batch was started and filled; empty until it is started."""
    if row.started_at is None:
        return ""
    return started_sentence(row.started_at, row.filled_at, row.ready_by, formats, day)


def _one_person_note(row: BoardRow, formats: Formats, day: date) -> str:
    """Returns when one person must start an order with several batches, if that is before this batch's own
    latest start."""
    if row.started_at or row.first_fill_by is None or row.first_fill_by >= row.inflate_by:
        return ""
    return (
        f"If one person fills the whole order, they must start by {formats.short_moment(row.first_fill_by, day)}."
    )


def _state_word(row: BoardRow, state: BatchState, formats: Formats, now: datetime) -> str:
    """Returns the state of a batch in words; a late batch says how late it is."""
    if state is BatchState.LATE:
        return f"{formats.duration(now - min(row.inflate_by, row.own_inflate_by))} late"
    return STATE_WORDS[state]


def _note(row: BoardRow, window: BenchWindow, state: BatchState, formats: Formats, now: datetime) -> str:
    """Returns the one thing to know about a batch besides its state."""
    if state is BatchState.EARLY:
        return _wait_note(row, window, formats, now)
    if state is BatchState.STARTED:
        return f"{row.filled} of {row.quantity} filled"
    return f"at {formats.clock(row.filled_at)}" if row.filled_at else ""


def _wait_note(row: BoardRow, window: BenchWindow, formats: Formats, now: datetime) -> str:
    """Returns until when to wait with a batch that is started too early now."""
    day = formats.local(now).date()
    if window.is_empty or window.earliest is None:
        return f"start at {formats.short_moment(row.inflate_by, day)}, no earlier"
    return f"wait until {formats.short_moment(window.earliest, day)}"


def changed_since_start(row: BoardRow, formats: Formats) -> tuple[str, ...]:
    """Returns what changed in the order after the batch was started: “Changed after the start: +6 red”."""
    if not row.started_as:
        return ()
    was, now = dict(row.started_as["colours"]), dict(row.colours)
    steps = {name: now.get(name, 0) - was.get(name, 0) for name in [*was, *now]}
    counts = ", ".join(f"{step:+d} {name}".replace("-", "−") for name, step in steps.items() if step)
    changed = [f"Changed after the start: {counts}."] if counts else []
    size = row.started_as["fill_size_in"]
    if size != row.fill_size_in:
        changed.append(f"Fill to {formats.size(row.fill_size_in)}, no longer to {formats.size(size)}.")
    return tuple(changed)
