"""This module finds open orders whose time has passed, so that nothing is promised to them any more."""

from datetime import datetime

from sqlalchemy import ColumnElement, and_, exists, or_, select
from sqlalchemy.orm import Session

from app.quoting.request import ExtraSort
from app.quoting.states import OrderState
from app.store.models import Order, OrderBatch, OrderExtra, OrderLine
from app.store.types import Moment


def forgotten_orders(session: Session, since: datetime) -> list[int]:
    """Returns the numbers of open orders of which a batch or the supplies are left out because of that `since`."""
    unbegun = exists().where(
        *(
            OrderBatch.order_id == Order.id,
            OrderBatch.filled_at.is_(None),
            OrderBatch.quantity > 0,
            is_batch_forgotten(since),
        )
    )
    lines = exists().where(OrderLine.order_id == Order.id, OrderLine.design_id.is_not(None))
    extras = exists().where(OrderExtra.order_id == Order.id, OrderExtra.sort == ExtraSort.SUPPLY)
    left_out = or_(unbegun, and_(is_order_forgotten(since), or_(lines, extras)))
    found = select(Order.number).where(Order.state == OrderState.OPEN, Order.not_made_at.is_(None), left_out)
    return list(session.scalars(found.order_by(Order.number)))


def is_batch_forgotten(since: Moment) -> ColumnElement[bool]:
    """Returns the condition that a batch should have been ready by then and was not started."""
    return and_(OrderBatch.started_at.is_(None), OrderBatch.ready_by <= since)


def is_order_forgotten(since: Moment) -> ColumnElement[bool]:
    """Returns the condition that an order should have left by then."""
    return and_(Order.ready_by <= since, or_(Order.later_at.is_(None), Order.later_at <= since))
