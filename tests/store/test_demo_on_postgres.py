"""The demo with its year on PostgreSQL, where the ids of what is saved next must not be given once more."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select

import seed_demo
from app.actions.orders.quick_sale import make_quick_sale
from app.quoting.request import LineRequest
from app.serving import prepare_database
from app.store.models import HistoryEntry, Order, Tap
from tests.actions.builders import ctx
from tests.conftest import DEMO_NOON

pytestmark = pytest.mark.database
DAYS = 12


def test_orders_go_on_after_the_year(postgres_database):
    database = prepare_database(postgres_database)
    with database.writing() as session:
        filled = seed_demo.fill_shop(session, DEMO_NOON, DAYS)
    with database.writing() as session:
        assert session.scalar(select(func.count(Order.id))) == filled > 2 * len(seed_demo.DEMO_ORDERS)
        last = {table: session.scalar(select(func.max(table.id))) for table in (Order, Tap, HistoryEntry)}
        context = ctx(session, now=DEMO_NOON + timedelta(minutes=5))
        foil = next(one.id for one in context.catalogue.balloon_types.values() if one.name == "22 in foil")
        order = make_quick_sale(context, LineRequest(foil, None, 1, "gold"), "after the year")
        assert order.id > last[Order]
        assert session.scalar(select(func.min(Tap.id)).where(Tap.order_id == order.id)) > last[Tap]
    database.engine.dispose()
