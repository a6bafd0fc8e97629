"""This module words for the counter whether the bench as a whole can make an order."""

import math

from app.actions.bench.alternatives import BenchAlternatives
from app.actions.bench.fit import BenchFit
from app.actions.bench.holding_area import HoldingAreaFit
from app.planning.holding_area import RoomTaken
from app.planning.schedule import Shortage
from app.planning.work import STUFFING
from app.web.formats import Formats

MOST_NAMED = 6
STAFF_CAN = "staff can do"
STUFFING_CAN = "the stuffing machine can do"


def bench_problem(fit: BenchFit, formats: Formats) -> str:
    """Returns why the bench cannot make the order in time; empty if it can."""
    return f"{shortage_words(fit.shortage, formats)}." if fit.shortage else ""


def first_time_sentence(alternatives: BenchAlternatives, formats: Formats) -> str:
    """Returns a sentence about the first later time that fits, or that none was found."""
    if alternatives.later_quote:
        which = "The first" if alternatives.search_complete else "A"
        hour = alternatives.later_quote.request.arrives_at or alternatives.later_quote.leaves_at
        return f"{which} time that fits: {formats.moment(hour)}."
    if alternatives.search_complete:
        return "No later time before the event fits."
    return "No later time that fits was found."


def bench_details(fit: BenchFit) -> tuple[str, ...]:
    """Returns what else is known of the bench: which orders compete, and which are late anyway."""
    said = []
    if fit.shortage and fit.others:
        said.append(f"The same hours are needed for {order_list(fit.others)}.")
    if fit.shortage is None and fit.already_unfit:
        numbers = order_list(fit.already_unfit)
        said.append(f"The bench can't make all other orders in time ({numbers}). This order makes it no worse.")
    if fit.unavoidably_late:
        said.append(f"Already late, with or without this order: {order_list(fit.unavoidably_late)}.")
    return tuple(said)


def extra_person_words(alternatives: BenchAlternatives, formats: Formats) -> str:
    """Returns when one more person would make the order fit; empty if that would not help."""
    extra = alternatives.extra_person
    if extra is None:
        return ""
    return f"Add 1 person on {formats.moment(extra.start)} to {formats.clock(extra.end)}"


def extra_point_sentence(fit: BenchFit, alternatives: BenchAlternatives) -> str:
    """Returns whether one more filling point would make the order fit; empty if points are not what is short."""
    if alternatives.extra_point_fits is None or fit.shortage is None:
        return ""
    what = "stuffing machine" if fit.shortage.gas == STUFFING else f"filling point for {fit.shortage.gas}"
    return f"One more {what} would {'be' if alternatives.extra_point_fits else 'not be'} enough."


def shortage_words(shortage: Shortage, formats: Formats) -> str:
    """Returns how much work is too much for which hours, and for what: staff, filling points or the machine."""
    day = formats.local(shortage.start).date()
    between = f"between {formats.moment(shortage.start)} and {formats.short_moment(shortage.end, day)}"
    who = {"": STAFF_CAN, STUFFING: STUFFING_CAN}.get(
        shortage.gas or "", f"the filling points for {shortage.gas} can do"
    )
    return f"{formats.minutes(-(-shortage.short_seconds // 60))} more work than {who} {between}"


def order_list(numbers: tuple[str, ...]) -> str:
    """Returns the numbers of orders, at most MOST_NAMED of them."""
    named = ", ".join(numbers[:MOST_NAMED])
    more = len(numbers) - MOST_NAMED
    return f"order{'s' if len(numbers) > 1 else ''} {named}{f' and {more} more' if more > 0 else ''}"


def holding_area_sentence(fit: HoldingAreaFit, formats: Formats) -> str:
    """Returns whether the holding area is too full while the order waits, or else when it is fullest then."""
    if fit.over is None:
        at = formats.moment(fit.fullest.start)
        return f"The holding area is fullest on {at}: {describe_occupancy(fit.fullest.room, fit.room)}."
    without = " It is too full even without this order." if fit.already_overfull else ""
    return (
        f"The holding area is too full {_when(fit.over, formats)}:"
        f" {describe_occupancy(fit.over.room, fit.room)}.{without}"
    )


def describe_occupancy(waits: float, room: int) -> str:
    """Returns how full the holding area is: “120 of 160 11-inch balloons”."""
    return f"{room_rounded_up(waits)} balloons, room for {room} (counted as 11 in latex)"


def room_rounded_up(waits: float) -> int:
    """Returns the room taken, rounded up, so that a little too much shows as too much."""
    return math.ceil(waits)


def _when(over: RoomTaken, formats: Formats) -> str:
    """Returns “on Sat 21 Nov from 14:00 to 16:00”."""
    start, day = formats.local(over.start), formats.short_day(over.start)
    return f"on {day} from {formats.clock(over.start)} to {formats.short_moment(over.end, start.date())}"
