"""This module words for the bench why a batch must wait, and what is asked about one that nobody taps."""

import math
from datetime import date, datetime, timedelta

from app.actions.errors import TooEarly
from app.actions.records.descriptions import percent
from app.physics.material import Material
from app.planning.early import Early, EarlyReason
from app.store.queries.bench import BoardRow
from app.web.formats import Formats

EARLY_REASONS = {
    EarlyReason.CLOSED: "not open yet",
    EarlyReason.SINKS: "may sink",
    EarlyReason.LIGHT: "too much light",
}


SURE_TO_SINK = "0%"
"""The chance to float, as it is said, of what is certain to sink."""


def early_note(early: Early, chance: float, formats: Formats, day: date) -> str:
    """Returns why a batch must wait and until when, with times as seen from a day. One that would last just as well
    is planned for later, and whoever is here may start it. chance: to float to the end if it is started now."""
    at = formats.short_moment(early.starts_from, day)
    wait = f"wait until {at}" if early.costs_float_time else f"planned from {at}"
    wait = f"start at {at}, no earlier" if early.no_earlier else wait
    sinks = early.reason is EarlyReason.SINKS and percent(chance) == SURE_TO_SINK
    return f"{'will sink' if sinks else EARLY_REASONS[early.reason]}: {wait}"


def row_label(inflate_by: str, quantity: int, balloon_type: str, state: str, key: str) -> str:
    """Returns a batch as it is read aloud: “14:30 24 × 11 in latex, can start, ticket 1007-1”."""
    return f"{inflate_by} {quantity} × {balloon_type}, {state}, ticket {key}"


def due_words(left: timedelta) -> str:
    """Returns in how many minutes a batch must be started: “start in 4 min”."""
    minutes = math.ceil(left.total_seconds() / 60)
    return f"start in {minutes}\u00a0min" if minutes > 0 else "start now"


def wait_words(early: Early, formats: Formats, day: date) -> str:
    """Returns from when a batch may be started, as seen from a day: “from 10:35”, or “only at 10:35”."""
    at = formats.short_moment(early.starts_from, day)
    return f"only at {at}" if early.no_earlier else f"from {at}"


def early_question(asked: TooEarly, formats: Formats, day: date) -> str:
    """Returns the question for the bench when a batch is started too early, with times as seen from a day."""
    at = formats.short_moment(asked.early.starts_from, day)
    now, planned = percent(asked.chance), percent(asked.planned)
    chances = f": the chance to stay up is {now}, not {planned}" if now != planned else ""
    sink = "will" if now == SURE_TO_SINK else "may"
    why = {
        EarlyReason.CLOSED: "The shop is not open yet.",
        EarlyReason.SINKS: f"If you start now, they {sink} sink before the end{chances}.",
        EarlyReason.LIGHT: "If you start now, they are in the light for too long.",
    }[asked.early.reason]
    when = f"Start at {at}, no earlier." if asked.early.no_earlier else f"You can start at {at}."
    return f"{why} {when} Start anyway?"


def idle_note(last_tap: datetime, formats: Formats, day: date) -> str:
    """Returns since when nobody has tapped a batch that was started, as seen from a day."""
    return f"last tap {formats.short_moment(last_tap, day)}"


def idle_question(key: str, filled: int, quantity: int) -> str:
    """Returns the question about a batch that nobody has tapped for long: “1007-1: 1 of 30 filled. Still going?”"""
    return f"{key}: {filled_words(filled, quantity)}. Still going?"


def filled_help(material: Material, again_by: str) -> str:
    """Returns what helps a filled batch that may not last. again_by: by when new ones must be started;
    empty if it is too late for that."""
    if material.traits.can_be_topped_up:
        return "Top them up before they leave."
    if again_by:
        return f"Tied latex can't be topped up: start new ones by {again_by}."
    return "Tied latex can't be topped up: offer foil."


def filled_words(filled: int, quantity: int) -> str:
    """Returns how much of a batch is filled: “12 of 24 filled”. What a changed order leaves over is named: “6 of 6
    filled, 4 spare”, or “6 filled, not needed any more” if it needs none of them."""
    if not quantity:
        return f"{filled} filled, not needed any more"
    spare = f", {filled - quantity} spare" if filled > quantity else ""
    return f"{min(filled, quantity)} of {quantity} filled{spare}"


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
