"""This module has the sentences about orders that people read, and read back to a caller."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from app.actions.orders.surplus import Surplus
from app.planning.bench_window import BenchWindow
from app.quoting.request import ExtraSort, HandOver
from app.store.models import Order, Tap
from app.store.queries.plan import SavedDelay
from app.web.formats import Formats
from app.web.requests import UNKNOWN_PERSON

SAVED_MEANWHILE = "Somebody else saved this order while you were typing. Save again to replace their changes."


def tap_words(tap: Tap) -> str:
    """Returns a tap in words: “12 filled”, “1 white burst”."""
    return {
        "start": "started",
        "fill": f"{tap.count} filled",
        "finish": f"last {tap.count} filled",
        "burst": f"{tap.count} {tap.colour} burst",
        "lose": f"{tap.count} {tap.colour} burst after filling",
        "put back": f"{tap.count} {tap.colour} put back in stock",
        "continue": "still being filled",
        "stop": "filling stopped",
    }.get(tap.act, tap.act)


def surplus_question(surplus: Surplus) -> str:
    """Returns the question what becomes of filled balloons that a changed order no longer needs."""
    verb, batch = "is" if surplus.filled == 1 else "are", surplus.batch
    filled = f"Of batch {batch.key} ({batch.balloon_type_name}), {surplus.filled} {verb} filled already"
    return f"{filled}. The changed order needs {surplus.wanted}. What becomes of the {surplus.count} left over?"


ORDER_ACTS = {
    "saved": "Order saved",
    "changed": "Order changed",
    "cancelled": "Order cancelled",
    "reopened": "Order reopened",
    "recalculated": "Order recalculated",
    "placed": "Place in the holding area saved",
}
CUSTOMER_ACTS = {"changed": "Customer changed"}


def order_act_words(act: str) -> str:
    """Returns an act of an order's history as it is shown: “Order saved”."""
    return ORDER_ACTS.get(act, _capitalized(act))


def customer_act_words(act: str) -> str:
    """Returns an act of a customer's history as it is shown: “Customer changed”."""
    return CUSTOMER_ACTS.get(act, _capitalized(act))


def _capitalized(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def person_name(who: str) -> str:
    """Returns who did something, as it is shown in brackets."""
    return "no name" if who == UNKNOWN_PERSON else who


def hand_over_words(order: Order, formats: Formats) -> str:
    """Returns how, where and when the order leaves, for its page and its confirmation."""
    if order.is_quick_sale:
        return f"Sold on {_dated(order.ready_by, formats)}"
    if order.hand_over == HandOver.DELIVER and order.arrives_at:
        arrives, why = delivered_words(order, order.arrives_at)
        return f"Delivery to {order.address} on {_dated(arrives, formats)}{why}"
    if order.hand_over == HandOver.VENUE and order.arrives_at:
        arrives = order.ready_by + timedelta(minutes=order.travel_minutes)
        return f"Filled at {order.address}, our crew arrives on {_dated(arrives, formats)}"
    return f"Collection on {_dated(order.ready_by, formats)}"


def is_set_up_early(order: Order) -> bool:
    """Returns whether a delivery arrives before the hour that was agreed, so that all is set up when the event
    starts."""
    if order.arrives_at is None or order.hand_over != HandOver.DELIVER:
        return False
    sets_up = any(extra.sort == ExtraSort.SET_UP for extra in order.extras)
    return sets_up and order.ready_by + timedelta(minutes=order.travel_minutes) < order.arrives_at


def delivered_words(order: Order, agreed: datetime) -> tuple[datetime, str]:
    """Returns when a delivery arrives, and why if that is before the hour that was agreed."""
    if not is_set_up_early(order):
        return agreed, ""
    return order.ready_by + timedelta(minutes=order.travel_minutes), ", to set up before the event"


def confirmation_times(order: Order, formats: Formats) -> Iterator[str]:
    """Yields when each part leaves, the hours of the event, when rentals come back and when a crew takes everything
    down."""
    yield hand_over_words(order, formats)
    if order.event_start and order.lasts_until:
        end = formats.short_moment(order.lasts_until, formats.local(order.event_start).date())
        yield f"Event: {_dated(order.event_start, formats)} to {end}"
    if order.later_at:
        yield f"Later part: {_dated(later_hand_over(order, order.later_at), formats)}"
    if order.return_by:
        yield f"Rentals back by {_dated(order.return_by, formats)}"
    if order.take_down_at:
        yield f"Take-down by our crew on {_dated(order.take_down_at, formats)}"


def later_hand_over(order: Order, later_at: datetime) -> datetime:
    """Returns when the later part is collected or delivered. later_at: when it must be ready."""
    return later_at + timedelta(minutes=order.travel_minutes)


def _dated(moment: datetime, formats: Formats) -> str:
    return f"{formats.day_with_year(moment)}, {formats.clock(moment)}"


def ready_words(ready_by: datetime, delay: SavedDelay | None, formats: Formats, *, is_planned: bool) -> str:
    """Returns a sentence about whether the bench can have the order ready. is_planned: whether the plan has all
    that is left to fill."""
    if delay is None:
        return f"{'Can be ready' if is_planned else 'Ready'} by {formats.moment(ready_by)}."
    cannot = "Can't" if delay.proved else "May not"
    late = f"{cannot} be ready by {formats.moment(delay.ready_by)}"
    if delay.ready_at is None:
        return f"{late}, or on any of the next days."
    at = formats.short_moment(delay.ready_at, formats.local(delay.ready_by).date())
    return f"{late}. It will be ready at about {at}."


def missed_ready_words(ready_by: datetime, filled: int, wanted: int, formats: Formats) -> str:
    """Returns a sentence about an order that was not ready in time, and that the bench does not plan any more."""
    return f"It was to be ready by {formats.moment(ready_by)}. {filled} of {wanted} balloons are filled."


ALMOST_FULL = 0.995


def unsized_fill_level(share: float) -> str:
    """Returns how far something is filled that goes through no sizer."""
    return "full" if share > ALMOST_FULL else f"to {share:.0%} of full"


def started_sentence(
    started_at: datetime, filled_at: datetime | None, ready_by: datetime, formats: Formats, day: date
) -> str:
    """Returns when a batch was started and, if it is, filled, with times as seen from a day."""
    times = [f"Started at {formats.short_moment(started_at, day)}"]
    if filled_at:
        times.append(f"filled at {formats.short_moment(filled_at, day)}")
    return f"{', '.join(times)}, ready by {formats.short_moment(ready_by, day)}."


def window_sentence(window: BenchWindow, formats: Formats, day: date, now: datetime, *, lasts: bool) -> str:
    """Returns the window of a batch in words, with times as seen from a day. It is also the text of its float
    strip. lasts: whether the latest start lasts."""
    by, ready = formats.short_moment(window.inflate_by, day), formats.short_moment(window.ready_by, day)
    if window.inflate_by >= window.ready_by:
        return f"Can't be ready by {ready}: planned for {by}."
    if window.inflate_by < now:
        return f"The latest start was {by}, to be ready by {ready}."
    if window.earliest is None or window.earliest <= now:
        return f"Fill any time until {by}, ready by {ready}."
    earliest = formats.short_moment(window.earliest, day)
    if window.is_empty:
        return f"{after_words(lasts=lasts)} {earliest}. To be ready by {ready}, they must be filled by {by}."
    return f"Fill between {earliest} and {by}, ready by {ready}."


def after_words(*, lasts: bool) -> str:
    """Returns how the earliest start is said where it is after the latest one. lasts: whether the latest start
    lasts; then a crew is let in too late."""
    return "They can only be filled after" if lasts else "To last, they must be filled after"
