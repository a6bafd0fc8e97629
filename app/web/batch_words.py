"""This module says in words what a batch on the bench is doing: its state, its start, its fill size."""

from datetime import date, datetime

from app.store.queries.bench import BoardRow
from app.web.batch_state import STATE_WORDS, BatchState
from app.web.formats import Formats
from app.web.wording.batches import filled_words, idle_note
from app.web.wording.orders import started_sentence, unsized_fill_level


def describe_fill_level(row: BoardRow, formats: Formats) -> str:
    """Returns how far a batch is filled: its size if it goes through the sizer."""
    is_sized = row.material.traits.is_sized(air_only=row.air_only)
    share = 1.0 if row.material.traits.stretches else row.fill_share
    return formats.size(row.fill_size_in) if is_sized else unsized_fill_level(share)


def describe_start(row: BoardRow, formats: Formats, day: date) -> str:
    """Returns when a batch was started and filled; empty until it is started."""
    if row.started_at is None:
        return ""
    return started_sentence(row.started_at, row.filled_at, row.ready_by, formats, day)


def describe_one_person(row: BoardRow, formats: Formats, day: date) -> str:
    """Returns when one person must start an order with several batches, if that is before this batch's own
    latest start."""
    if row.started_at or row.first_fill_by is None or row.first_fill_by >= row.inflate_by:
        return ""
    return (
        f"If one person fills the whole order, they must start by {formats.short_moment(row.first_fill_by, day)}."
    )


def describe_state(row: BoardRow, state: BatchState, formats: Formats, now: datetime) -> str:
    """Returns the state of a batch in words; a late batch says how late it is."""
    if state is BatchState.LATE:
        return f"{formats.duration(now - min(row.inflate_by, row.own_inflate_by))} late"
    if state is BatchState.NOT_NEEDED and row.filled:
        return filled_words(row.filled, row.quantity)
    if state is BatchState.CANCELLED and row.filled_at:
        return "Cancelled after filling"
    return STATE_WORDS[state]


def describe_note(row: BoardRow, state: BatchState, formats: Formats, now: datetime) -> str:
    """Returns the one thing to know about a batch besides its state, unless it must wait."""
    day = formats.local(now).date()
    if state is BatchState.IDLE:
        taps = (row.last_progress_at, row.last_burst_at)
        return idle_note(max(at for at in taps if at), formats, day)
    if state in (BatchState.STARTED, BatchState.STOPPED):
        return filled_words(row.filled, row.quantity)
    if state is BatchState.NOT_NEEDED or not row.filled_at:
        return ""
    spare = f", {row.filled - row.quantity} spare" if row.filled > row.quantity else ""
    return f"at {formats.clock(row.filled_at)}{spare}"
