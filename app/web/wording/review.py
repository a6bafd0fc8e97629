"""This module has the words of the review: its questions, their columns, and what has changed since the last
period."""

from dataclasses import dataclass

from app.craft.comparing import Change
from app.quoting.states import LateReason
from app.web.formats import Formats

PRESET_WORDS = {
    "days": "Last 7 days",
    "day": "Today",
    "week": "This week",
    "month": "This month",
    "year": "This year",
}
BEFORE_WORDS = {
    "days": "Days before",
    "day": "Day before",
    "week": "Week before",
    "month": "Month before",
    "year": "Year before",
}
COMPARED_WORDS = {
    ("day", False): "This day is compared with the day before, and with the same weekday 52 weeks before.",
    ("days", False): (
        "These days are compared with as many days directly before, and with the same weekdays 52 weeks before."
    ),
    ("week", True): (
        "This week so far is compared with the same weekdays of the week before, and of the week 52 weeks before."
    ),
    ("week", False): "This week is compared with the week before, and with the week 52 weeks before.",
    ("month", True): (
        "This month so far is compared with the same days of the month before, and of the same month a year before."
    ),
    ("month", False): "This month is compared with the month before, and with the same month a year before.",
    ("year", True): "This year so far is compared with the same days of the year before.",
    ("year", False): "This year is compared with the year before.",
}
"""By what the period is, and whether it goes on."""
QUESTION_WORDS = {
    "sold": "What was sold",
    "earned": "What earns",
    "burst": "What burst",
    "late": "What was late or missed, and why",
    "busy": "When the shop is busy",
    "returning": "Who comes back",
    "unpaid": "What is unpaid",
    "hours": "Hours at the bench",
    "helium": "Helium drawn and calculated",
    "shares": "Treated, delivered, with add-ons",
    "lost": "What was cancelled",
}
QUESTION_HINTS = {
    "sold": "Revenue with tax of what was handed over. Quick sales stand in columns of their own.",
    "earned": (
        "Profit as a share of the price without tax, worst first. The price and cost of an order are shared"
        " among its lines by what each was sold for. Orders whose cost is not known are left out."
    ),
    "burst": (
        "Of the batches that were filled on these dates. The bar is what surely burst at least, the thin "
        "line what did: few balloons say little, so 1 of 3 has a short bar and 30 of 90 a long one (95% "
        "interval by Wilson, 1927). Colours and lots count what came from your stock."
    ),
    "late": (
        "Late orders were ready later than agreed. Missed orders were not made, and count as neither sold nor late."
    ),
    "busy": (
        "Times by the shop's clock. Quick sales are left out. Minutes at the bench run from the first to "
        "the last tap of a batch and stand at the hour at which it was started."
    ),
    "returning": "By whether the customer had ordered before. Quick sales are left out.",
    "unpaid": "As it is now, the oldest first, of orders up to the last of these dates.",
    "hours": (
        "The time from the first to the last tap of each batch, against the time that was planned for it. "
        "Batches left open for more than 12 hours are left out."
    ),
    "helium": (
        "Between two readings of the cylinders, as compared under Gas, at the date of the second. "
        "Times that wait for a reading are left out."
    ),
    "shares": "Of the orders that were handed over, without quick sales.",
    "lost": (
        "Cancelled orders count neither as orders nor as revenue. Lost balloons were filled or burst for them."
    ),
}
PICTURE_WORDS = {
    "sold": "Revenue",
    "earned": "Profit by design and balloon type",
    "burst-types": "By balloon type",
    "burst-colours": "By colour",
    "burst-lots": "By lot",
    "late": "Orders by reason",
    "busy-orders": "Orders taken",
    "busy-bench": "Minutes at the bench",
    "returning": "Orders",
    "unpaid": "Still to pay",
    "hours": "Hours measured and planned",
    "helium": "Litres drawn and calculated",
    "shares": "Share of orders",
    "lost": "Price of what was cancelled",
}
COLUMN_WORDS = {
    "from": "From",
    "to": "To",
    "orders": "Orders",
    "quick_sales": "Quick sales",
    "balloons": "Balloons",
    "revenue_orders": "Revenue of orders",
    "revenue_quick_sales": "Revenue of quick sales",
    "revenue": "Revenue",
    "revenue_before": "Period before",
    "revenue_year_before": "Year before",
    "what": "What",
    "sold": "Sold",
    "without_tax": "Without tax",
    "cost": "Cost",
    "profit": "Profit",
    "profit_share": "Profit %",
    "profit_share_before": "Profit %, period before",
    "profit_share_year_before": "Profit %, year before",
    "below_minimum": "Below the minimum",
    "balloon_type": "Balloon type",
    "colour": "Colour",
    "received": "Received",
    "filled": "Filled",
    "burst": "Burst",
    "burst_share": "Burst %",
    "at_least": "Surely at least",
    "reason": "Reason",
    "late": "Late",
    "missed": "Missed",
    "late_before": "Both, period before",
    "late_year_before": "Both, year before",
    "hour": "Hour",
    "customer_sort": "Customers",
    "customers": "How many",
    "order": "Order",
    "customer": "Customer",
    "ready_by": "Ready by",
    "to_pay": "To pay",
    "batches": "Batches",
    "cylinders": "Cylinders",
    "litres_drawn": "Litres drawn",
    "litres_calculated": "Litres calculated",
    "measured": "Measured",
    "planned": "Planned",
    "orders_before": "Orders, period before",
    "orders_year_before": "Orders, year before",
    "share": "Share",
    "share_before": "Period before",
    "share_year_before": "Year before",
    "price": "Price",
    "fee": "Fee",
    "lost_balloons": "Balloons lost",
}
REASON_WORDS = {
    LateReason.STAFF: "Not enough staff",
    LateReason.STOCK: "Stock or gas was short",
    LateReason.STARTED_LATE: "Started too late",
    LateReason.CUSTOMER: "Customer was late",
    None: "Nobody said why",
}
RETURNING_WORDS = {0: "Without a name", 1: "First order", 2: "Ordered before"}
SHARE_WORDS = {"treated": "Treated", "delivered": "Delivered or filled at the venue", "extras": "With add-ons"}
SERIES_WORDS = {"now": "this period", "before": "period before", "year_before": "year before"}
MEASURED = ("measured", "planned")
DRAWN = ("drawn", "calculated")
LATE_SERIES = ("late", "missed")
LOST_SERIES = ("price", "fee kept")
NO_COLOUR = "no colour given"


def period_words(name: str, sort: str) -> str:
    """Returns what a period is called: “This period”, “Month before”, “Year before”."""
    return {"now": "This period", "before": BEFORE_WORDS[sort], "year_before": "Year before"}[name]


def compared_words(sort: str, *, is_so_far: bool) -> str:
    """Returns the sentence that says with what a period is compared."""
    return COMPARED_WORDS[sort, is_so_far]


def reason_words(reason: LateReason | None) -> str:
    """Returns why an order was late or not made, in words."""
    return REASON_WORDS[reason]


def chart_text(title: str, rows: int, longest: str, shown: str) -> str:
    """Returns what a picture with bars says: how many bars, and which is the longest."""
    if not rows:
        return f"{title}: nothing on these dates."
    bars = "1 bar" if rows == 1 else f"{rows} bars"
    return f"{title}: {bars}. The longest is {longest}, {shown}. The table below has all numbers."


def heat_text(title: str, total: int, busiest: str) -> str:
    """Returns what a picture by hour and weekday says."""
    if not total:
        return f"{title}: nothing on these dates."
    return f"{title}: {total} together. The busiest hour is {busiest}. The table below has all numbers."


def others_words(count: int, formats: Formats) -> str:
    """Returns the first cell of a row for all rows that are not shown: “120 more, in the CSV”."""
    return f"{formats.number(count)} more, in the CSV"


def of_words(hits: int, of: int) -> str:
    """Returns a share as both of its numbers: “1 of 3”."""
    return f"{hits} of {of}"


def late_words(late: int, missed: int) -> str:
    """Returns how many orders were late and missed: “3 late, 1 missed”, “3 late”."""
    counts = ((late, "late"), (missed, "missed"))
    return ", ".join(f"{count} {words}" for count, words in counts if count)


def litres_words(drawn: int, calculated: int) -> str:
    """Returns what was drawn beside what was calculated: “812 L (790 L)”."""
    return f"{drawn} L ({calculated} L)"


def profit_words(profit: str, *, is_below: bool) -> str:
    """Returns a share of profit: “12%”, “12% – below the minimum”."""
    return f"{profit} – below the minimum" if is_below else profit


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure that can change. name: as the sentence begins with it. is_share: of 1. is_money: in minor units."""

    name: str
    is_share: bool = False
    is_money: bool = False


FIGURES = {
    "revenue": Figure("Revenue", is_money=True),
    "orders": Figure("Orders handed over"),
    "quick_sales": Figure("Quick sales"),
    "missed": Figure("Missed orders"),
    "late": Figure("Late orders", is_share=True),
    "burst": Figure("Burst balloons", is_share=True),
    "again": Figure("Orders of customers who came back", is_share=True),
    "treated": Figure("Treated orders", is_share=True),
    "delivered": Figure("Deliveries", is_share=True),
    "extras": Figure("Orders with add-ons", is_share=True),
}


FEW = 0.1
"""A smaller share is said of every 1,000, because whole percents would hide how it changed."""


def change_sentence(name: str, change: Change, formats: Formats) -> str:
    """Returns how a figure has changed: “Revenue rose from £120.00 to £180.00.”"""
    figure, now, before = FIGURES[name], change.now, change.before
    verb = "rose" if now > before else "fell"
    if not figure.is_share:
        write = (lambda value: formats.money(round(value))) if figure.is_money else formats.number
        return f"{figure.name} {verb} from {write(before)} to {write(now)}."
    if max(now, before) < FEW:
        return f"{figure.name} {verb} from {round(before * 1000)} to {round(now * 1000)} of every 1,000."
    return f"{figure.name} {verb} from {formats.percent(before)} to {formats.percent(now)} of all."
