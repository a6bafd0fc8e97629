"""This module has the words of the list of orders, on its page and in its table for elsewhere."""

from datetime import date

from app.quoting.request import HandOver
from app.quoting.states import LateReason, Progress
from app.store.queries.order_list import OrderListRow
from app.web.formats import Formats
from app.web.wording.review import reason_words

PROGRESS_CHOICES = {"": "Any state"} | {one.value: one.replace("-", " ").capitalize() for one in Progress}
"""The states by which orders are listed, as the form offers them."""
COUNTED_CHOICES = {
    "": "By date it leaves",
    "sold": "Handed over on these dates",
    "late": "Late or missed",
    "taken": "Taken on these dates",
    "filled": "Filled on these dates",
    "timed": "Filled on these dates, with a measured time",
    "helium": "Filled with helium on these dates",
}
NO_SUCH_PART = "There is no such part of the review. Open Review again and press the bar."
"""What the dates mean, as the review counts them."""
UNSAID = "unsaid"
REASON_CHOICES = {
    "": "Any reason",
    **{reason.value: reason_words(reason) for reason in LateReason},
    UNSAID: reason_words(None),
}
HAND_OVERS = {
    HandOver.COLLECT: "Collection",
    HandOver.DELIVER: "Delivery",
    HandOver.VENUE: "Filled at the venue",
}
MOST_GOODS = 3
"""How many lines of an order its row names."""


def goods_words(row: OrderListRow, most: int = MOST_GOODS) -> str:
    """Returns what was ordered, short: “2 × Gull bouquet, 12 × 11 in latex and 3 more lines”."""
    named = ", ".join(f"{count} × {title}" for count, title in row.sold[:most])
    more = len(row.sold) - most
    if more <= 0:
        return named
    return f"{named} and {more} more {'line' if more == 1 else 'lines'}"


def hand_over_time(row: OrderListRow, today: date, formats: Formats) -> str:
    """Returns when the customer gets the order, with its weekday; with the year where it is another one."""
    moment = row.leaves_hands_at
    if formats.local(moment).year == today.year:
        return formats.moment(moment)
    return f"{formats.day_with_year(moment)}, {formats.clock(moment)}"
