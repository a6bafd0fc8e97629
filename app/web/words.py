"""Sentences that people read, say, and read back."""

from datetime import date, datetime

from app.actions.quote import Quote
from app.planning.window import Verdict
from app.store.models import Order
from app.web.formats import Formats

VERDICTS = {
    Verdict.SAFE: "Safe",
    Verdict.CHANCY: "Chancy",
    Verdict.NO: "No",
}


ALMOST_SURE = 0.995


def odds(chance: float) -> str:
    """A chance as a person says it: “19 times in 20”. Never better than it is: rounded down."""
    for parts in (10, 20, 100):
        whole = int(chance * parts + 1e-9)
        if whole and whole < parts and abs(chance - whole / parts) < 0.02:
            return f"{whole} times in {parts}"
    return f"{int(chance * 100)} times in 100"


def chance_sentence(chance: float, at: str, gas: str) -> str:
    """“19 times in 20 they are still up at 23:30.” Air-filled ones don't sink: they look their best or not."""
    if gas == "air":
        return f"They still look their best at {at}." if chance > 0 else f"They no longer look their best at {at}."
    if chance >= ALMOST_SURE:
        return f"They are practically always still up at {at}."
    if chance <= 1 - ALMOST_SURE:
        return f"They are practically never still up at {at}."
    return f"{odds(chance).capitalize()} they are still up at {at}."


def percent(chance: float) -> str:
    """Rounded down, so that a page never promises more than was computed."""
    return f"{int(chance * 1000 + 1e-6) / 10:g} %"


def part_of_day(local: datetime) -> str:
    if local.hour < 5 or local.hour >= 21:
        return "night"
    if local.hour < 12:
        return "morning"
    return "afternoon" if local.hour < 18 else "evening"


def _weekday_part(local: datetime) -> str:
    return f"{local:%A} {part_of_day(local)}"


def read_back(order: Order, formats: Formats) -> str:
    """What to say to the caller before hanging up: weekdays beside every hour."""
    return " ".join([_what(order), _when(order, formats), _how(order, formats)])


def _what(order: Order) -> str:
    lines = [
        f"{line.quantity} × {line.title}"
        + (f" in {line.colours}" if line.colours else "")
        + (", treated" if line.treated else "")
        for line in order.lines
    ]
    return f"Order {order.number} for {order.customer}: {'; '.join(lines)}."


def _when(order: Order, formats: Formats) -> str:
    end = order.lasts_until and formats.local(order.lasts_until)
    if order.event_start and order.lasts_until and end:
        start = formats.local(order.event_start)
        same = start.date() == end.date()
        ends = (
            f"until {formats.clock(order.lasts_until)}"
            if same
            else f"ends {end:%A} {formats.clock(order.lasts_until)}"
        )
        return f"{_weekday_part(start)}, {start:%-d %B}, from {formats.clock(order.event_start)}, {ends}."
    if order.lasts_until and end:
        return f"They must last until {end:%A}, {end:%-d %B}, {formats.clock(order.lasts_until)}."
    return "They are taken along at once."


def _how(order: Order, formats: Formats) -> str:
    ready = formats.local(order.ready_by)
    if order.hand_over == "deliver" and order.arrives_at:
        there = formats.local(order.arrives_at)
        return (
            f"We bring them {there:%A}, {there:%-d %B}, at {formats.clock(order.arrives_at)} to {order.address}"
            f" and leave here at {formats.clock(order.ready_by)}."
        )
    return f"You collect them {ready:%A}, {ready:%-d %B}, at {formats.clock(order.ready_by)}."


def film_size(share: float) -> str:
    """How far a foil or sphere is filled."""
    return "full" if share > ALMOST_SURE else f"to {share:.0%} of full"


def window_sentence(
    not_before: datetime | None, inflate_by: datetime, ready_by: datetime, formats: Formats, day: date
) -> str:
    """The window in words, the hours as seen from a day: also the text of its float strip."""
    by, ready = formats.beside(inflate_by, day), formats.beside(ready_by, day)
    if not_before is None:
        return f"Inflate by {by}, ready by {ready}."
    earliest = formats.beside(not_before, day)
    if not_before > inflate_by:
        return f"They would have to be filled after {earliest} to last, but by {by} to be ready at {ready}."
    return f"Fill between {earliest} and {by}, ready by {ready}."


def late_sentence(answer: Quote, formats: Formats) -> str:
    """What to tell the caller when the bench is too late; empty when it is not."""
    if answer.ready_at is None:
        return ""
    day = formats.local(answer.ready_by).date()
    return (
        f"The first fill had to start by {formats.beside(answer.first_fill_by, day)}. Begun now, the order is"
        f" ready at {formats.beside(answer.ready_at, day)}, not at {formats.clock(answer.ready_by)}."
    )
