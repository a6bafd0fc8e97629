"""What the bench as a whole says to an order, in words for the counter."""

from app.actions.bench_fit import BenchFit
from app.actions.quote import Quote
from app.planning.handoff import Fit
from app.planning.schedule import Shortage
from app.planning.work import STUFFING
from app.web.formats import Formats

MOST_NAMED = 6
WANTING = {"": "for want of hands", STUFFING: "at the stuffing machine"}


def bench_sentence(fit: BenchFit, free: Quote | None, formats: Formats) -> str:
    """free: the same order at the first later hour at which it fits, where it does not at this one."""
    late = f" Late whatever is done, and not counted: {order_list(fit.hopeless)}." if fit.hopeless else ""
    if fit.shortage is None and fit.already:
        return (
            f"The bench does not fit as it is ({order_list(fit.already)}), but this order makes it no worse.{late}"
        )
    if fit.shortage is None:
        return f"The bench can make it beside all other orders.{late}"
    opening = (
        "The bench cannot make it beside the other orders"
        if fit.fit is Fit.CANNOT
        else "No way was found to make it beside the other orders"
    )
    others = f" It competes with {order_list(fit.others)}." if fit.others else ""
    if free:
        first = f" The first hour that fits: {formats.moment(free.wish.arrives_at or free.leaves_at)}."
    else:
        first = " No later hour before the event would do."
    return f"{opening}: {shortage_words(fit.shortage, formats)}.{others}{first}{late}"


def shortage_words(shortage: Shortage, formats: Formats) -> str:
    day = formats.local(shortage.start).date()
    between = f"{formats.moment(shortage.start)} and {formats.beside(shortage.end, day)}"
    wanting = WANTING.get(shortage.gas or "", f"at the filling points for {shortage.gas}")
    return f"{formats.minutes(-(-shortage.short_seconds // 60))} of work too many between {between}, {wanting}"


def order_list(numbers: tuple[str, ...]) -> str:
    named = ", ".join(numbers[:MOST_NAMED])
    more = len(numbers) - MOST_NAMED
    return f"order{'s' if len(numbers) > 1 else ''} {named}{f' and {more} more' if more > 0 else ''}"
