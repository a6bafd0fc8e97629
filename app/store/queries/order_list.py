"""This module lists and searches orders for the counter, a page at a time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, and_, false, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import OrderState, Progress
from app.store.models import Order, OrderBatch, OrderLine
from app.store.queries.by_index import is_unpaid
from app.store.queries.counted import Counted, is_counted
from app.store.queries.money import balance_due, balance_paid
from app.store.queries.phones import phone_matches, phone_search_digits
from app.store.queries.progress import STATE_COLUMNS, has_progress, is_ready
from app.store.queries.set_ups import set_ups_sold
from app.store.rows import RowReader
from app.store.search_keys import digits_of, fold_text

LARGEST_NUMBER = 2**31 - 1


@dataclass(frozen=True, slots=True)
class OrderSearch:
    """Which orders are listed; what is left out does not count.

    text: part of a name or a phone, or a whole number. title: part of what a line was sold as. design_ids and
    balloon_type_ids: what is called like that today. start, end: they leave the shop from one moment until before
    another. unpaid: something is still to pay. unready: they are open, and not all parts are ready. open_only:
    neither handed over nor cancelled. earliest_first: the order of the list; else the latest comes first. counted:
    only what the review counts between these moments.
    """

    text: str = ""
    title: str = ""
    design_ids: frozenset[int] = frozenset()
    balloon_type_ids: frozenset[int] = frozenset()
    start: datetime | None = None
    end: datetime | None = None
    progress: Progress | None = None
    unpaid: bool = False
    unready: bool = False
    open_only: bool = False
    earliest_first: bool = False
    counted: Counted | None = None


@dataclass(frozen=True, slots=True)
class OrderListRow:
    """An order in a list of orders. From state to parts_gone: see `STATE_COLUMNS`. sold: how many of what, by
    line. colours: of its balloons, the most frequent first."""

    id: int
    number: int
    customer: str
    phone: str
    hand_over: HandOver
    ready_by: datetime
    arrives_at: datetime | None
    later_at: datetime | None
    lasts_until: datetime | None
    travel_minutes: int
    set_ups: int
    verdict: str
    state: OrderState
    not_made_at: datetime | None
    wanted: int
    filled: int
    started: bool
    parts: int
    parts_ready: int
    parts_gone: int
    total_minor: int
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int
    sold: tuple[tuple[int, str], ...] = ()
    colours: tuple[str, ...] = ()

    @property
    def leaves_hands_at(self) -> datetime:
        """When the customer gets it: when it is collected or delivered, or when the crew arrives that fills it at
        the venue or sets it up before the event."""
        if self.arrives_at is None:
            return self.ready_by
        arrival = self.ready_by + timedelta(minutes=self.travel_minutes)
        if self.hand_over == HandOver.VENUE:
            return arrival
        return min(arrival, self.arrives_at) if self.set_ups else self.arrives_at


ORDER_LIST = RowReader(
    OrderListRow,
    id=Order.id,
    number=Order.number,
    customer=Order.customer,
    phone=Order.phone,
    hand_over=Order.hand_over,
    ready_by=Order.ready_by,
    arrives_at=Order.arrives_at,
    later_at=Order.later_at,
    lasts_until=Order.lasts_until,
    travel_minutes=Order.travel_minutes,
    set_ups=set_ups_sold(),
    verdict=Order.verdict,
    **STATE_COLUMNS,
    total_minor=Order.total_minor,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
)
Place = tuple[datetime, int]
"""Where an order stands in the list: its ready-by and its id."""


def search_orders(
    session: Session, search: OrderSearch, most: int, skip: int = 0, after: Place | None = None
) -> list[OrderListRow]:
    """Returns at most so many of the orders that were searched for. skip: how many of the first are left out.
    after: the place of the last one that is known; only those after it are returned.

    The ids are found first, so that states and money are calculated for the rows that are returned only.
    """
    conditions = list(_conditions(search))
    if after:
        conditions.append(_is_after(after, earliest_first=search.earliest_first))
    by_time = (Order.ready_by, Order.id) if search.earliest_first else (Order.ready_by.desc(), Order.id.desc())
    ids = session.scalars(select(Order.id).where(*conditions).order_by(*by_time).limit(most).offset(skip)).all()
    if not ids:
        return []
    rows = ORDER_LIST.read(session, ORDER_LIST.select().where(Order.id.in_(ids)).order_by(*by_time))
    return _with_goods(session, rows)


def place_of(row: OrderListRow) -> Place:
    """Returns where an order stands in the list."""
    return row.ready_by, row.id


def number_of_order(session: Session, text: str) -> int | None:
    """Returns the text as the number of an order; None if it is no number, or if no order has it."""
    plain = text.strip().removeprefix("#")
    if not plain.isascii() or not plain.isdecimal() or len(plain) > len(str(LARGEST_NUMBER)):
        return None
    number = int(plain)
    if number > LARGEST_NUMBER:
        return None
    return session.scalar(select(Order.number).where(Order.number == number))


def _conditions(search: OrderSearch) -> Iterator[ColumnElement[bool]]:
    if search.text:
        yield _has_text(search.text)
    if search.title:
        yield _has_goods(search)
    if search.counted and search.start and search.end:
        yield is_counted(search.counted, search.start, search.end)
    elif search.start:
        yield Order.ready_by >= search.start
    if search.end and not search.counted:
        yield Order.ready_by < search.end
    if search.progress:
        yield has_progress(search.progress)
    if search.unready:
        yield and_(Order.state == OrderState.OPEN, Order.not_made_at.is_(None), ~is_ready())
    if search.open_only:
        yield Order.state == OrderState.OPEN
    if search.unpaid:
        yield is_unpaid()


def _has_text(text: str) -> ColumnElement[bool]:
    """Returns the condition that the number, the name or the phone of an order has this text."""
    text = " ".join(text.split())
    digits, phone = digits_of(text), Order.phone_digits
    places = [Order.customer_folded.contains(fold_text(text), autoescape=True)]
    if digits and not any(letter.isalpha() for letter in text):
        places.append(phone_matches(phone, text) if phone_search_digits(text) else phone.contains(digits))
        places.append(Order.number == min(int(digits[:9]), LARGEST_NUMBER))
    return or_(*places)


def _has_goods(search: OrderSearch) -> ColumnElement[bool]:
    """Returns the condition that a line of an order was sold under this title, or is what is called so today."""
    called = OrderLine.title.icontains(search.title, autoescape=True)
    design = OrderLine.design_id.in_(search.design_ids) if search.design_ids else false()
    single = OrderLine.balloon_type_id.in_(search.balloon_type_ids) if search.balloon_type_ids else false()
    lines = select(OrderLine.id).where(OrderLine.order_id == Order.id, or_(called, design, single))
    return lines.correlate(Order).exists()


def _is_after(place: Place, *, earliest_first: bool) -> ColumnElement[bool]:
    at, order_id = place
    if earliest_first:
        return or_(Order.ready_by > at, and_(Order.ready_by == at, Order.id > order_id))
    return or_(Order.ready_by < at, and_(Order.ready_by == at, Order.id < order_id))


def _with_goods(session: Session, rows: Sequence[OrderListRow]) -> list[OrderListRow]:
    """Returns the rows with what was sold, and with the colours of the balloons."""
    ids = [row.id for row in rows]
    sold: dict[int, list[tuple[int, str]]] = {order_id: [] for order_id in ids}
    lines = select(OrderLine.order_id, OrderLine.quantity, OrderLine.title).where(OrderLine.order_id.in_(ids))
    for order_id, quantity, title in session.execute(lines.order_by(OrderLine.order_id, OrderLine.position)):
        sold[order_id].append((quantity, title))
    counts: dict[int, dict[str, int]] = {order_id: {} for order_id in ids}
    for order_id, colours in session.execute(
        select(OrderBatch.order_id, OrderBatch.colours).where(OrderBatch.order_id.in_(ids)).order_by(OrderBatch.id)
    ):
        for name, count in colours:
            counts[order_id][name] = counts[order_id].get(name, 0) + count
    return [replace(row, sold=tuple(sold[row.id]), colours=tuple(_by_count(counts[row.id]))) for row in rows]


def _by_count(counts: dict[str, int]) -> list[str]:
    return sorted(filter(None, counts), key=lambda name: -counts[name])
