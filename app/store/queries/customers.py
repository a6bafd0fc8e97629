"""The counter finds who is calling, and what they ordered before."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Select, literal, or_, select
from sqlalchemy.orm import Session

from app.store.models import Customer, CustomerPhone, Order, OrderLine
from app.store.searched import ALIKE_DIGITS, digits_of, fold, phone_key

LEAST_DIGITS = 3
LEAST_LETTERS = 2
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
        run = digits_run(typed)
        return next((shown for shown in self.phones if run and run in digits_of(shown)), "".join(self.phones[:1]))


@dataclass(frozen=True, slots=True)
class PastOrder:
    number: int
    ready_by: datetime
    state: str
    verdict: str
    total_minor: int
    lines: tuple[str, ...]


def digits_run(text: str) -> str:
    """The digits by which a phone is sought, '' when the text seeks none. Of a whole number the country's code
    is left aside, as somebody else may have left it out."""
    digits = "" if any(letter.isalpha() for letter in text) else digits_of(text)
    return digits[-ALIKE_DIGITS:] if len(digits) >= LEAST_DIGITS else ""


def find_customers(session: Session, text: str, limit: int | None = 8) -> list[CallerRow]:
    """Whose phone holds the digits or name the text: names that begin with it first, then the latest order."""
    run, name = digits_run(text), fold(" ".join(text.split()))
    if run:
        return _rows(session, _living().where(Customer.phone_digits.contains(run)), limit)
    if sum(letter.isalpha() for letter in name) < LEAST_LETTERS:
        return []
    held = _living().where(Customer.name_folded.contains(name, autoescape=True))
    return _rows(session, held.order_by(Customer.name_folded.startswith(name, autoescape=True).desc()), limit)


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
        select(Order.id, Order.number, Order.ready_by, Order.state, Order.verdict, Order.total_minor)
        .where(Order.customer_id == customer_id)
        .order_by(Order.ready_by.desc(), Order.id.desc())
        .limit(limit)
    ).all()
    lines: dict[int, list[str]] = {row.id: [] for row in rows}
    sold = select(OrderLine).where(OrderLine.order_id.in_(lines)).order_by(OrderLine.order_id, OrderLine.position)
    for line in session.scalars(sold):
        lines[line.order_id].append(_in_words(line))
    return [PastOrder(*row[1:], tuple(lines[row.id])) for row in rows]


def _in_words(line: OrderLine) -> str:
    colours = f", {line.colours}" if line.colours else ""
    return f"{line.quantity} × {line.title}{colours}{', treated' if line.treated else ''}"


def _living() -> Select[int]:
    """Numbers alone: the index has all that is asked about, and the rows are read of those who are shown."""
    return select(Customer.id).where(Customer.merged_into_id.is_(None))


def _rows(session: Session, found: Select[int], limit: int | None) -> list[CallerRow]:
    ordered = found.order_by(Customer.last_order_at.desc().nulls_last(), Customer.id.desc())
    ids = session.scalars(ordered.limit(limit)).all()
    people: dict[int, tuple[str, datetime | None]] = {}
    phones: dict[int, list[str]] = {one: [] for one in ids}
    for number, name, last, shown in session.execute(_with_phones(ids)):
        people[number] = (name, last)
        phones[number] += [shown] if shown else []
    return [CallerRow(one, *people[one], tuple(phones[one])) for one in ids]


def _with_phones(ids: Sequence[int]) -> Select[int, str, datetime | None, str | None]:
    return (
        select(Customer.id, Customer.name, Customer.last_order_at, CustomerPhone.shown)
        .outerjoin(CustomerPhone, CustomerPhone.customer_id == Customer.id)
        .where(Customer.id.in_(ids))
        .order_by(CustomerPhone.id)
    )
