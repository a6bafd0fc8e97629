"""This module finds out for the counter who is calling, and what they ordered before."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import ColumnElement, Select, literal, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import OrderPart, OrderState
from app.store.models import Customer, CustomerPhone, Order, OrderLine
from app.store.queries.find_numbers import by_name, by_phone, load_numbers, no_conditions, unmerged_customers
from app.store.queries.money import balance_due, balance_paid
from app.store.queries.phones import phone_contains, phone_matches, phone_search_digits
from app.store.queries.progress import STATE_COLUMNS
from app.store.rows import RowReader
from app.store.search_keys import PHONE_KEY_DIGITS, phone_key

MOST_CALLERS = 8
MAX_DUPLICATES = 20


@dataclass(frozen=True, slots=True)
class CallerRow:
    """A customer who may be calling. phones: as they were typed, the first one first."""

    id: int
    name: str
    last_order_at: datetime | None
    latex_allergy: bool
    phones: tuple[str, ...]

    def phone_with(self, typed: str) -> str:
        """Returns the phone that contains the digits typed, or else the first one."""
        return self.phone_of(typed) or "".join(self.phones[:1])

    def phone_of(self, typed: str) -> str:
        """Returns the phone that contains the digits typed, or '' when none does."""
        return next((shown for shown in self.phones if phone_contains(typed, shown)), "")


@dataclass(frozen=True, slots=True)
class Callers:
    """Customers who may be calling. more: whether there are others than these."""

    rows: Sequence[CallerRow] = ()
    more: bool = False


@dataclass(frozen=True, slots=True)
class PastOrder:
    """An earlier order of a customer. From state to parts_gone: see `STATE_COLUMNS`."""

    id: int
    number: int
    hand_over: HandOver
    ready_by: datetime
    later_at: datetime | None
    arrives_at: datetime | None
    travel_minutes: int
    lasts_until: datetime | None
    state: OrderState
    not_made_at: datetime | None
    wanted: int
    filled: int
    started: bool
    parts: int
    parts_ready: int
    parts_gone: int
    verdict: str
    total_minor: int
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int
    lines: tuple[str, ...] = ()


PAST_ORDERS = RowReader(
    PastOrder,
    id=Order.id,
    number=Order.number,
    hand_over=Order.hand_over,
    ready_by=Order.ready_by,
    later_at=Order.later_at,
    arrives_at=Order.arrives_at,
    travel_minutes=Order.travel_minutes,
    lasts_until=Order.lasts_until,
    **STATE_COLUMNS,
    verdict=Order.verdict,
    total_minor=Order.total_minor,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
)


def find_customers(session: Session, text: str, limit: int | None = MOST_CALLERS) -> list[CallerRow]:
    """Returns the customers whose phone contains the digits of the text, or whose name contains the text.

    Names that begin with the text come first, then whoever ordered last.
    """
    found = by_phone(text) if phone_search_digits(text) else by_name(text)
    return [] if found is None else _shown(session, found(session, limit, no_conditions))


def find_callers(session: Session, name: str, phone: str, active_field: str) -> Callers:
    """Returns the customers who may be calling.

    First come those who match both name and phone, then those who match the field in which somebody is typing
    (active_field: 'customer' or 'phone'). If nobody matches that field, those who match the other one are returned.
    """
    named = by_phone(name) if phone_search_digits(name) else by_name(name)
    reached = by_phone(phone) if phone_search_digits(phone) else None
    first, second = (reached, named) if active_field == "phone" else (named, reached)
    ids: list[int] = []
    if named is not None and reached is not None:
        ids += named(session, MOST_CALLERS + 1, lambda customers: [phone_matches(customers.phone_digits, phone)])
    if first is not None and len(ids) <= MOST_CALLERS:
        known = tuple(ids)
        others = (lambda customers: [customers.id.not_in(known)]) if known else no_conditions
        ids += first(session, MOST_CALLERS + 1 - len(known), others)
    if second is not None and not ids:
        ids += second(session, MOST_CALLERS + 1, no_conditions)
    return Callers(_shown(session, ids[:MOST_CALLERS]), len(ids) > MOST_CALLERS)


def find_customer(session: Session, customer_id: int) -> CallerRow | None:
    """Returns the customer with this number; None when there is none, or when it was merged into another."""
    return next(iter(_rows(session, unmerged_customers().where(Customer.id == customer_id), 1)), None)


def find_duplicates(session: Session, customer: Customer) -> list[CallerRow]:
    """Returns other customers with the same name or the same phone, who may be the same person."""
    alike = [Customer.name_folded == customer.name_folded]
    alike += [_has_phone(phone.shown) for phone in customer.phones]
    return _rows(session, unmerged_customers().where(Customer.id != customer.id, or_(*alike)), MAX_DUPLICATES)


def _has_phone(shown: str) -> ColumnElement[bool]:
    """Returns the condition that one of a customer's phones has the same digits.

    Phones are stored with spaces between them; of long ones, only the last nine digits count.
    """
    key = phone_key(shown)
    before = "" if len(key) == PHONE_KEY_DIGITS else " "
    return (literal(" ") + Customer.phone_digits + " ").contains(f"{before}{key} ")


def past_orders(session: Session, customer_id: int, limit: int | None = None) -> list[PastOrder]:
    """Returns the orders of a customer, the latest first, each with its lines in words."""
    rows = session.execute(
        PAST_ORDERS.select()
        .where(Order.customer_id == customer_id)
        .order_by(Order.ready_by.desc(), Order.id.desc())
        .limit(limit)
    ).all()
    lines: dict[int, list[str]] = {row.id: [] for row in rows}
    sold = select(OrderLine).where(OrderLine.order_id.in_(lines)).order_by(OrderLine.order_id, OrderLine.position)
    for line in session.scalars(sold):
        lines[line.order_id].append(_in_words(line))
    return [PAST_ORDERS.build(row, lines=tuple(lines[row.id])) for row in rows]


def _in_words(line: OrderLine) -> str:
    colours = f", {line.colours}" if line.colours else ""
    air = ", air" if line.gas == "air" else ""
    treated, later = ", treated" if line.treated else "", ", later part" if line.part is OrderPart.LATER else ""
    hung = f", {line.hung_g:g} g on each" if line.hung_g else ""
    return f"{line.quantity} × {line.title}{colours}{air}{treated}{hung}{later}"


def _rows(session: Session, found: Select[int], limit: int | None) -> list[CallerRow]:
    return _shown(session, load_numbers(session, found, limit))


def _shown(session: Session, ids: Sequence[int]) -> list[CallerRow]:
    people: dict[int, CallerRow] = {}
    phones: dict[int, list[str]] = {one: [] for one in ids}
    for number, name, last, allergy, shown in session.execute(_with_phones(ids)):
        people[number] = CallerRow(number, name, last, latex_allergy=allergy, phones=())
        phones[number] += [shown] if shown else []
    return [replace(people[one], phones=tuple(phones[one])) for one in ids]


def _with_phones(ids: Sequence[int]) -> Select[int, str, datetime | None, bool, str | None]:
    return (
        select(Customer.id, Customer.name, Customer.last_order_at, Customer.latex_allergy, CustomerPhone.shown)
        .outerjoin(CustomerPhone, CustomerPhone.customer_id == Customer.id)
        .where(Customer.id.in_(ids))
        .order_by(CustomerPhone.id)
    )
