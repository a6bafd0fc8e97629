"""Office: the questions of the review about sales: what was sold, what earns, who comes back, what is unpaid,
and the shares of orders. Each is asked in the database, and turned here into a picture and its table."""

from collections.abc import Sequence
from itertools import zip_longest

from flask import url_for

from app.craft.cost import Margin
from app.places.office.review_period import Period, Step
from app.places.office.review_shown import Asked, CellRow, CellSort, PictureWithTable, Question, Table, TableColumn
from app.store.queries.counted import CountedAs, Group
from app.store.queries.review_sales import (
    EarnedRow,
    PeriodFigures,
    ReturningRow,
    SoldRow,
    earned,
    lost,
    returning,
    sold,
    unpaid,
)
from app.web.drawings.bar_chart import WARNING, BarChart, BarRow, layout_bars
from app.web.formats import Formats
from app.web.links import links_by_number
from app.web.wording.review import (
    LOST_SERIES,
    PICTURE_WORDS,
    RETURNING_WORDS,
    SERIES_WORDS,
    SHARE_WORDS,
    chart_text,
    of_words,
    profit_words,
)

MOST_BARS = 28
"""More are in the table alone."""
RETURNING_PARTS = {0: Group.NAMELESS, 1: Group.FIRST, 2: Group.AGAIN}


def bars_of(
    name: str,
    rows: Sequence[BarRow],
    series: Sequence[str] = (),
    limit: tuple[float, str] | None = None,
    whole: float | None = None,
) -> BarChart | None:
    """Returns the picture with these bars; None without any."""
    if not rows:
        return None
    most = max(rows, key=lambda row: row.values[0])
    text = chart_text(PICTURE_WORDS[name], len(rows), most.words, most.shown)
    return layout_bars(text, rows, series, limit, whole)


def counted_address(period: Period, what: CountedAs = CountedAs.SOLD, part: str = "", **more: str) -> str:
    """Returns the address of the list of orders behind a number of the review. part: of what is counted; empty for
    all of it."""
    return url_for("counter.find", **{**period.arguments, "counted": what, "of": part or None, **more})


def series_of(period: Period) -> tuple[str, ...]:
    """Returns the words for the period and those with which it is compared."""
    return tuple(SERIES_WORDS[name] for name in ("now", *period.compared))


def step_words(step: Step, formats: Formats) -> str:
    """Returns the date of a step, or its first and last."""
    if step.first == step.last:
        return formats.short_date(step.first)
    return f"{formats.short_date(step.first)} – {formats.short_date(step.last)}"


def what_was_sold(asked: Asked) -> Question:
    """Returns what was sold by day or week, with the same steps of the period before and of the year before."""
    period, formats = asked.period, asked.formats
    rows, *before = (
        {row.span: row for row in sold(asked.session, period.step_bounds_of(one))} for one in asked.periods
    )
    shown, bars = [], []
    for place, step in enumerate(period.steps):
        row = rows.get(place, SoldRow(place, 0, 0, 0, 0, 0))
        revenues = [_revenue(one.get(place)) for one in (rows, *before)]
        address = counted_address(Period(step.first, step.last, period.opening))
        values = (step.first, step.last, row.orders, row.quick_sales, row.balloons)
        money = (row.order_revenue_minor, row.quick_revenue_minor, *revenues)
        shown.append(CellRow((*values, *money), address))
        bars.append(
            BarRow(step_words(step, formats), formats.money(revenues[0]), tuple(map(float, revenues)), address)
        )
    columns = (
        *(
            TableColumn("from", CellSort.DAY),
            TableColumn("to", CellSort.DAY),
            TableColumn("orders"),
            TableColumn("quick_sales"),
        ),
        *(
            TableColumn("balloons"),
            TableColumn("revenue_orders", CellSort.MONEY),
            TableColumn("revenue_quick_sales", CellSort.MONEY),
        ),
        TableColumn("revenue", CellSort.MONEY),
        *(TableColumn(f"revenue_{name}", CellSort.MONEY) for name in period.compared),
    )
    chart = bars_of("sold", bars, series_of(period)) if any((rows, *before)) else None
    return Question("sold", (PictureWithTable(chart, Table("sold", columns, tuple(shown))),))


def _revenue(row: SoldRow | None) -> int:
    return row.order_revenue_minor + row.quick_revenue_minor if row else 0


def what_earns(asked: Asked) -> Question:
    """Returns the profit on each design and balloon type, worst first, and whether it is below the minimum."""
    floor, formats = asked.shop.pricing.floor_percent, asked.formats
    found, *before = (
        {(row.design_id, row.balloon_type_id): row for row in earned(asked.session, *one.bounds)}
        for one in asked.periods
    )
    rows = sorted(found.values(), key=_profit_share)
    shown, bars = [], []
    for row in rows:
        margin = Margin(row.net_minor, row.cost_minor)
        share, is_below = _share_or_none(row), margin.below(floor)
        part = f"{Group.DESIGN}-{row.design_id}" if row.design_id else f"{Group.TYPE}-{row.balloon_type_id}"
        address = counted_address(asked.period, part=part)
        values = (row.name, row.orders, row.quantity, row.net_minor, row.cost_minor, margin.minor, share)
        mark = WARNING if is_below else ""
        what = row.design_id, row.balloon_type_id
        earlier = [_share_or_none(one[what]) if what in one else None for one in before]
        shown.append(CellRow((*values, "!" if is_below else "", *earlier), address, mark))
        words = profit_words("–" if share is None else formats.percent(share), is_below=is_below)
        bars.append(BarRow(row.name, words, (max(share or 0.0, 0.0),), address, mark))
    columns = (
        *(TableColumn("what", CellSort.TEXT), TableColumn("orders", has_total=False), TableColumn("sold")),
        *(
            TableColumn("without_tax", CellSort.MONEY),
            TableColumn("cost", CellSort.MONEY),
            TableColumn("profit", CellSort.MONEY),
        ),
        *(TableColumn("profit_share", CellSort.SHARE), TableColumn("below_minimum", CellSort.TEXT)),
        *(TableColumn(f"profit_share_{name}", CellSort.SHARE) for name in asked.period.compared),
    )
    line = (float(floor) / 100, formats.percent(float(floor) / 100))
    chart = bars_of("earned", bars[:MOST_BARS], limit=line, whole=1.0)
    return Question("earned", (PictureWithTable(chart, Table("earned", columns, tuple(shown))),))


def _share_or_none(row: EarnedRow) -> float | None:
    percent = Margin(row.net_minor, row.cost_minor).percent
    return None if percent is None else float(percent) / 100


def _profit_share(row: EarnedRow) -> tuple[float, str]:
    share = _share_or_none(row)
    return (-1e9 if share is None else share), row.name


def who_comes_back(asked: Asked) -> Question:
    """Returns the orders of customers who had ordered before, of new ones, and of those without a name."""
    rows, *before = ({row.sort: row for row in returning(asked.session, *one.bounds)} for one in asked.periods)
    shown, bars = [], []
    for sort in sorted(RETURNING_WORDS, reverse=True):
        row, words = rows.get(sort, ReturningRow(sort, 0, 0, 0)), RETURNING_WORDS[sort]
        earlier = [one[sort].orders if sort in one else 0 for one in before]
        if not any((row.orders, *earlier)):
            continue
        address = counted_address(asked.period, part=RETURNING_PARTS[sort])
        shown.append(CellRow((words, row.customers or None, row.orders, row.revenue_minor, *earlier), address))
        values = tuple(map(float, (row.orders, *earlier)))
        bars.append(BarRow(words, asked.formats.number(row.orders), values, address))
    columns = (
        TableColumn("customer_sort", CellSort.TEXT),
        TableColumn("customers", has_total=False),
        TableColumn("orders"),
        TableColumn("revenue", CellSort.MONEY),
        *(TableColumn(f"orders_{name}") for name in asked.period.compared),
    )
    chart = bars_of("returning", bars, series_of(asked.period))
    return Question("returning", (PictureWithTable(chart, Table("returning", columns, tuple(shown))),))


def what_is_unpaid(asked: Asked) -> Question:
    """Returns the orders for which something is still to pay, the oldest first."""
    formats, shown, bars = asked.formats, [], []
    order_address = links_by_number("counter.show")
    for place, row in enumerate(unpaid(asked.session, asked.period.bounds[1])):
        address, day = order_address(row.number), formats.local(row.ready_by).date()
        shown.append(CellRow((row.number, row.customer, day, row.due_minor), address))
        if place >= MOST_BARS:
            continue
        words = f"{formats.short_date(day)} · {row.number} {row.customer}"
        bars.append(BarRow(words, formats.money(row.due_minor), (float(row.due_minor),), address))
    columns = (
        *(
            TableColumn("order", has_total=False),
            TableColumn("customer", CellSort.TEXT),
            TableColumn("ready_by", CellSort.DAY),
        ),
        TableColumn("to_pay", CellSort.MONEY),
    )
    chart = bars_of("unpaid", bars)
    return Question("unpaid", (PictureWithTable(chart, Table("unpaid", columns, tuple(shown))),))


def what_was_lost(asked: Asked) -> Question:
    """Returns the cancelled orders with their fees, and the balloons that were lost with them."""
    shown, bars, order_address = [], [], links_by_number("counter.show")
    for row in lost(asked.session, *asked.period.bounds):
        address = order_address(row.number)
        shown.append(CellRow((row.number, row.customer, row.price_minor, row.fee_minor, row.balloons), address))
        price = asked.formats.money(row.price_minor)
        values = float(row.price_minor), float(row.fee_minor)
        bars.append(BarRow(f"{row.number} {row.customer}", price, values, address))
    columns = (
        *(
            TableColumn("order", has_total=False),
            TableColumn("customer", CellSort.TEXT),
            TableColumn("price", CellSort.MONEY),
        ),
        *(TableColumn("fee", CellSort.MONEY), TableColumn("lost_balloons")),
    )
    chart = bars_of("lost", bars[:MOST_BARS], LOST_SERIES)
    return Question("lost", (PictureWithTable(chart, Table("lost", columns, tuple(shown))),))


def shares_of_orders(asked: Asked, figures: Sequence[PeriodFigures]) -> Question:
    """Returns the share of orders that are treated, delivered and with add-ons. figures: of the period, then
    of those with which it is compared."""
    shown, bars = [], []
    for name, words in SHARE_WORDS.items():
        counts = [_count_of(one, name) for one in figures]
        shares = [count / one.orders if one.orders else None for count, one in zip_longest(counts, figures)]
        address = counted_address(asked.period, part=Group(name))
        shown.append(CellRow((words, counts[0], figures[0].orders, *shares), address))
        said = of_words(counts[0], figures[0].orders)
        bars.append(BarRow(words, said, tuple(share or 0.0 for share in shares), address))
    columns = (
        *(
            TableColumn("what", CellSort.TEXT),
            TableColumn("sold", has_total=False),
            TableColumn("orders", has_total=False),
        ),
        TableColumn("share", CellSort.SHARE),
        *(TableColumn(f"share_{name}", CellSort.SHARE) for name in asked.period.compared),
    )
    chart = bars_of("shares", bars, series_of(asked.period), whole=1.0) if figures[0].orders else None
    return Question("shares", (PictureWithTable(chart, Table("shares", columns, tuple(shown))),))


def _count_of(figures: PeriodFigures, name: str) -> int:
    return {"treated": figures.treated, "delivered": figures.delivered, "extras": figures.with_extras}[name]
