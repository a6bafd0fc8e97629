"""A batch as bench, ticket and order page show it: whose turn it is, its words, its strip."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.batches import read_float_plan
from app.actions.shop import Shop
from app.physics.balloon import Gas
from app.planning.window import chance_at_end
from app.store.queries.bench import BatchRow
from app.web.formats import Formats
from app.web.strip import Hours, Strip, lay_out
from app.web.words import chance_sentence, film_size, percent, window_sentence


class State(StrEnum):
    """EARLY: it would sink during the event. OPEN: may be filled. DUE: soon must be. LATE: should be begun."""

    EARLY = "early"
    OPEN = "open"
    DUE = "due"
    LATE = "late"
    STARTED = "started"
    FILLED = "filled"


STATE_WORDS = {
    State.EARLY: "Too early",
    State.OPEN: "May be filled",
    State.DUE: "Due",
    State.LATE: "Late",
    State.STARTED: "On the bench",
    State.FILLED: "Filled",
}

TIPS = {"latex": "latex tip", "foil": "low-pressure foil tip", "sphere": "latex tip, more pressure"}
"""What the gas goes through, by material; common practice, no source."""


AIR_TIP = "air pump"


@dataclass(frozen=True, slots=True)
class ShownBatch:
    row: BatchRow
    state: State
    state_word: str
    note: str
    changed: tuple[str, ...]
    colours: str
    size: str
    tip: str
    inflate_by: str
    chance: str
    strip: Strip


def show_batch(row: BatchRow, shop: Shop, formats: Formats, now: datetime) -> ShownBatch:
    day = formats.local(now).date()
    owns, legs = read_float_plan(row.float_plan)
    until = row.lasts_until or row.ready_by
    chance = chance_sentence(row.chance, formats.beside(until, day), row.gas)
    hours = Hours(
        row.not_before, row.inflate_by, row.ready_by, row.event_start, row.lasts_until, owns, legs, row.verdict
    )
    state = state_of(row, now, shop.soon_minutes)
    words = window_sentence(row.not_before, row.inflate_by, row.ready_by, formats, day)
    return ShownBatch(
        row=row,
        state=state,
        state_word=STATE_WORDS[state],
        note=_note(row, state, formats, now),
        changed=changed_since_start(row, formats),
        colours=", ".join(f"{count} {name}" for name, count in row.colours),
        size=_size(row, formats),
        tip=TIPS[row.material] if row.gas == Gas.HELIUM else AIR_TIP,
        inflate_by=formats.beside(row.inflate_by, day),
        chance=chance,
        strip=lay_out(hours, f"{words} {chance}", formats, now),
    )


def state_of(row: BatchRow, now: datetime, soon_minutes: int) -> State:
    if row.filled_at:
        return State.FILLED
    if row.started_at:
        return State.STARTED
    if now > row.inflate_by:
        return State.LATE
    if row.not_before and now < row.not_before <= row.inflate_by:
        return State.EARLY
    return State.DUE if now >= row.inflate_by - timedelta(minutes=soon_minutes) else State.OPEN


def turns(row: BatchRow, soon_minutes: int) -> list[datetime | None]:
    """The moments at which the clock alone changes what is shown of a batch."""
    return [row.not_before, row.inflate_by - timedelta(minutes=soon_minutes), row.inflate_by + timedelta(seconds=1)]


def chance_if_begun(row: BatchRow, now: datetime) -> float:
    owns, legs = read_float_plan(row.float_plan)
    return chance_at_end(now, legs, owns)


def _note(row: BatchRow, state: State, formats: Formats, now: datetime) -> str:
    """The one thing to know beside the state."""
    if state is State.EARLY and row.not_before:
        wait = formats.beside(row.not_before, formats.local(now).date())
        return f"wait until {wait}; begun now: {percent(chance_if_begun(row, now))} to be up at the end"
    if state is State.LATE:
        return f"should have been begun {formats.span(now - row.inflate_by)} ago"
    if state in (State.DUE, State.OPEN):
        return f"begin within {formats.span(row.inflate_by - now)}"
    if state is State.STARTED:
        return f"{row.filled} of {row.quantity} filled"
    return f"at {formats.clock(row.filled_at)}" if row.filled_at else ""


def changed_since_start(row: BatchRow, formats: Formats) -> tuple[str, ...]:
    """“+6 red since you started”: what the order became after the bench began."""
    if not row.started_as:
        return ()
    was = dict(row.started_as["colours"])
    now = dict(row.colours)
    steps = {name: now.get(name, 0) - was.get(name, 0) for name in [*was, *now]}
    changed = [f"{step:+d} {name} since you started".replace("-", "−") for name, step in steps.items() if step]
    size = row.started_as["fill_size_in"]
    if size != row.fill_size_in:
        changed.append(f"fill to {formats.size(row.fill_size_in)} now, not {formats.size(size)}")
    return tuple(changed)


def _size(row: BatchRow, formats: Formats) -> str:
    if row.material == "latex":
        return formats.size(row.fill_size_in)
    return film_size(row.fill_share)
