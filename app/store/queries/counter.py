"""This module finds orders for the counter."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, or_, select
from sqlalchemy.orm import Session

from app.store.models import Order, Tap
from app.store.queries.phones import digits_run, holds_phone
from app.store.search_keys import digits_of, fold

MOST_FOUND = 50


@dataclass(frozen=True, slots=True)
class OrderListRow:
    """An order in a list of orders."""

    number: int
    customer: str
    phone: str
    ready_by: datetime
    state: str
    verdict: str
    total_minor: int


def find_orders(session: Session, text: str) -> list[OrderListRow]:
    """Returns the orders whose number, name or phone contains the text, the latest first."""
    text = " ".join(text.split())
    digits = digits_of(text)
    phone = Order.phone_digits
    places = [Order.customer_folded.contains(fold(text), autoescape=True)]
    if digits and not any(ch.isalpha() for ch in text):
        places.append(holds_phone(phone, text) if digits_run(text) else phone.contains(digits))
        places.append(Order.number == min(int(digits[:9]), 2**31 - 1))
    return _rows(session, _all().where(or_(*places)).order_by(Order.ready_by.desc()).limit(MOST_FOUND))


def order_numbered(session: Session, number: int) -> Order | None:
    """Returns the order with this number; None when there is none."""
    return session.scalar(select(Order).where(Order.number == number))


def coming_orders(session: Session, since: datetime) -> list[OrderListRow]:
    """Returns the open orders that leave from this moment on, the next one first."""
    return _rows(
        session,
        _all().where(Order.state == "open", Order.ready_by >= since).order_by(Order.ready_by).limit(MOST_FOUND),
    )


def _all() -> Select[*tuple[Any, ...]]:
    return select(
        Order.number,
        Order.customer,
        Order.phone,
        Order.ready_by,
        Order.state,
        Order.verdict,
        Order.total_minor,
    )


def _rows(session: Session, found: Select[*tuple[Any, ...]]) -> list[OrderListRow]:
    return [OrderListRow(*row) for row in session.execute(found)]


def order_taps(session: Session, order_id: int) -> list[Tap]:
    """Returns all taps of an order, including those that were undone, the oldest first."""
    return list(session.scalars(select(Tap).where(Tap.order_id == order_id).order_by(Tap.id)))
