"""Checks of an order's times. Each problem names its field, what is wrong and what would be right."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import chain

from app.quoting.errors import Problem, Refused
from app.quoting.journey import trip_of
from app.quoting.rental_returns import check_return_times
from app.quoting.request import HandOver, Occasion, OrderRequest

MAX_AHEAD = timedelta(days=2 * 365)
LONGEST = timedelta(days=31)

PAST = "That time is in the past."
EVENT_IN_THE_PAST = "The event starts in the past. Check its date."
TOO_LONG = "The event lasts over a month. Check both dates."
TOO_FAR = "That is over two years ahead. Check the year."
TOO_LATE = {
    HandOver.COLLECT: "Collection is after the event starts. Enter an earlier time.",
    HandOver.DELIVER: "Delivery is after the event starts. Enter an earlier time.",
    HandOver.VENUE: "The crew enters after the event starts. Enter an earlier time.",
}
NO_EVENT = "To fill at the venue, choose “Event” and enter when it starts."
NOT_BEFORE_THE_END = "This must be before “Must float until”. Enter an earlier time."
LATER_PART_AT_VENUE = "An order filled at the venue has no later part. Untick “Later part”."
NO_LATER_TIME = "Enter when the later part is handed over."
LATER_PART_TOO_EARLY = "The later part must leave after the main part. Enter a later time."
NO_TIME_TO_FILL = "Set-up and hanging leave no time to fill. Enter an earlier time, or less hanging time."


def check_hours(request: OrderRequest, now: datetime, before: OrderRequest | None = None) -> None:
    """Raises Refused for times that are impossible. before: the order as it is saved, whose own times may be past
    by now."""
    of_request = (rule(request) for rule in (_event, _handing_over, _later_part, _crew))
    back = check_return_times(request, now)
    problems = [*_past(request, now, before), *chain.from_iterable(of_request), *back, *_far(request, now)]
    if problems:
        raise Refused(*problems)


def _past(request: OrderRequest, now: datetime, before: OrderRequest | None) -> Iterator[Problem]:
    """Yields times that are past and were not part of the saved order."""
    leaves = PAST if request.hand_over is HandOver.COLLECT else "The order would have to leave in the past."
    hours = (
        ("event_start", request.event_start, EVENT_IN_THE_PAST),
        ("lasts_until", request.lasts_until, f"{PAST} Check the date."),
        ("ready_by", request.ready_by, f"{leaves} Check the date, or enter a later time."),
        ("later_at", request.later_at, f"{leaves} Check the date, or enter a later time."),
        ("return_by", request.return_by, f"{PAST} Check the date."),
        ("take_down_at", request.take_down_at, f"{PAST} Check the date."),
    )
    for field, moment, sentence in hours:
        saved = before is not None and getattr(before, field) == moment
        if moment is not None and moment < now and not saved:
            yield Problem(field, sentence)


def _event(request: OrderRequest) -> Iterator[Problem]:
    """Yields problems with the event."""
    if request.hand_over is HandOver.VENUE and request.event_start is None:
        yield Problem("hand_over", NO_EVENT)
    if request.occasion is not Occasion.EVENT or request.event_start is None or request.lasts_until is None:
        return
    if request.lasts_until - request.event_start > LONGEST:
        yield Problem("lasts_until", TOO_LONG)


def _handing_over(request: OrderRequest) -> Iterator[Problem]:
    """Yields problems with the hand-over."""
    arrival = request.arrives_at or request.ready_by
    if arrival is None:
        return
    if request.event_start is not None and arrival > request.event_start:
        yield Problem("ready_by", TOO_LATE[request.hand_over])
    elif request.lasts_until is not None and arrival >= request.lasts_until:
        yield Problem("ready_by", NOT_BEFORE_THE_END)


def _later_part(request: OrderRequest) -> Iterator[Problem]:
    """Yields problems with the later part."""
    asked = any(line.later for line in request.lines)
    if asked and request.hand_over is HandOver.VENUE:
        yield Problem("later_at", LATER_PART_AT_VENUE)
    elif asked and request.later_at is None:
        yield Problem("later_at", NO_LATER_TIME)
    elif request.later_at is None or request.ready_by is None:
        return
    elif request.later_at <= request.ready_by:
        yield Problem("later_at", LATER_PART_TOO_EARLY)
    elif request.lasts_until is not None and request.later_at + _travel(request) >= request.lasts_until:
        yield Problem("later_at", NOT_BEFORE_THE_END)


def _travel(request: OrderRequest) -> timedelta:
    """Returns how long the delivery takes."""
    return timedelta(minutes=request.travel_minutes if request.arrives_at else 0)


def _crew(request: OrderRequest) -> Iterator[Problem]:
    """Yields problems with filling at the venue."""
    trip = trip_of(request)
    if trip and trip.fills_from >= trip.filled_by:
        yield Problem("ready_by", NO_TIME_TO_FILL)


def _far(request: OrderRequest, now: datetime) -> Iterator[Problem]:
    """Yields times too far ahead."""
    for field in ("event_start", "lasts_until", "ready_by"):
        moment = getattr(request, field)
        if moment is not None and moment - now > MAX_AHEAD:
            yield Problem(field, TOO_FAR)
