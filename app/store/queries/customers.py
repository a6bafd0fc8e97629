"""This module finds out for the counter who is calling, and what they ordered before."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import ColumnElement, Select, and_, literal, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.quoting.request import HandOver
from app.quoting.states import OrderPart, OrderState
from app.store.models import Customer, CustomerPhone, Order, OrderLine
from app.store.queries.money import balance_due, balance_paid
from app.store.queries.progress import STATE_COLUMNS
from app.store.rows import RowReader
from app.store.search_keys import MIN_PHONE_DIGITS, PHONE_KEY_DIGITS, digits_of, fold_text, phone_key

MIN_SEARCH_LETTERS = 2
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
    found = _by_phone(text) if phone_search_digits(text) else _by_name(text)
    return [] if found is None else _rows(session, found, limit)


def find_callers(session: Session, name: str, phone: str, active_field: str) -> Callers:
    """Returns the customers who may be calling.

    First come those who match both name and phone, then those who match the field in which somebody is typing
    (active_field: 'customer' or 'phone'). If nobody matches that field, those who match the other one are returned.
    """
    by_name = _by_phone(name) if phone_search_digits(name) else _by_name(name)
    by_phone = _by_phone(phone) if phone_search_digits(phone) else None
    first, second = (by_phone, by_name) if active_field == "phone" else (by_name, by_phone)
    ids: list[int] = []
    if by_name is not None and by_phone is not None:
        ids += _numbers(session, by_name.where(phone_matches(Customer.phone_digits, phone)), MOST_CALLERS + 1)
    if first is not None and len(ids) <= MOST_CALLERS:
        ids += _numbers(session, first.where(Customer.id.not_in(ids)), MOST_CALLERS + 1 - len(ids))
    if second is not None and not ids:
        ids += _numbers(session, second, MOST_CALLERS + 1)
    return Callers(_shown(session, ids[:MOST_CALLERS]), len(ids) > MOST_CALLERS)


def _by_phone(text: str) -> Select[int]:
    return _unmerged_customers().where(phone_matches(Customer.phone_digits, text))


def _by_name(text: str) -> Select[int] | None:
    """Returns the query of customers by name; None when the text has too few letters for a search."""
    name = fold_text(" ".join(text.split()))
    if sum(letter.isalpha() for letter in name) < MIN_SEARCH_LETTERS:
        return None
    held = _unmerged_customers().where(Customer.name_folded.contains(name, autoescape=True))
    return held.order_by(Customer.name_folded.startswith(name, autoescape=True).desc())


def find_customer(session: Session, customer_id: int) -> CallerRow | None:
    """Returns the customer with this number; None when there is none, or when it was merged into another."""
    return next(iter(_rows(session, _unmerged_customers().where(Customer.id == customer_id), 1)), None)


def find_duplicates(session: Session, customer: Customer) -> list[CallerRow]:
    """Returns other customers with the same name or the same phone, who may be the same person."""
    alike = [Customer.name_folded == customer.name_folded]
    alike += [_has_phone(phone.shown) for phone in customer.phones]
    return _rows(session, _unmerged_customers().where(Customer.id != customer.id, or_(*alike)), MAX_DUPLICATES)


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


def _unmerged_customers() -> Select[int]:
    """Returns the query of the numbers of all customers that were not merged into others.

    It asks for numbers only, because the index then has all that is needed; the rows are read only for the
    customers who are shown.
    """
    return select(Customer.id).where(Customer.merged_into_id.is_(None))


def _rows(session: Session, found: Select[int], limit: int | None) -> list[CallerRow]:
    return _shown(session, _numbers(session, found, limit))


def _numbers(session: Session, found: Select[int], limit: int | None) -> Sequence[int]:
    ordered = found.order_by(Customer.last_order_at.desc().nulls_last(), Customer.id.desc())
    return session.scalars(ordered.limit(limit)).all()


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


MAX_COUNTRY_CODE_DIGITS = 3
"""Digits of a country's code, at most."""


def phone_search_digits(text: str) -> str:
    """Returns the digits by which a phone is searched, or '' when the text is no search for a phone.

    Of a whole number it leaves out the code of the country, because somebody else may have left it out too.
    """
    digits = "" if any(letter.isalpha() for letter in text) else digits_of(text)
    return digits[-PHONE_KEY_DIGITS:] if len(digits) >= MIN_PHONE_DIGITS else ""


def without_country_code(text: str) -> tuple[str, ...]:
    """Returns what may follow the code of the country in a text that begins with one, as in +44 or 0044."""
    digits = digits_of(text)
    if not phone_search_digits(text) or not (text.lstrip(" (").startswith("+") or digits.startswith("00")):
        return ()
    digits = digits.removeprefix("00")
    rests = (digits[code:] for code in range(MAX_COUNTRY_CODE_DIGITS + 1))
    return tuple(rest for rest in rests if len(rest) >= MIN_PHONE_DIGITS)


def phone_matches(digits: InstrumentedAttribute[str], text: str) -> ColumnElement[bool]:
    """Returns the condition that one of a customer's phones matches the text.

    digits: the column with all phones as digits, with spaces between them. A phone matches when the text's digits
    are in it. When the text begins with the code of a country, a phone that lacks that code, or has a 0 in its
    place, matches too.
    """
    held, rests, spaced = (
        digits.contains(phone_search_digits(text)),
        without_country_code(text),
        literal(" ") + digits,
    )
    if not rests:
        return held
    begins = [spaced.contains(f" {zero}{rest}") for rest in rests for zero in ("", "0")]
    return or_(
        held, and_(digits.contains(rests[-1]), or_(*begins))
    )  # the shortest rest rules most phones out cheaply


def phone_contains(text: str, shown: str) -> bool:
    """Returns whether a phone matches the text, by the same rule as `phone_matches`."""
    digits, run = digits_of(shown), phone_search_digits(text)
    begins = tuple(f"{zero}{rest}" for rest in without_country_code(text) for zero in ("", "0"))
    return bool(run) and (run in digits or digits.startswith(begins))
