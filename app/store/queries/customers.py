"""The counter finds who is calling, and what they ordered before."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import ColumnElement, Select, literal, or_, select
from sqlalchemy.orm import Session

from app.quoting.states import OrderState
from app.store.models import Customer, CustomerPhone, Order, OrderLine
from app.store.queries.phones import digits_run, holds_phone, is_held_in
from app.store.rows import RowReader
from app.store.search_keys import ALIKE_DIGITS, fold, phone_key

LEAST_LETTERS = 2
MOST_CALLERS = 8
MOST_DOUBLES = 20


@dataclass(frozen=True, slots=True)
class CallerRow:
    """phones: as they were given, the first one first."""

    id: int
    name: str
    last_order_at: datetime | None
    phones: tuple[str, ...]

    def phone_with(self, typed: str) -> str:
        """The phone that holds the digits typed, else the first."""
        return self.phone_of(typed) or "".join(self.phones[:1])

    def phone_of(self, typed: str) -> str:
        """Theirs that holds the digits typed, '' when none does."""
        return next((shown for shown in self.phones if is_held_in(typed, shown)), "")


@dataclass(frozen=True, slots=True)
class Callers:
    """more: whether there are others than those shown."""

    rows: Sequence[CallerRow] = ()
    more: bool = False


@dataclass(frozen=True, slots=True)
class PastOrder:
    number: int
    ready_by: datetime
    state: OrderState
    verdict: str
    total_minor: int
    lines: tuple[str, ...] = ()


PAST_ORDERS = RowReader(
    PastOrder,
    number=Order.number,
    ready_by=Order.ready_by,
    state=Order.state,
    verdict=Order.verdict,
    total_minor=Order.total_minor,
)


def find_customers(session: Session, text: str, limit: int | None = MOST_CALLERS) -> list[CallerRow]:
    """Whose phone holds the digits or name the text: names that begin with it first, then the latest order."""
    found = _by_phone(text) if digits_run(text) else _by_name(text)
    return [] if found is None else _rows(session, found, limit)


def find_callers(session: Session, name: str, phone: str, in_hand: str) -> Callers:
    """Who may be calling: those who have both the name and the phone first, then those who have what stands in the
    field in hand, 'customer' or 'phone'; where there are none, those who have what stands in the other."""
    by_name = _by_phone(name) if digits_run(name) else _by_name(name)
    by_phone = _by_phone(phone) if digits_run(phone) else None
    first, second = (by_phone, by_name) if in_hand == "phone" else (by_name, by_phone)
    ids: list[int] = []
    if by_name is not None and by_phone is not None:
        ids += _numbers(session, by_name.where(holds_phone(Customer.phone_digits, phone)), MOST_CALLERS + 1)
    if first is not None and len(ids) <= MOST_CALLERS:
        ids += _numbers(session, first.where(Customer.id.not_in(ids)), MOST_CALLERS + 1 - len(ids))
    if second is not None and not ids:
        ids += _numbers(session, second, MOST_CALLERS + 1)
    return Callers(_shown(session, ids[:MOST_CALLERS]), len(ids) > MOST_CALLERS)


def _by_phone(text: str) -> Select[int]:
    return _living().where(holds_phone(Customer.phone_digits, text))


def _by_name(text: str) -> Select[int] | None:
    """None for too few letters to be sought."""
    name = fold(" ".join(text.split()))
    if sum(letter.isalpha() for letter in name) < LEAST_LETTERS:
        return None
    held = _living().where(Customer.name_folded.contains(name, autoescape=True))
    return held.order_by(Customer.name_folded.startswith(name, autoescape=True).desc())


def caller(session: Session, customer_id: int) -> CallerRow | None:
    """None when there is no such customer, or no longer."""
    return next(iter(_rows(session, _living().where(Customer.id == customer_id), 1)), None)


def doubles_of(session: Session, customer: Customer) -> list[CallerRow]:
    """Other customers with the same name or the same phone, who may be the same person."""
    alike = [Customer.name_folded == customer.name_folded]
    alike += [_has_phone(phone.shown) for phone in customer.phones]
    return _rows(session, _living().where(Customer.id != customer.id, or_(*alike)), MOST_DOUBLES)


def _has_phone(shown: str) -> ColumnElement[bool]:
    """Whether one of the phones is alike: they stand between spaces, and of long ones only the last nine count."""
    key = phone_key(shown)
    before = "" if len(key) == ALIKE_DIGITS else " "
    return (literal(" ") + Customer.phone_digits + " ").contains(f"{before}{key} ")


def past_orders(session: Session, customer_id: int, limit: int | None = None) -> list[PastOrder]:
    """The latest first, with their lines in words."""
    rows = session.execute(
        PAST_ORDERS.select(Order.id)
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
    treated, later = ", treated" if line.treated else "", ", later part" if line.later else ""
    return f"{line.quantity} × {line.title}{colours}{air}{treated}{later}"


def _living() -> Select[int]:
    """Numbers alone: the index has all that is asked about, and the rows are read of those who are shown."""
    return select(Customer.id).where(Customer.merged_into_id.is_(None))


def _rows(session: Session, found: Select[int], limit: int | None) -> list[CallerRow]:
    return _shown(session, _numbers(session, found, limit))


def _numbers(session: Session, found: Select[int], limit: int | None) -> Sequence[int]:
    ordered = found.order_by(Customer.last_order_at.desc().nulls_last(), Customer.id.desc())
    return session.scalars(ordered.limit(limit)).all()


def _shown(session: Session, ids: Sequence[int]) -> list[CallerRow]:
    people: dict[int, CallerRow] = {}
    phones: dict[int, list[str]] = {one: [] for one in ids}
    for number, name, last, shown in session.execute(_with_phones(ids)):
        people[number] = CallerRow(id=number, name=name, last_order_at=last, phones=())
        phones[number] += [shown] if shown else []
    return [replace(people[one], phones=tuple(phones[one])) for one in ids]


def _with_phones(ids: Sequence[int]) -> Select[int, str, datetime | None, str | None]:
    return (
        select(Customer.id, Customer.name, Customer.last_order_at, CustomerPhone.shown)
        .outerjoin(CustomerPhone, CustomerPhone.customer_id == Customer.id)
        .where(Customer.id.in_(ids))
        .order_by(CustomerPhone.id)
    )
