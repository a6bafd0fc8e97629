"""Office: completed orders between two dates, as a page and as a table for elsewhere, with the profit on each; and
what was cancelled or missed, apart from the sales."""

from datetime import date, datetime, timedelta

from flask import Blueprint, make_response, render_template, request
from flask.wrappers import Response
from werkzeug.exceptions import BadRequest

from app.actions.bench.leftovers import start_of_today
from app.actions.money.margins import lowest_net_price, margin_of_order, margin_of_row, summarize_margins
from app.actions.records.orders import load_order
from app.craft.cost import Margin
from app.craft.money import half_up
from app.quoting.costs import missing_costs
from app.store.queries.review import CancelledRow, CompletedRow, MissedRow, cancelled, completed, missed, totals
from app.web.forms import DayField, Near, ShopForm
from app.web.requests import request_context
from app.web.tables import csv_response
from app.web.wording.bill import balance_of_row
from app.web.wording.order_state import state_of_order

CSV_HEAD = (
    "order",
    "customer",
    "state",
    "ready_by",
    "ready_at",
    "handed_over_at",
    "minutes_late",
    "verdict",
    "balloons",
    "burst",
    "revenue",
    "revenue_without_tax",
    "cost",
    "profit",
    "profit_percent",
    "payment",
    "to_pay",
    "cancelled_at",
    "cancellation_fee",
    "missed",
)
WEEK = timedelta(days=6)


def register(office: Blueprint) -> None:
    """Registers the pages of the review."""
    office.get("/review")(review)
    office.get("/review.csv")(review_csv)
    office.get("/orders/<int:number>")(order)


class DatesForm(ShopForm):
    """The first and the last date, both included; the last seven days if none is typed."""

    first = DayField("From", name="from", optional=True, near=Near.PAST)
    last = DayField("To", name="to", optional=True, near=Near.PAST)

    @property
    def dates(self) -> tuple[date, date]:
        """Returns the earlier date first; a date that is wrong counts as not typed."""
        here = request_context()
        last = self.last.value_or_none or here.context.today
        first = self.first.value_or_none or last - WEEK
        return min(first, last), max(first, last)


def review() -> Response:
    """Shows the completed orders."""
    form = DatesForm(request.args)
    is_valid, (first, last) = form.validate(), form.dates
    if is_valid:
        formats = request_context().formats
        form.first.data, form.last.data = formats.typed_date(first), formats.typed_date(last)
    here, rows, dropped = request_context(), _completed(first, last), _cancelled(first, last)
    page = render_template(
        "office/review.html",
        form=form,
        rows=[(row, margin_of_row(row)) for row in rows],
        totals=totals(rows),
        cancelled=dropped,
        missed=_missed(first, last),
        fees_minor=sum(row.cancel_fee_minor for row in dropped),
        margin_summary=summarize_margins(rows),
        missing_costs=missing_costs(here.shop, here.catalogue),
        percent_of=percent_of,
        first=first,
        last=last,
    )
    return make_response(page, 200 if is_valid else 422)


def order(number: int) -> str:
    """Shows the cost and profit of one order."""
    here = request_context()
    saved = load_order(here.session, number)
    margin = margin_of_order(saved)
    return render_template(
        "office/order.html",
        order=saved,
        margin=margin,
        floor=here.shop.pricing.floor_percent.normalize(),
        least=lowest_net_price(margin, here.shop) if margin else 0,
        is_below=margin is not None and margin.below(here.shop.pricing.floor_percent),
    )


def percent_of(margin: Margin) -> str:
    """Returns the percentage to a tenth, half up, as data; empty if nothing was charged."""
    if margin.percent is None:
        return ""
    tenths = half_up(margin.percent * 10)
    return f"{tenths / 10:.1f}"


def review_csv() -> Response:
    """Returns the completed orders as a table; the cancelled ones follow, with a fee and without revenue, then the
    missed ones."""
    form = DatesForm(request.args)
    if not form.validate():
        raise BadRequest(form.problems[0].sentence)
    first, last = form.dates
    cells = [_cells(row) for row in _completed(first, last)]
    cells += [_cancelled_cells(row) for row in _cancelled(first, last)]
    cells += [_missed_cells(row) for row in _missed(first, last)]
    return csv_response(f"review-{first}-{last}.csv", CSV_HEAD, cells)


def _cells(row: CompletedRow) -> tuple[object, ...]:
    """Returns the row of an order."""
    formats = request_context().formats
    hours = (row.ready_by, row.finished_at, row.handed_over_at)
    return (
        row.number,
        row.customer,
        state_of_order(row).words,
        *(formats.local(hour).isoformat() if hour else "" for hour in hours),
        row.minutes_late,
        row.verdict,
        row.balloons,
        row.bursts,
        formats.table_amount(row.revenue_minor),
        *_earned_cells(row),
        balance_of_row(row).state,
        formats.table_amount(row.due_minor),
        "",
        "",
        "",
    )


def _cancelled_cells(row: CancelledRow) -> tuple[object, ...]:
    """Returns the row of a cancelled order: without revenue, cost and balloons, but with its fee."""
    formats = request_context().formats
    return (
        *_unsold_cells(row),
        balance_of_row(row).state,
        formats.table_amount(row.due_minor),
        formats.local(row.cancelled_at).isoformat(),
        formats.table_amount(row.cancel_fee_minor),
        "",
    )


def _missed_cells(row: MissedRow) -> tuple[object, ...]:
    """Returns the row of a missed order: “not made”, or “open” if nobody has said what became of it. What was paid
    for it is to be paid back."""
    to_pay = request_context().formats.table_amount(-row.paid_minor) if row.paid_minor else ""
    return (*_unsold_cells(row), "", to_pay, "", "", "not made" if row.not_made_at else "open")


def _unsold_cells(row: CancelledRow | MissedRow) -> tuple[object, ...]:
    """Returns the first cells of an order that is no sale: without revenue, cost and balloons."""
    formats = request_context().formats
    empty = [""] * (CSV_HEAD.index("payment") - CSV_HEAD.index("ready_at"))
    state = state_of_order(row).words
    return (row.number, row.customer, state, formats.local(row.ready_by).isoformat(), *empty)


def _earned_cells(row: CompletedRow) -> tuple[str, ...]:
    """Returns cost and profit; empty if the cost is unknown."""
    amount, margin = request_context().formats.table_amount, margin_of_row(row)
    if margin is None:
        return amount(row.net_minor), "", "", ""
    return amount(row.net_minor), amount(margin.cost_minor), amount(margin.minor), percent_of(margin)


def _completed(first: date, last: date) -> list[CompletedRow]:
    """Returns the orders completed between two dates."""
    return completed(request_context().session, *_bounds(first, last))


def _cancelled(first: date, last: date) -> list[CancelledRow]:
    """Returns the orders cancelled between two dates."""
    return cancelled(request_context().session, *_bounds(first, last))


def _missed(first: date, last: date) -> list[MissedRow]:
    """Returns the orders missed between two dates."""
    here = request_context()
    return missed(here.session, *_bounds(first, last), start_of_today(here.context), here.now)


def _bounds(first: date, last: date) -> tuple[datetime, datetime]:
    """Returns the moments at which the shop's first day begins and its last one ends."""
    opening = request_context().shop.opening
    return opening.day_bounds(first)[0], opening.day_bounds(last)[1]
