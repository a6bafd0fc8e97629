"""This module words what the wait of an order in the shop does to its balloons, and what helps."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.planning.late_collection import LateCollection, Remedy
from app.planning.window import Verdict
from app.web.formats import Formats
from app.web.wording.outcome import over_sentence

SURE = 0.995


@dataclass(frozen=True, slots=True)
class WaitingBatch:
    """A batch with helium that waits in the shop. count: its balloons. work: how long they take to fill again."""

    name: str
    count: int
    remedy: Remedy
    work: timedelta
    late: LateCollection


@dataclass(frozen=True, slots=True)
class ShownWait:
    """What a wait does to an order, in words and for programs. agreed, waited: chances between 0 and 1 of its worst
    batch. helps: what can be done, one sentence for each batch."""

    verdict: Verdict
    agreed: float
    waited: float
    headline: str
    kept: str
    kept_until: datetime | None
    helps: tuple[str, ...]
    remedies: tuple[Remedy, ...]


def describe_wait(
    batches: Sequence[WaitingBatch], collected_at: datetime, ends_at: datetime, formats: Formats, now: datetime
) -> ShownWait | None:
    """Returns what the wait does; None if nothing of the order must float. ends_at: until when it must float."""
    if not batches:
        return None
    worst = max(batches, key=lambda one: (one.late.waited.verdict.rank, -one.late.waited.chance))
    kept = min((one.late.kept_until for one in batches if one.late.kept_until), default=None)
    wrong = [one for one in batches if one.late.waited.verdict is not Verdict.SAFE and one.late.refilled]
    return ShownWait(
        verdict=worst.late.waited.verdict,
        agreed=worst.late.agreed.chance,
        waited=worst.late.waited.chance,
        headline=_headline(worst, collected_at, ends_at, formats, now),
        kept=_kept_sentence(kept, formats, now),
        kept_until=kept,
        helps=tuple(_help(one, formats, now, is_over=collected_at >= ends_at) for one in wrong)
        + _nothing_helps(batches),
        remedies=tuple(one.remedy for one in wrong),
    )


def _headline(
    worst: WaitingBatch, collected_at: datetime, ends_at: datetime, formats: Formats, now: datetime
) -> str:
    """Returns what becomes of the worst batch if the order leaves at `collected_at`."""
    today = formats.local(now).date()
    at, end = formats.short_moment(collected_at, today), formats.short_moment(ends_at, today)
    before, after = _chance(worst.late.agreed.chance, formats), _chance(worst.late.waited.chance, formats)
    if collected_at >= ends_at:
        return f"{over_sentence(end)} The chance that they still float at {at} is {after}."
    if before == after:
        return (
            f"Collected at {at}, the wait changes nothing. The chance that they still float at {end} stays {after}."
        )
    return f"Collected at {at}, the chance that they still float at {end} is {after}. It was {before}."


def _chance(chance: float, formats: Formats) -> str:
    """Returns a chance in percent, rounded down."""
    return f"above {formats.percent(0.99)}" if chance >= SURE else formats.percent(chance)


def _kept_sentence(kept_until: datetime | None, formats: Formats, now: datetime) -> str:
    """Returns until when the balloons float as promised; empty if nothing limits it."""
    if kept_until is None:
        return ""
    until = formats.short_moment(kept_until, formats.local(now).date())
    verb = "keep floating" if kept_until > now else "floated"
    return f"They {verb} as promised until {until}."


def _help(batch: WaitingBatch, formats: Formats, now: datetime, *, is_over: bool) -> str:
    """Returns what to do with a batch, and the chance after that; if the event is over, until when they then
    float."""
    chance = _chance(batch.late.refilled.chance, formats) if batch.late.refilled else ""
    then = f"The chance is then {chance}."
    if is_over and batch.late.refilled_until:
        until = formats.short_moment(batch.late.refilled_until, formats.local(now).date())
        then = f"They then float as promised until {until}."
    what = f"{batch.count} × {batch.name}"
    if batch.remedy is Remedy.TOP_UP:
        return f"Top up {what} at the shop just before they leave. {then}"
    work = formats.duration(batch.work)
    return f"Replace {what} just before they leave, which takes {work}. {then} Tied latex cannot be topped up."


def _nothing_helps(batches: Sequence[WaitingBatch]) -> tuple[str, ...]:
    """Returns a sentence if there is a batch that is not safe and is no better filled again."""
    lost = [one for one in batches if one.late.waited.verdict is not Verdict.SAFE and not one.late.refilled]
    return tuple(f"Filling {one.count} × {one.name} again does not help." for one in lost)
