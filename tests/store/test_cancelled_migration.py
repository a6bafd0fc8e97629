"""The migration that says why and when an order was cancelled: what was cancelled before gets its moment."""

import pytest
from sqlalchemy import text

from app.actions.orders.cancel import cancel_order
from app.actions.records.catalogue import load_catalogue
from app.actions.shop.new_shop import fill_new_shop
from app.store.migrate import downgrade, upgrade
from tests.actions.builders import BENCH_REASON, CALLED_OFF, at, ctx, order_request, take

BEFORE_REASONS = "b57c0e93d1f8"


@pytest.fixture
def older(store, store_url):
    """A shop with one open and one cancelled order, back in the form that knew no reason and no fee."""
    upgrade(store_url)
    with store.writing() as session:
        fill_new_shop(session)
        first, _ = (
            take(session, order_request(load_catalogue(session), bench_override=BENCH_REASON), key=key)
            for key in ("first", "second")
        )
        cancel_order(ctx(session, now=at(9, 30)), first.number, 1, CALLED_OFF)
    downgrade(store_url, BEFORE_REASONS)
    return store


def test_a_cancelled_order_gets_the_moment_of_its_history_and_no_fee(older, store_url):
    upgrade(store_url)
    with older.reading() as session:
        found = session.execute(
            text("SELECT number, cancelled_at, cancel_reason, cancel_fee_minor FROM orders ORDER BY number")
        )
        rows = [tuple(row) for row in found]
    assert rows == [(1001, int(at(9, 30).timestamp()), "", 0), (1002, None, "", 0)]
