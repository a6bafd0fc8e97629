"""This module reads how many set-ups were sold with an order."""

from typing import Any

from sqlalchemy import ScalarSelect, func, select

from app.quoting.request import ExtraSort
from app.store.models import Order, OrderExtra


def set_ups_sold() -> ScalarSelect[Any]:
    """Returns an SQL expression for the number of set-ups among the extras of an order; 0 if there is none."""
    mine = (OrderExtra.order_id == Order.id, OrderExtra.sort == ExtraSort.SET_UP)
    return select(func.coalesce(func.sum(OrderExtra.quantity), 0)).where(*mine).correlate(Order).scalar_subquery()
