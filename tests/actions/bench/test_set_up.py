"""A delivery that was sold with set-up takes its crew away from the bench: there, setting up, and back."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.actions.orders.cancel import cancel_order
from app.actions.records.history import history_of
from app.actions.records.open_work import load_work
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.shop import load_roster, load_shop
from app.actions.shop.office import change_settings, replan_open_orders
from app.planning.schedule import Absence
from app.quoting.journey import SetUpTrip, set_up_trip, set_up_trip_of
from app.quoting.quote import make_quote, quote_if_waiting
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from app.store.queries.order_batches import one_batch
from tests.actions.builders import (
    CALLED_OFF,
    FULL_BY_NOON,
    MORNING,
    USUAL_TRIP,
    at,
    change,
    ctx,
    order_request,
    take,
)

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
    assert trip == SetUpTrip(at(12), at(12, 25), at(12, 45), at(13, 10), 2)


def test_two_set_ups_take_their_crew_twice_as_long(session, catalogue):
    extras = (*SET_UP, ExtraRequest(ExtraSort.SET_UP, 2))
    request = order_request(catalogue, **(DELIVERED | {"extras": extras}))
    take(session, request)
    assert _away(session) == (Absence(at(12), at(13, 50), 2, {}),)
    assert set_up_trip(request, USUAL_TRIP).done_at == at(13, 25)


def test_the_crew_leaves_earlier_where_the_event_would_start_before_all_is_set_up():
    trips = [
        set_up_trip_of(at(12, 25), event_start, 25, 1, USUAL_TRIP)
        for event_start in (None, at(15), at(12, 45), at(12, 30))
    ]
    assert [trip.leaves_at for trip in trips] == [at(12), at(12), at(12), at(11, 45)]
    assert trips[-1] == SetUpTrip(at(11, 45), at(12, 10), at(12, 30), at(12, 55), 2)


def test_the_order_is_ready_as_early_as_its_crew_leaves_and_stays_so_when_it_is_changed(session, catalogue):
    """Two set-ups of 20 minutes before 12:30: on the way at 11:25, although 12:25 was agreed."""
    request = order_request(
        catalogue, **(DELIVERED | {"extras": (ExtraRequest(ExtraSort.SET_UP, 2),), "event_start": at(12, 30)})
    )
    order = take(session, request)
    assert (order.ready_by, order.batches[0].ready_by, order.arrives_at) == (at(11, 25), at(11, 25), at(12, 25))
    assert order.batches[0].inflate_by < at(11, 25)
    assert rebuild_request(order).ready_by == at(12)
    assert _away(session) == (Absence(at(11, 25), at(12, 55), 2, {}),)
    change(session, order, replace(request, notes="Ring twice."))
    assert order.ready_by == at(11, 25)
    assert one_batch(session, order.batches[0].key).is_set_up_early


def test_a_longer_set_up_moves_the_hour_at_which_an_open_order_leaves(session, catalogue):
    """Set up by 12:30: with 20 minutes it leaves at 11:45, with 45 at 11:20."""
    order = take(session, order_request(catalogue, **(DELIVERED | {"event_start": at(12, 30)})))
    assert order.ready_by == at(11, 45)
    change_settings(session, {"set_up_minutes": 45})
    replan_open_orders(ctx(session, now=at(7)))
    assert (order.ready_by, order.batches[0].ready_by) == (at(11, 20), at(11, 20))
    (crew,) = (change for change in history_of(session, order)[-1].changes if change[0] == "crew leaves")
    assert ("11:45" in crew[1], "11:20" in crew[2]) == (True, True)


def test_whoever_waits_for_a_crew_that_is_late_is_told_when_it_comes(session, shop, catalogue):
    """At 11:20 there is half an hour of work for what leaves at 11:45: ready at 11:50, so delivered at 12:15."""
    request = order_request(catalogue, **(DELIVERED | {"event_start": at(12, 30)}))
    late = make_quote(request, shop, catalogue, at(11, 20))
    waits = quote_if_waiting(late, shop, catalogue, at(11, 20))
    assert (late.ready_by, late.ready_at) == (at(11, 45), waits.ready_by)
    assert waits.arrives(waits.runs[0]) == late.ready_at + timedelta(minutes=25)
    assert waits.late_run is None
