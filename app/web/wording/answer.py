"""This module words the answer of the order form: what is wrong and what to do about it, in as few words as
possible."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime

from app.planning.bench_window import BenchWindow
from app.planning.finishing import Fit
from app.planning.workplace import Trip
from app.quoting.journey import trip_of
from app.quoting.quote import Quote
from app.quoting.runs import Run
from app.quoting.states import OrderPart
from app.web.formats import Formats
from app.web.wording.orders import after_words
from app.web.wording.outcome import outcome_sentence

CLOSED = {
    (OrderPart.MAIN,): "The shop is closed when this order leaves. Make sure that somebody is there.",
    (OrderPart.LATER,): "The shop is closed when the later part leaves. Make sure that somebody is there.",
    (
        OrderPart.MAIN,
        OrderPart.LATER,
    ): "The shop is closed when both parts leave. Make sure that somebody is there.",
}


def closed_sentence(parts: tuple[OrderPart, ...], days: Iterable[tuple[date, str]], formats: Formats) -> str:
    """Returns the sentences about the parts of an order that leave while the shop is closed; empty if none does.
    days: the dates of them with why the shop is closed, where that is known."""
    reasons = (f"Closed on {formats.day(day)}: {reason}." for day, reason in days)
    return " ".join(one for one in (CLOSED.get(parts, ""), *reasons) if one)


def moment_words(moment: datetime, formats: Formats, named_day: date) -> str:
    """Returns the time of a moment, with its weekday and date unless that day was named just before."""
    if formats.local(moment).date() == named_day:
        return formats.clock(moment)
    return formats.moment(moment)


def day_without_weekday(inflate_by: datetime, ready_by: datetime, formats: Formats, now: datetime) -> date:
    """Returns the day whose times need no weekday beside the window of a batch: the day on which it is both filled
    and ready, because the window names it; today if these are two days."""
    day = formats.local(ready_by).date()
    return day if formats.local(inflate_by).date() == day else formats.local(now).date()


def fill_sentence(window: BenchWindow, formats: Formats, now: datetime, *, lasts: bool) -> str:
    """Returns when a batch may be filled. Today is not named; any other day is, once. lasts: whether the latest
    start lasts."""
    today = formats.local(now).date()
    by = moment_words(window.inflate_by, formats, today)
    if window.inflate_by < now:
        return f"The latest start was {by}."
    if window.earliest is None or window.earliest <= now:
        return f"Fill any time until {by}."
    earliest = moment_words(window.earliest, formats, today)
    by_then = _second_moment(window.earliest, window.inflate_by, formats, today)
    if window.is_empty:
        return f"{after_words(lasts=lasts)} {earliest}. To be ready, they must be filled by {by_then}."
    if earliest == by:
        return f"Fill at {by}."
    return f"Fill between {earliest} and {by_then}."


def _second_moment(first: datetime, second: datetime, formats: Formats, today: date) -> str:
    """Returns the second of two moments; its day is named if it is not the first one's, even if it is today."""
    day = formats.local(first).date()
    if formats.local(second).date() != day or day == today:
        return moment_words(second, formats, day)
    return formats.clock(second)


def can_make_words(fit: Fit, ready_by: datetime, formats: Formats, now: datetime) -> str:
    """Returns whether the bench can make an order in time, for the headline."""
    if fit is Fit.FITS:
        return "Can be ready"
    by = moment_words(ready_by, formats, formats.local(now).date())
    if fit is Fit.CANNOT:
        return f"Can't be ready by {by}"
    return f"May not be ready by {by}"


def short_headline(short: Sequence[str]) -> str:
    """Returns “Short of 12 red 11 in latex and 2 more”; empty if nothing is short."""
    if not short:
        return ""
    more = f" and {len(short) - 1} more" if len(short) > 1 else ""
    return f"Short of {short[0]}{more}"


def still_short_sentence(short: Sequence[str]) -> str:
    """Returns “Still short of 12 red 11 in latex and 2 more.”; empty if nothing is short."""
    headline = short_headline(short)
    return f"Still {headline[0].lower()}{headline[1:]}." if headline else ""


def fine_sentence(topics: Sequence[str]) -> str:
    """Returns “Bench, stock and gas: fine.”; empty if nothing is fine."""
    if not topics:
        return ""
    *others, last = topics
    named = f"{', '.join(others)} and {last}" if others else last
    return f"{named[0].upper()}{named[1:]}: fine."


def hours_sentence(quote: Quote, formats: Formats) -> str:
    """Returns the times of a quote as they were understood, with their weekdays, so that a typing error is
    noticed."""
    request = quote.request
    named = request.event_start or request.lasts_until
    if request.event_start and request.lasts_until:
        day = formats.local(request.event_start).date()
        ends = formats.short_moment(request.lasts_until, day)
        event = f"Event {formats.moment(request.event_start)} to {ends}. "
    elif request.lasts_until:
        event = f"Must float until {formats.moment(request.lasts_until)}. "
    else:
        event = ""
    event_day = formats.local(named).date() if named else None
    if event_day and (trip := trip_of(request)):
        return f"{event}{_crew_sentences(quote, trip, formats, event_day)}"
    said = ", ".join(_handing_over(quote, formats, event_day))
    return f"{event}{said[0].upper()}{said[1:]}."


def _crew_sentences(quote: Quote, trip: Trip, formats: Formats, day: date) -> str:
    """Returns when the crew can enter and must fill, when it leaves at the latest, and when it is back. day: the
    day that was named just before."""
    hours = (trip.access, quote.first_fill_by, trip.filled_by, quote.leaves_at, trip.back_at)
    enters, starts, done, leaves, back = (formats.short_moment(moment, day) for moment in hours)
    return (
        f"The crew can enter from {enters}, must start to fill by {starts} and be done by {done}."
        f" The crew of {quote.request.crew} leaves by {leaves} and is back about {back}."
    )


def _handing_over(quote: Quote, formats: Formats, day: date | None) -> Iterator[str]:
    """Yields the times of the hand-over. day: the day that was named just before."""
    request = quote.request

    def at(moment: datetime) -> str:
        return formats.short_moment(moment, day) if day else formats.moment(moment)

    yield f"ready by {at(quote.ready_by)}"
    if quote.is_set_up_early and request.arrives_at:
        early, agreed = at(quote.arrives(quote.runs[0])), at(request.arrives_at)
        yield f"delivered at {early} instead of {agreed}, to set up before the event"
    elif request.arrives_at:
        yield f"delivered at {at(request.arrives_at)}"
    for run in quote.runs[1:]:
        started = request.event_start is not None and quote.arrives(run) > request.event_start
        yield f"later part ready by {at(run.ready_by)}{', after the event has started' if started else ''}"


def late_sentence(quote: Quote, formats: Formats, now: datetime, quote_if_waiting: Quote | None = None) -> str:
    """Returns when the order is ready if it is started now, and what waiting would mean; empty when the bench is in
    time. A time that is not today has its weekday."""
    late = quote.late_run
    if late is None or quote.ready_at is None:
        return ""
    day = formats.local(now).date()
    told = f"If you start now, it is ready at {formats.short_moment(quote.ready_at, day)}."
    if quote_if_waiting is None:
        return told
    run = next(run for run in quote_if_waiting.runs if run.part is late.part)
    return f"{told} {_what_the_wait_does(quote_if_waiting, run, formats, day)}".strip()


def _what_the_wait_does(quote_if_waiting: Quote, run: Run, formats: Formats, day: date) -> str:
    """Returns what is left of the event for a caller who waits until the order is ready, and whether it floats
    to the end."""
    request, arrives_at = quote_if_waiting.request, quote_if_waiting.arrives(run)
    if request.lasts_until is None:
        return ""
    if arrives_at >= request.lasts_until:
        return f"Waiting does not help: the event ends at {formats.short_moment(request.lasts_until, day)}."
    missed = "If the caller waits: "
    if request.event_start and arrives_at > request.event_start:
        length = formats.duration(arrives_at - request.event_start)
        missed = f"If the caller waits, they miss the first {length} of the event. Filled from now on: "
    batch = min(run.batches, key=lambda batch: (-batch.window.verdict.rank, batch.window.chance))
    end = formats.short_moment(request.lasts_until, day)
    said = outcome_sentence(batch.window.outcome, batch.fill.endurance.promise, end, batch.fill.spec.gas)
    return f"{missed}{said[0].lower()}{said[1:]}"


def in_time_sentence(chance: str, inflate_by: datetime, formats: Formats, now: datetime) -> str:
    """Returns a sentence about a batch of an order that is late now: what would become of it if it were ready in
    time, and from when on it had to be filled for that. chance: what becomes of it, as a sentence."""
    start = moment_words(inflate_by, formats, formats.local(now).date())
    return f"Filled from {start}, to be ready in time: {chance[0].lower()}{chance[1:]}"
