"""A batch as bench, ticket and order page show it: whose turn it is, its words, its strip."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from app.actions.records.batches import chance_if_started, read_float_plan, usable_window
from app.actions.records.open_work import key_of
from app.actions.records.shop import Shop
from app.physics.balloon import Gas
from app.planning.window import Verdict, Window
from app.quoting.states import OrderState
from app.store.queries.bench import BoardRow
from app.web.drawings.float_strip import Strip, StripHours, layout
from app.web.formats import Formats
from app.web.wording.orders import chance_sentence, film_size, percent, window_sentence
from app.web.wording.outdoors import weight_sentence
from app.web.wording.plan import PlanWords


class BatchState(StrEnum):
    """EARLY: it would sink during the event. OPEN: may be filled. DUE: soon must be. LATE: should be begun."""

    EARLY = "early"
    OPEN = "open"
    DUE = "due"
    LATE = "late"
    STARTED = "started"
    FILLED = "filled"
    CANCELLED = "cancelled"


STATE_WORDS = {
    BatchState.EARLY: "Too early",
    BatchState.OPEN: "May be filled",
    BatchState.DUE: "Due",
    BatchState.LATE: "Late",
    BatchState.STARTED: "On the bench",
    BatchState.FILLED: "Filled",
    BatchState.CANCELLED: "Stop: cancelled",
}

TIPS = {"latex": "latex tip", "foil": "low-pressure foil tip", "sphere": "latex tip, more pressure"}
"""What helium goes through, by material; common practice, no source."""

AIR_TIP = "air pump"


@dataclass(frozen=True, slots=True)
class BoardBatch:
    """verdict: by its real start, once it has one. alone: when one hand must begin the first of several batches,
    where there is no plan yet. times, finish and late: what the plan of the whole bench says."""

    row: BoardRow
    state: BatchState
    state_word: str
    note: str
    changed: tuple[str, ...]
    colours: str
    size: str
    tip: str
    inflate_by: str
    alone: str
    times: str
    finish: str
    late: str
    verdict: Verdict
    chance: str
    weight: str
    strip: Strip


def show_batch(row: BoardRow, shop: Shop, formats: Formats, now: datetime, plan: PlanWords) -> BoardBatch:
    """Hours on the plan's day stand without their weekday."""
    day, order = plan.day, key_of(row.order_number, later=row.later)
    window = window_of(row, shop)
    state = state_of(row, window, now, shop.soon_minutes, delayed=order in plan.delays)
    chance = real_chance(row)
    verdict = shop.certainty.verdict(chance)
    sentence = chance_sentence(chance, formats.beside(row.lasts_until or row.ready_by, day), row.gas)
    hours = StripHours(
        window, row.event_start, row.lasts_until, *read_float_plan(row.float_plan), verdict, row.started_at
    )
    words = _begun_sentence(row, formats, day) or window_sentence(window, formats, day, now)
    return BoardBatch(
        row=row,
        state=state,
        state_word=STATE_WORDS[state],
        note=_note(row, window, state, formats, now),
        changed=changed_since_start(row, formats),
        colours=", ".join(f"{count} {name}" for name, count in row.colours),
        size=formats.size(row.fill_size_in) if row.material == "latex" else film_size(row.fill_share),
        tip=TIPS[row.material] if row.gas == Gas.HELIUM else AIR_TIP,
        inflate_by=formats.beside(row.inflate_by, day),
        alone="" if order in plan.finish_starts else _alone(row, formats, day),
        times=plan.times(row.key),
        finish=plan.finish(order),
        late=plan.late(order),
        verdict=verdict,
        chance=sentence,
        weight=weight_sentence(row.weight_g, formats) if row.quantity else "",
        strip=layout(hours, f"{words} {sentence}", formats, now),
    )


def window_of(row: BoardRow, shop: Shop) -> Window:
    return usable_window(row.not_before, row.inflate_by, row.ready_by, row.hand_over, shop)


def state_of(
    row: BoardRow, window: Window, now: datetime, soon_minutes: int, *, delayed: bool = False
) -> BatchState:
    """delayed: its order cannot be ready in time, so that its own latest start counts and not the plan's, which
    moves on with the clock."""
    if row.order_state == OrderState.CANCELLED:
        return BatchState.CANCELLED
    if row.filled_at or row.started_at:
        return BatchState.FILLED if row.filled_at else BatchState.STARTED
    if now > (row.own_inflate_by if delayed else row.inflate_by):
        return BatchState.LATE
    soon = timedelta(minutes=soon_minutes)
    if window.is_early(now, soon):
        return BatchState.EARLY
    return BatchState.DUE if now >= row.inflate_by - soon else BatchState.OPEN


def turns(row: BoardRow, shop: Shop) -> list[datetime | None]:
    """The moments at which the clock alone changes what is shown of a batch."""
    window = window_of(row, shop)
    due = row.inflate_by - timedelta(minutes=shop.soon_minutes)
    return [window.earliest, due, row.inflate_by + timedelta(seconds=1)]


def real_chance(row: BoardRow) -> float:
    """Chance at the end, from its real start once it has begun, until then from the planned one."""
    if row.started_at is None and row.inflate_by == row.own_inflate_by:
        return row.chance
    return chance_if_started(row.float_plan, row.started_at or row.inflate_by)


def _begun_sentence(row: BoardRow, formats: Formats, day: date) -> str:
    if row.started_at is None:
        return ""
    filled = f", filled {formats.beside(row.filled_at, day)}" if row.filled_at else ""
    return f"Begun {formats.beside(row.started_at, day)}{filled}, ready by {formats.beside(row.ready_by, day)}."


def _alone(row: BoardRow, formats: Formats, day: date) -> str:
    """With several batches in an order, one hand must begin before the batch's own hour."""
    if row.started_at or row.first_fill_by is None or row.first_fill_by >= row.inflate_by:
        return ""
    return f"one hand for the whole order: begin by {formats.beside(row.first_fill_by, day)}"


def _note(row: BoardRow, window: Window, state: BatchState, formats: Formats, now: datetime) -> str:
    """The one thing to know beside the state."""
    if state is BatchState.EARLY:
        return _wait_note(row, window, formats, now)
    if state is BatchState.LATE:
        due = min(row.inflate_by, row.own_inflate_by)
        return f"should have been begun {formats.span(now - due)} ago"
    if state in (BatchState.DUE, BatchState.OPEN):
        return f"begin within {formats.span(row.inflate_by - now)}"
    if state is BatchState.STARTED:
        return f"{row.filled} of {row.quantity} filled"
    return f"at {formats.clock(row.filled_at)}" if row.filled_at else ""


def _wait_note(row: BoardRow, window: Window, formats: Formats, now: datetime) -> str:
    chance = percent(chance_if_started(row.float_plan, now))
    day = formats.local(now).date()
    if window.is_empty or window.earliest is None:
        return (
            f"as late as you can, by {formats.beside(row.inflate_by, day)}; begun now: {chance} to be up at the end"
        )
    return f"wait until {formats.beside(window.earliest, day)}; begun now: {chance} to be up at the end"


def changed_since_start(row: BoardRow, formats: Formats) -> tuple[str, ...]:
    """“+6 red since you started”: what the order became after the bench began."""
    if not row.started_as:
        return ()
    was, now = dict(row.started_as["colours"]), dict(row.colours)
    steps = {name: now.get(name, 0) - was.get(name, 0) for name in [*was, *now]}
    changed = [f"{step:+d} {name} since you started".replace("-", "−") for name, step in steps.items() if step]
    size = row.started_as["fill_size_in"]
    if size != row.fill_size_in:
        changed.append(f"fill to {formats.size(row.fill_size_in)} now, not {formats.size(size)}")
    return tuple(changed)
