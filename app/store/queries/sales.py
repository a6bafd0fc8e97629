"""This module reads the quick sales of a day: orders that were handed over in the same moment in which they were
taken."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, or_
from sqlalchemy.orm import Session

from app.quoting.request import Occasion
from app.quoting.states import HandOverStep, OrderState
from app.store.models import Order, OrderLine, Tap
from app.store.rows import RowReader


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
    state: OrderState

    @property
    def is_undone(self) -> bool:
        return self.state == OrderState.CANCELLED


def is_quick_sale() -> ColumnElement[bool]:
    """Returns the condition that an order is a quick sale."""
    return and_(Order.occasion == Occasion.NOW, Order.handed_over_at == Order.taken_at)


def not_quick_sale() -> ColumnElement[bool]:
    """Returns the condition that an order is not a quick sale."""
    return or_(Order.occasion != Occasion.NOW, Order.handed_over_at.is_distinct_from(Order.taken_at))


QUICK_SALES = RowReader(
    QuickSaleRow,
    number=Order.number,
    at=Order.taken_at,
    who=Tap.who,
    quantity=OrderLine.quantity,
    title=OrderLine.title,
    gas=OrderLine.gas,
    total_minor=Order.total_minor,
    state=Order.state,
)


def _sales() -> Select[*tuple[Any, ...]]:
    """Returns the query of quick sales, with its columns in the order of QuickSaleRow; a sale has one line."""
    handed = and_(Tap.order_id == Order.id, Tap.act == HandOverStep.HANDED_OVER, Tap.at == Order.taken_at)
    return (
        QUICK_SALES.select()
        .join(OrderLine, OrderLine.order_id == Order.id)
        .join(Tap, handed)
        .where(is_quick_sale())
    )


def quick_sales_between(session: Session, start: datetime, end: datetime) -> list[QuickSaleRow]:
    """Returns the quick sales between two moments, including those that were undone, the latest first."""
    found = _sales().where(Order.handed_over_at >= start, Order.handed_over_at < end)
    return _read(session, found.order_by(Order.handed_over_at.desc(), Order.number.desc()))


def one_quick_sale(session: Session, number: int) -> QuickSaleRow | None:
    return next(iter(_read(session, _sales().where(Order.number == number))), None)


def _read(session: Session, found: Select[*tuple[Any, ...]]) -> list[QuickSaleRow]:
    return QUICK_SALES.read(session, found)
