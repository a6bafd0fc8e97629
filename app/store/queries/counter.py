"""This module finds orders for the counter."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from app.quoting.states import OrderState
from app.store.models import Order, Tap
from app.store.queries.customers import phone_matches, phone_search_digits
from app.store.queries.money import balance_due, balance_paid
from app.store.rows import RowReader
from app.store.search_keys import digits_of, fold_text

MOST_FOUND = 50


@dataclass(frozen=True, slots=True)
class OrderListRow:
    """An order in a list of orders."""

    number: int
    customer: str
    phone: str
    ready_by: datetime
    state: OrderState
    verdict: str
    total_minor: int
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int
    not_made_at: datetime | None


ORDER_LIST = RowReader(
    OrderListRow,
    number=Order.number,
    customer=Order.customer,
    phone=Order.phone,
    ready_by=Order.ready_by,
    state=Order.state,
    verdict=Order.verdict,
    total_minor=Order.total_minor,
    due_minor=balance_due(),
    paid_minor=balance_paid(),
    cancel_fee_minor=Order.cancel_fee_minor,
    not_made_at=Order.not_made_at,
)


def find_orders(session: Session, text: str) -> list[OrderListRow]:
    """Returns the orders whose number, name or phone contains the text, the latest first."""
    text = " ".join(text.split())
    digits = digits_of(text)
    phone = Order.phone_digits
    places = [Order.customer_folded.contains(fold_text(text), autoescape=True)]
    if digits and not any(ch.isalpha() for ch in text):
        places.append(phone_matches(phone, text) if phone_search_digits(text) else phone.contains(digits))
        places.append(Order.number == min(int(digits[:9]), 2**31 - 1))
    return ORDER_LIST.read(
        session, ORDER_LIST.select().where(or_(*places)).order_by(Order.ready_by.desc()).limit(MOST_FOUND)
    )


def find_order(session: Session, number: int) -> Order | None:
    """Returns the order with this number; None when there is none."""
    return session.scalar(select(Order).where(Order.number == number))


def coming_orders(session: Session, since: datetime) -> list[OrderListRow]:
    """Returns the open orders that leave from this moment on, the next one first."""
    return ORDER_LIST.read(
        session,
        ORDER_LIST.select()
        .where(Order.state == OrderState.OPEN, Order.ready_by >= since)
        .order_by(Order.ready_by)
        .limit(MOST_FOUND),
    )


def order_taps(session: Session, order_id: int) -> list[Tap]:
    """Returns all taps of an order, including those that were undone, the oldest first."""
    return list(session.scalars(select(Tap).where(Tap.order_id == order_id).order_by(Tap.id)))
