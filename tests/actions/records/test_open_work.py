"""What the planner knows of an open order."""

from datetime import timedelta

import pytest

from app.actions.records.open_work import load_work
from app.actions.records.shop import load_roster
from app.quoting.request import HandOver
from tests.actions.builders import MORNING, at, ctx, order_request, take


@pytest.mark.parametrize(
    ("changes", "travel"),
    [
        ({}, timedelta()),
        (
            {
                "hand_over": HandOver.DELIVER,
                "arrives_at": at(14, 20),
                "travel_minutes": 20,
                "address": "1 Mill Lane",
            },
            timedelta(minutes=20),
        ),
    ],
    ids=["collected", "delivered"],
)
def test_what_is_delivered_is_wanted_earlier_by_its_travel_time(session, shop, catalogue, changes, travel):
    request = order_request(catalogue, ready_by=at(14), event_start=at(15), lasts_until=at(18), **changes)
    take(session, request)
    session.flush()
    (order,) = load_work(ctx(session, now=MORNING), load_roster(session, shop.opening), []).orders
    assert (order.latest_for_start, order.latest_for_end) == (at(15) - travel, at(18) - travel)
