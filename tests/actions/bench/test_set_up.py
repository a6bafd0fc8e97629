"""A delivery that was sold with set-up takes its crew away from the bench: there, setting up, and back."""

import pytest

from app.actions.orders.cancel import cancel_order
from app.actions.records.open_work import load_work
from app.actions.records.shop import load_roster, load_shop
from app.actions.shop.office import change_settings
from app.planning.schedule import Absence
from app.quoting.journey import SetUpTrip, set_up_trip
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from tests.actions.builders import CALLED_OFF, FULL_BY_NOON, MORNING, USUAL_TRIP, at, ctx, order_request, take

SET_UP = (ExtraRequest(ExtraSort.SET_UP, 1),)
DELIVERED = FULL_BY_NOON | {
    "hand_over": HandOver.DELIVER,
    "arrives_at": at(12, 25),
    "travel_minutes": 25,
    "address": "The Corn Hall, 1 High Street",
    "extras": SET_UP,
}
"""Leaves at noon and arrives at 12:25."""


def _away(session, now=MORNING, excluding_order=None):
    session.flush()
    shop = load_shop(session)
    roster = load_roster(session, shop.opening)
    return load_work(ctx(session, shop=shop, now=now), roster, [now], excluding_order=excluding_order).absences


def test_its_crew_is_away_for_the_way_the_set_up_and_the_way_back(session, catalogue):
    """12:00 to 12:25, 20 minutes of set-up, and 25 minutes back; the shop's crew is two and takes no gas."""
    order = take(session, order_request(catalogue, **DELIVERED))
    assert _away(session) == (Absence(at(12), at(13, 10), 2, {}),)
    assert _away(session, excluding_order=order.number) == ()


def test_the_shop_says_how_long_it_takes_and_how_many_go(session, catalogue):
    take(session, order_request(catalogue, **DELIVERED))
    change_settings(session, {"set_up_minutes": 45, "crew": 3})
    assert _away(session) == (Absence(at(12), at(13, 35), 3, {}),)


@pytest.mark.parametrize("changes", [{"extras": ()}, {"hand_over": HandOver.COLLECT, "arrives_at": None}])
def test_nobody_leaves_without_set_up_or_without_a_delivery(session, catalogue, changes):
    request = order_request(catalogue, **(DELIVERED | changes))
    take(session, request)
    assert (_away(session), set_up_trip(request, USUAL_TRIP)) == ((), None)


def test_nobody_leaves_for_a_cancelled_order(session, catalogue):
    order = take(session, order_request(catalogue, **DELIVERED))
    cancel_order(ctx(session, now=at(7)), order.number, order.version, CALLED_OFF)
    assert _away(session) == ()


def test_the_trip_of_a_request_is_the_one_that_is_saved(catalogue):
    trip = set_up_trip(order_request(catalogue, **DELIVERED), USUAL_TRIP)
    assert trip == SetUpTrip(at(12), at(12, 45), at(13, 10), 2)


def test_the_crew_leaves_earlier_where_the_event_would_start_before_all_is_set_up():
    trip = SetUpTrip(at(12), at(12, 45), at(13, 10), 2)
    leaves = [trip.leaves_by(event_start) for event_start in (None, at(15), at(12, 45), at(12, 30))]
    assert leaves == [at(12), at(12), at(12), at(11, 45)]
