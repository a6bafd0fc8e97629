"""Office: the orders of the review: those completed between two dates, as a page and as a table for elsewhere, with
the profit on each; and what was cancelled or missed, apart from the sales."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from flask import Blueprint, make_response, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.exceptions import BadRequest

from app.actions.bench.leftovers import start_of_today
from app.actions.money.margins import lowest_net_price, margin_of_order, margin_of_row, summarize_margins
from app.actions.records.orders import load_order
from app.places.office.review_table import percent_of, review_table
from app.quoting.costs import missing_costs
from app.store.queries.review import CancelledRow, MissedRow, cancelled, completed, missed, totals
from app.web.forms import DayField, Near, ShopForm, read_id
from app.web.links import links_by_number
from app.web.requests import request_context

WEEK = timedelta(days=6)
PAGE_SIZE = 100


def register(office: Blueprint) -> None:
    """Registers the pages with the orders of the review."""
    office.get("/review/orders")(review_orders)
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


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the completed orders between two dates. orders: how many there are on all pages."""

    number: int
    orders: int
    dates: tuple[date, date]

    @property
    def count(self) -> int:
        """How many pages there are."""
        return max(1, -(-self.orders // PAGE_SIZE))

    @property
    def skipped(self) -> int:
        """How many orders are on the pages before."""
        return (self.number - 1) * PAGE_SIZE

    @property
    def last_order(self) -> int:
        """The place of its last order among all of them."""
        return min(self.orders, self.number * PAGE_SIZE)

    def address(self, step: int) -> str:
        """Returns the address of the page so many further on; empty if there is none."""
        number = self.number + step
        if not 1 <= number <= self.count:
            return ""
        asked: dict[str, Any] = {"from": self.dates[0], "to": self.dates[1], "page": number if number > 1 else None}
        return url_for("office.review_orders", **asked)


def _page(orders: int, dates: tuple[date, date]) -> Page:
    """Returns the page that the address asks for; the last one if there are not so many."""
    asked, most = max(1, read_id(request.args.get("page"))), Page(1, orders, dates).count
    return Page(min(asked, most), orders, dates)


def review_orders() -> Response:
    """Shows the completed orders, some to a page, and the totals of all."""
    form = DatesForm(request.args)
    is_valid, (first, last) = form.validate(), form.dates
    here, bounds, dropped = request_context(), _bounds(first, last), _cancelled(first, last)
    if is_valid:
        form.first.data, form.last.data = here.formats.typed_date(first), here.formats.typed_date(last)
    sums = totals(here.session, *bounds)
    page = _page(sums.orders, (first, last))
    rows = completed(here.session, *bounds, most=PAGE_SIZE, skip=page.skipped)
    shown = render_template(
        "office/review_orders.html",
        form=form,
        rows=[(row, margin_of_row(row)) for row in rows],
        page=page,
        totals=sums,
        cancelled=dropped,
        missed=_missed(first, last),
        fees_kept_minor=sum(row.fee_kept_minor for row in dropped),
        fees_due_minor=sum(row.fee_due_minor for row in dropped),
        margin_summary=summarize_margins(sums),
        missing_costs=missing_costs(here.shop, here.catalogue),
        percent_of=percent_of,
        order_address=links_by_number("counter.show"),
        cost_address=links_by_number("office.order"),
        first=first,
        last=last,
    )
    return make_response(shown, 200 if is_valid else 422)


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


def review_csv() -> Response:
    """Returns all orders of the review as a table."""
    form = DatesForm(request.args)
    if not form.validate():
        raise BadRequest(form.problems[0].sentence)
    first, last = form.dates
    name, bounds = f"review-{first}-{last}.csv", _bounds(first, last)
    return review_table(name, *bounds, _cancelled(first, last), _missed(first, last))


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
