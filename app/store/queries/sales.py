"""This module reads the quick sales of a day: orders that were handed over in the same moment in which they were
taken."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, or_, select
from sqlalchemy.orm import Session

from app.store.models import Order, OrderLine, Tap


@dataclass(frozen=True, slots=True)
class QuickSaleRow:
    """One quick sale."""

    number: int
    at: datetime
    who: str
    quantity: int
    title: str
    gas: str
    total_minor: int
    state: str

    @property
    def is_undone(self) -> bool:
        return self.state == "cancelled"


def not_quick_sale() -> ColumnElement[bool]:
    """Returns the condition that an order is not a quick sale."""
    return or_(Order.occasion != "now", Order.handed_over_at.is_distinct_from(Order.taken_at))


def _sales() -> Select[*tuple[Any, ...]]:
    """Returns the query of quick sales, with its columns in the order of QuickSaleRow; a sale has one line."""
    handed = and_(Tap.order_id == Order.id, Tap.act == "handed over", Tap.at == Order.taken_at)
    return (
        select(
            Order.number,
            Order.taken_at,
            Tap.who,
            OrderLine.quantity,
            OrderLine.title,
            OrderLine.gas,
            Order.total_minor,
            Order.state,
        )
        .join(OrderLine, OrderLine.order_id == Order.id)
        .join(Tap, handed)
        .where(Order.occasion == "now", Order.handed_over_at == Order.taken_at)
    )


def quick_sales_between(session: Session, start: datetime, end: datetime) -> list[QuickSaleRow]:
    """Returns the quick sales between two moments, including those that were undone, the latest first."""
    found = _sales().where(Order.handed_over_at >= start, Order.handed_over_at < end)
    return _read(session, found.order_by(Order.handed_over_at.desc(), Order.number.desc()))


def one_quick_sale(session: Session, number: int) -> QuickSaleRow | None:
    return next(iter(_read(session, _sales().where(Order.number == number))), None)


def _read(session: Session, found: Select[*tuple[Any, ...]]) -> list[QuickSaleRow]:
    return [QuickSaleRow(*row) for row in session.execute(found)]
