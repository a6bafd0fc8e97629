"""When hired goods and decorations come back: which hours are impossible, and what is still to say."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from app.actions.errors import Problem, Refused
from app.quoting.quote import Quote
from app.quoting.request import ExtraSort, OrderWish

LONGEST_AWAY = timedelta(days=366)


def check_coming_back(wish: OrderWish, now: datetime) -> Iterator[Problem]:
    """Hours that were said, but cannot be."""
    handed = wish.arrives_at or wish.ready_by
    latest = max((at for at in (wish.lasts_until, wish.event_start, handed) if at), default=now)
    for field, at in (("return_by", wish.return_by), ("take_down_at", wish.take_down_at)):
        if at is None:
            continue
        if wish.event_start is not None and at <= wish.event_start:
            yield Problem(field, "That is before the event has begun: a later hour, please.")
        elif handed is not None and at <= handed:
            yield Problem(field, "That is before it is handed over: a later hour, please.")
        elif at - latest > LONGEST_AWAY:
            yield Problem(field, "That is over a year later: check the date.")


def unsaid_return(answer: Quote) -> list[Problem]:
    """What of hired goods and of a take-down is still to say, or said for nothing."""
    wish = answer.wish
    hired = bool(answer.hired)
    crew = any(extra.wish.sort is ExtraSort.TAKE_DOWN for extra in answer.extras)
    found = []
    if crew and wish.take_down_at is None:
        found.append(Problem("take_down_at", "When is our crew let in to take it down? A day and an hour, please."))
    elif hired and wish.return_by is None and wish.take_down_at is None:
        sentence = "When do the hired goods come back? Say by when, or when our crew is let in to fetch them."
        found.append(Problem("return_by", sentence))
    if wish.return_by and not hired:
        found.append(Problem("return_by", "Nothing in the order is hired: empty this, or add what is."))
    if wish.take_down_at and not (hired or crew):
        sentence = "Nothing is hired, and no take-down is among the add-ons: empty this, or add it."
        found.append(Problem("take_down_at", sentence))
    return found


def refuse_unsaid_return(answer: Quote) -> None:
    if found := unsaid_return(answer):
        raise Refused(*found)
