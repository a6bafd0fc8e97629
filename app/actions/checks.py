"""What makes the hours of an order impossible. Each problem stands at its field and says what would be right."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from app.actions.errors import Problem, Refused
from app.actions.wish import HandOver, Occasion, OrderWish
from app.store.models import Order

FURTHEST = timedelta(days=2 * 365)
LONGEST = timedelta(days=31)


def check_hours(wish: OrderWish, now: datetime, before: Order | None = None) -> None:
    """Raises Refused. before: the order as it stands, whose own hours may be past by now."""
    problems = [*_past(wish, now, before), *_event(wish), *_handing_over(wish), *_far(wish, now)]
    if problems:
        raise Refused(*problems)


def _past(wish: OrderWish, now: datetime, before: Order | None) -> Iterator[Problem]:
    leaves = (
        "They would have to leave in the past: " if wish.hand_over is HandOver.DELIVER else "That hour is past: "
    )
    hours = (
        ("event_start", wish.event_start, "The event began in the past: check its date."),
        ("lasts_until", wish.lasts_until, "That hour is past: check the date."),
        ("ready_by", wish.ready_by, f"{leaves}check the date, or take a later hour."),
    )
    for field, moment, sentence in hours:
        kept = before is not None and getattr(before, field) == moment
        if moment is not None and moment < now and not kept:
            yield Problem(field, sentence)


def _event(wish: OrderWish) -> Iterator[Problem]:
    if wish.occasion is not Occasion.EVENT or wish.event_start is None or wish.lasts_until is None:
        return
    if wish.lasts_until - wish.event_start > LONGEST:
        yield Problem("lasts_until", "The event would last over a month: check both dates.")


def _handing_over(wish: OrderWish) -> Iterator[Problem]:
    there = wish.arrives_at or wish.ready_by
    if there is None:
        return
    if wish.event_start is not None and there > wish.event_start:
        what = "arrive" if wish.hand_over is HandOver.DELIVER else "be collected"
        yield Problem("ready_by", f"They would {what} after the event has begun: an earlier hour, please.")
    elif wish.lasts_until is not None and there >= wish.lasts_until:
        yield Problem("ready_by", "They must only last until before that: an earlier hour, please.")


def _far(wish: OrderWish, now: datetime) -> Iterator[Problem]:
    for field in ("event_start", "lasts_until", "ready_by"):
        moment = getattr(wish, field)
        if moment is not None and moment - now > FURTHEST:
            yield Problem(field, "That is over two years ahead: check the year.")
