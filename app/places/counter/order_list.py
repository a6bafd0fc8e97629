"""Counter: the list of orders, searched by date, name, phone, design, state and money, a page at a time; the same
as a table for elsewhere."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from flask import Blueprint, redirect, request, url_for
from flask.wrappers import Response
from werkzeug.exceptions import BadRequest
from wtforms import BooleanField, ValidationError

from app.actions.bench.leftovers import start_of_today
from app.places.counter.order_now import RowNow, rows_now
from app.quoting.states import LateReason, Progress
from app.store.engine import Database
from app.store.queries.counted import Counted, CountedAs, part_of
from app.store.queries.customers import CallerRow, find_customers
from app.store.queries.order_list import (
    OrderListRow,
    OrderSearch,
    number_of_order,
    place_of,
    search_orders,
)
from app.store.search_keys import fold_text
from app.web.formats import Formats
from app.web.forms import DayField, Near, ShopForm, StrictChoiceField, TextField, choices_of, max_length, read_id
from app.web.htmx import page_or_part, wants_part
from app.web.requests import request_context, served_app
from app.web.tables import csv_stream
from app.web.wording.bill import balance_of_row, money_words
from app.web.wording.order_list import (
    COUNTED_CHOICES,
    HAND_OVERS,
    NO_SUCH_PART,
    PROGRESS_CHOICES,
    REASON_CHOICES,
    UNSAID,
    goods_words,
    hand_over_time,
)
from app.web.wording.order_state import CANNOT_BE_READY, missed_of, state_of_order

PAGE_SIZE = 40
MOST_PAGES = 10_000
CSV_STEP = 500
"""How many orders of the table are read at once."""
MOST_LETTERS = 80
CSV_HEAD = (
    "Order",
    "Customer",
    "Phone",
    "Collection or delivery",
    "Time",
    "What",
    "State",
    "Payment",
    "Price",
    "Still to pay",
)


def known_part(_form: ShopForm, field: TextField) -> None:
    """Refuses a part that the review does not count."""
    if field.value and part_of(field.value) is None:
        raise ValidationError(NO_SUCH_PART)


class OrderSearchForm(ShopForm):
    """What is searched for; all fields may stay empty. The dates are those on which orders leave the shop."""

    q = TextField("Number, name or phone", [max_length(MOST_LETTERS)])
    first = DayField("From", name="from", id="orders-from", optional=True, near=Near.NEAREST)
    last = DayField("To", name="to", id="orders-to", optional=True, near=Near.NEAREST)
    design = TextField("Design or balloon", [max_length(MOST_LETTERS)])
    state = StrictChoiceField("State", choices=choices_of(PROGRESS_CHOICES), default="")
    unpaid = BooleanField("Unpaid")
    unready = BooleanField("Not ready", name="not_ready", id="not_ready")
    counted = StrictChoiceField("Counted as", choices=choices_of(COUNTED_CHOICES), default="")
    reason = StrictChoiceField("Reason", choices=choices_of(REASON_CHOICES), default="")
    part = TextField("Part", [max_length(MOST_LETTERS), known_part], name="of", id="orders-of")

    @property
    def dates(self) -> tuple[date | None, date | None]:
        """The first and the last date; the earlier one first."""
        first, last = self.first.value_or_none, self.last.value_or_none
        return (last, first) if first and last and last < first else (first, last)

    def write_dates_out(self) -> None:
        """Writes the dates as they are read, so that the address means the same on another day."""
        for field, day in zip((self.first, self.last), self.dates, strict=True):
            field.process_data(day)

    @property
    def values(self) -> dict[str, Any]:
        """What was typed, by the names in the address."""
        typed = {field.name: "y" if field.data is True else (field.data or "").strip() for field in self}
        return {name: text for name, text in typed.items() if text}


def register(counter: Blueprint) -> None:
    """Registers the list of orders."""
    counter.get("/orders")(find)
    counter.get("/orders.csv")(orders_csv)


def find() -> Any:
    """Shows the orders that were searched for; without a search, those that are to leave. The number of an order,
    typed alone, leads straight to it."""
    here, form = request_context(), OrderSearchForm(request.args)
    is_valid = form.validate()
    if is_valid and [*form.values] == ["q"] and not wants_part():
        number = number_of_order(here.session, form.q.value)
        if number:
            return redirect(url_for("counter.show", number=number))
    page = _page_number()
    search = _search(form) if is_valid else None
    found = search_orders(here.session, search, PAGE_SIZE + 1, (page - 1) * PAGE_SIZE) if search else []
    if is_valid:
        form.write_dates_out()
    return page_or_part(
        "counter/orders.html",
        "counter/_orders.html",
        200 if is_valid else 422,
        form=form,
        is_part=wants_part(),
        text=form.q.data or "",
        rows=_all_shown(found[:PAGE_SIZE]),
        search=search,
        is_coming=not form.values,
        pages=_pages(form.values, page, has_next=len(found) > PAGE_SIZE),
        known=_known(form, page) if is_valid else [],
        csv=url_for("counter.orders_csv", **form.values),
    )


def orders_csv() -> Response:
    """Returns all orders that were searched for as a table."""
    form = OrderSearchForm(request.args)
    if not form.validate():
        raise BadRequest(form.problems[0].sentence)
    here = request_context()
    words = TableWords(here.formats, here.now, frozenset(delay.number for delay in here.plan.delays))
    return csv_stream("orders.csv", CSV_HEAD, _table(served_app().database, _search(form), words))


def _page_number() -> int:
    return min(max(read_id(request.args.get("page")) or 1, 1), MOST_PAGES)


def _search(form: OrderSearchForm) -> OrderSearch:
    """Returns what the form searches for. Nothing typed is a search for the open orders that leave from today
    on."""
    here = request_context()
    bounds = here.shop.opening.day_bounds
    if not form.values:
        return OrderSearch(start=bounds(here.context.today)[0], open_only=True, earliest_first=True)
    first, last = form.dates
    reason = form.reason.data
    counted = Counted(
        what=CountedAs(form.counted.data or CountedAs.SOLD),
        part=part_of(form.part.value),
        reason=LateReason(reason) if reason and reason != UNSAID else None,
        any_reason=not reason,
        today=start_of_today(here.context),
        now=here.now,
        zone=here.shop.zone,
    )
    search = OrderSearch(
        text=form.q.value,
        start=bounds(first)[0] if first else None,
        end=bounds(last)[1] if last else None,
        progress=Progress(form.state.data) if form.state.data else None,
        unpaid=form.unpaid.data,
        unready=form.unready.data,
        earliest_first=first is not None or form.unready.data,
        counted=counted if form.counted.data else None,
    )
    return _with_goods(search, form.design.value)


def _with_goods(search: OrderSearch, title: str) -> OrderSearch:
    """Returns the search with what its lines are called, however letters and accents are written."""
    if not title:
        return search
    catalogue, folded = request_context().catalogue, fold_text(title)
    designs = (one.id for one in catalogue.designs.values() if folded in fold_text(one.name))
    singles = (one.id for one in catalogue.balloon_types.values() if folded in fold_text(one.name))
    return replace(search, title=title, design_ids=frozenset(designs), balloon_type_ids=frozenset(singles))


def _known(form: OrderSearchForm, page: int) -> Sequence[CallerRow]:
    """Returns the customers who are called like that, beside the first page."""
    return find_customers(request_context().session, form.q.value) if form.q.value and page == 1 else []


@dataclass(frozen=True, slots=True)
class ShownOrder:
    """A row of the list and its words."""

    row: OrderListRow
    hand_over: str
    at: str
    goods: str
    now: RowNow


def _all_shown(rows: Sequence[OrderListRow]) -> list[ShownOrder]:
    """Returns the rows with what has become of their orders by now."""
    now = rows_now(rows)
    return [_shown(row, now[row.number]) for row in rows]


def _shown(row: OrderListRow, now: RowNow) -> ShownOrder:
    here = request_context()
    return ShownOrder(
        row=row,
        hand_over=HAND_OVERS[row.hand_over],
        at=hand_over_time(row, here.context.today, here.formats),
        goods=goods_words(row),
        now=now,
    )


@dataclass(frozen=True, slots=True)
class Pages:
    """Which page of the list this is, and the addresses of those beside it; empty where there is none."""

    number: int
    previous: str
    next: str


def _pages(values: dict[str, Any], page: int, *, has_next: bool) -> Pages:
    def address(number: int) -> str:
        return url_for("counter.find", **values, page=number if number > 1 else None)

    return Pages(page, address(page - 1) if page > 1 else "", address(page + 1) if has_next else "")


@dataclass(frozen=True, slots=True)
class TableWords:
    """What the words of the table need. late: the numbers of the orders that can't be ready in time."""

    formats: Formats
    now: datetime
    late: frozenset[int]

    def state(self, row: OrderListRow) -> str:
        """Returns the state of an order, and what was missed or can't be: “Not started, can't be ready”."""
        missed = missed_of(row, row, self.now)
        more = missed.words if missed else CANNOT_BE_READY if row.number in self.late else ""
        return f"{state_of_order(row).words}{f', {more.lower()}' if more else ''}"


def _table(database: Database, search: OrderSearch, words: TableWords) -> Iterator[list[tuple[object, ...]]]:
    """Yields the rows of the table some at a time, each time with a session of its own: a slow download keeps
    none open."""
    after: tuple[datetime, int] | None = None
    while True:
        with database.reading() as session:
            rows = search_orders(session, search, CSV_STEP, after=after)
        if rows:
            yield [_cells(row, words) for row in rows]
        if len(rows) < CSV_STEP:
            return
        after = place_of(rows[-1])


def _cells(row: OrderListRow, words: TableWords) -> tuple[object, ...]:
    formats = words.formats
    return (
        row.number,
        row.customer,
        row.phone,
        HAND_OVERS[row.hand_over],
        f"{formats.local(row.leaves_hands_at):%Y-%m-%d %H:%M}",
        goods_words(row, len(row.sold)),
        words.state(row),
        money_words(balance_of_row(row), formats),
        formats.table_amount(row.total_minor),
        formats.table_amount(row.due_minor),
    )
