"""This module reads what leaves the shop on coming days, and which rental items are out."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import and_, func, or_
from sqlalchemy.orm import Session

from app.quoting.request import HandOver
from app.quoting.states import OrderState
from app.store.models import Order, Rental
from app.store.queries.by_index import is_any_of, is_unreturned
from app.store.queries.rentals import returned_pieces
from app.store.queries.sales import not_quick_sale
from app.store.rows import RowReader
from app.store.types import UtcSeconds


@dataclass(frozen=True, slots=True)
class LeavingRow:
    """An order that leaves the shop. later_at: when its later part does; None if it has none."""

    ready_by: datetime
    later_at: datetime | None
    hand_over: HandOver


LEAVING = RowReader(LeavingRow, ready_by=Order.ready_by, later_at=Order.later_at, hand_over=Order.hand_over)


def orders_leaving(session: Session, start: datetime, end: datetime) -> list[LeavingRow]:
    """Returns the orders of which a part leaves between two moments; neither cancelled ones nor quick sales."""
    leaves = (and_(at >= start, at < end) for at in (Order.ready_by, Order.later_at))
    wanted = (is_any_of(*leaves), Order.state != OrderState.CANCELLED, not_quick_sale())
    return LEAVING.read(session, LEAVING.select().where(*wanted))


@dataclass(frozen=True, slots=True)
class RentalSpan:
    """Rental items of one sort, of one order, that are not back. due: when they should be; None if no time was
    agreed. is_gone: whether the order was handed over."""

    out_from: datetime
    due: datetime | None
    pieces: int
    is_gone: bool


RENTAL_SPANS = RowReader(
    RentalSpan,
    out_from=Order.ready_by,
    due=func.coalesce(Order.take_down_at, Order.return_by, type_=UtcSeconds()),
    pieces=Rental.quantity - returned_pieces(),
    is_gone=Order.state == OrderState.HANDED_OVER,
)


def rentals_until(session: Session, end: datetime) -> list[RentalSpan]:
    """Returns the rental items that are not back, of orders that left or that leave before this moment."""
    coming = and_(Order.state == OrderState.OPEN, Order.ready_by < end)
    found = RENTAL_SPANS.select().select_from(Order).join(Rental, Rental.order_id == Order.id)
    found = found.where(is_unreturned(), or_(Order.state == OrderState.HANDED_OVER, coming))
    return RENTAL_SPANS.read(session, found.where(Rental.quantity > returned_pieces()))
