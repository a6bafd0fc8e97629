"""This module words for the counter whether the bench as a whole can make an order."""

import math
from collections.abc import Iterator

from app.actions.bench.alternatives import BenchAlternatives
from app.actions.bench.fit import BenchFit
from app.actions.bench.holding_area import HoldingAreaFit
from app.planning.finishing import Fit
from app.planning.holding_area import RoomTaken
from app.planning.schedule import Shortage
from app.planning.work import STUFFING
from app.web.formats import Formats

MOST_NAMED = 6
SHORTAGE_REASONS = {"": "for want of hands", STUFFING: "at the stuffing machine"}


def bench_sentence(fit: BenchFit, alternatives: BenchAlternatives, formats: Formats) -> str:
    """Returns whether the bench can make the order. alternatives: the later hours that were found if it cannot."""
    late = (
        f" Late whatever is done, and not counted: {order_list(fit.unavoidably_late)}."
        if fit.unavoidably_late
        else ""
    )
    if fit.shortage is None and fit.already_unfit:
        numbers = order_list(fit.already_unfit)
        return f"The bench does not fit as it is ({numbers}), but this order makes it no worse.{late}"
    if fit.shortage is None:
        return f"The bench can make it beside all other orders.{late}"
    opening = (
        "The bench cannot make it beside the other orders"
        if fit.fit is Fit.CANNOT
        else "No way was found to make it beside the other orders"
    )
    others = f" It competes with {order_list(fit.others)}." if fit.others else ""
    return f"{opening}: {shortage_words(fit.shortage, formats)}.{others} {_first_hour(alternatives, formats)}{late}"


def _first_hour(alternatives: BenchAlternatives, formats: Formats) -> str:
    """Returns a sentence about the first later hour that fits, or that none was found."""
    if alternatives.later_quote:
        which = "The first" if alternatives.search_complete else "An"
        hour = alternatives.later_quote.request.arrives_at or alternatives.later_quote.leaves_at
        return f"{which} hour that fits: {formats.moment(hour)}."
    return (
        "No later hour before the event would do."
        if alternatives.search_complete
        else "No later hour was found that would do."
    )


def describe_extra_capacity(fit: BenchFit, alternatives: BenchAlternatives, formats: Formats) -> tuple[str, ...]:
    """Returns what the shop itself could add so that the order fits, as sentences."""
    return tuple(_would_do(fit, alternatives, formats))


def _would_do(fit: BenchFit, alternatives: BenchAlternatives, formats: Formats) -> Iterator[str]:
    if extra := alternatives.extra_person:
        start, end = formats.clock(extra.start), formats.clock(extra.end)
        yield f"One more hand on {formats.local(extra.start):%A} from {start} to {end} would do."
    if alternatives.extra_point_fits is not None and fit.shortage:
        what = "stuffing machine" if fit.shortage.gas == STUFFING else f"filling point for {fit.shortage.gas}"
        yield f"One more {what} {'would do' if alternatives.extra_point_fits else 'would not do'}."


def shortage_words(shortage: Shortage, formats: Formats) -> str:
    """Returns what is too much for which hours, and whether staff or filling points are short."""
    day = formats.local(shortage.start).date()
    between = f"{formats.moment(shortage.start)} and {formats.short_moment(shortage.end, day)}"
    reason = SHORTAGE_REASONS.get(shortage.gas or "", f"at the filling points for {shortage.gas}")
    return f"{formats.minutes(-(-shortage.short_seconds // 60))} of work too many between {between}, {reason}"


def order_list(numbers: tuple[str, ...]) -> str:
    """Returns the numbers of orders in words, at most MOST_NAMED of them."""
    named = ", ".join(numbers[:MOST_NAMED])
    more = len(numbers) - MOST_NAMED
    return f"order{'s' if len(numbers) > 1 else ''} {named}{f' and {more} more' if more > 0 else ''}"


def holding_area_sentence(fit: HoldingAreaFit, formats: Formats) -> str:
    """Returns whether the holding area is too full while the order waits, or else when it is fullest then."""
    if fit.over is None:
        at = formats.moment(fit.fullest.start)
        return f"The holding area is fullest on {at}: {describe_occupancy(fit.fullest.room, fit.room)}."
    without = " It is too full without this order too." if fit.already_overfull else ""
    return (
        f"The holding area is too full {_when(fit.over, formats)}:"
        f" {describe_occupancy(fit.over.room, fit.room)}.{without}"
    )


def describe_occupancy(waits: float, room: int) -> str:
    """Returns how full the holding area is: “120 of 160 11-inch balloons”."""
    return f"{room_rounded_up(waits)} of {room} 11-inch balloons"


def room_rounded_up(waits: float) -> int:
    """Returns the room taken, rounded up, so that a little too much shows as too much."""
    return math.ceil(waits)


def _when(over: RoomTaken, formats: Formats) -> str:
    """Returns “on Sat 21 Nov from 14:00 to 16:00”."""
    start, day = formats.local(over.start), formats.short_day(over.start)
    return f"on {day} from {formats.clock(over.start)} to {formats.short_moment(over.end, start.date())}"
