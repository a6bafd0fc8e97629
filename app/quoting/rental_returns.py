"""When rented items and decorations come back: which times are impossible, and what is still needed."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from app.quoting.errors import Problem, Refused
from app.quoting.quote import Quote
from app.quoting.request import ExtraSort, OrderRequest

LONGEST_AWAY = timedelta(days=366)
BEFORE_THE_EVENT = "That is before the event starts. Enter a later time."
BEFORE_THE_HAND_OVER = "That is before the hand-over. Enter a later time."
OVER_A_YEAR_LATER = "That is over a year later. Check the date."
NO_TAKE_DOWN_TIME = "Enter the time from which the crew can enter the venue to take everything down."
NO_RETURN_TIME = (
    "Enter the time by which the customer returns the rentals, or the time from which the crew can fetch them."
)
NO_RENTALS = "The order has no rentals. Clear this time, or add the rentals."
NOTHING_TO_TAKE_DOWN = "The order has no rentals and no take-down. Clear this time, or add one of them."


def check_return_times(request: OrderRequest, now: datetime) -> Iterator[Problem]:
    """Yields problems with times that were typed but cannot be."""
    handed = request.arrives_at or request.ready_by
    latest = max((at for at in (request.lasts_until, request.event_start, handed) if at), default=now)
    for field, at in (("return_by", request.return_by), ("take_down_at", request.take_down_at)):
        if at is None:
            continue
        if request.event_start is not None and at <= request.event_start:
            yield Problem(field, BEFORE_THE_EVENT)
        elif handed is not None and at <= handed:
            yield Problem(field, BEFORE_THE_HAND_OVER)
        elif at - latest > LONGEST_AWAY:
            yield Problem(field, OVER_A_YEAR_LATER)


def return_problems(quote: Quote) -> list[Problem]:
    """Returns what is still needed about rented items and a take-down, or was typed for nothing."""
    request = quote.request
    rentals = bool(quote.rentals)
    crew = any(extra.request.sort is ExtraSort.TAKE_DOWN for extra in quote.extras)
    found = []
    if crew and request.take_down_at is None:
        found.append(Problem("take_down_at", NO_TAKE_DOWN_TIME))
    elif rentals and request.return_by is None and request.take_down_at is None:
        found.append(Problem("return_by", NO_RETURN_TIME))
    if request.return_by and not rentals:
        found.append(Problem("return_by", NO_RENTALS))
    if request.take_down_at and not (rentals or crew):
        found.append(Problem("take_down_at", NOTHING_TO_TAKE_DOWN))
    return found


def refuse_wrong_return(quote: Quote) -> None:
    """Raises Refused if anything of that is missing."""
    if found := return_problems(quote):
        raise Refused(*found)
