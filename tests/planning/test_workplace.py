"""Where work is done: a crew at a venue is bound by when it is let in, not by the shop's hours."""

from datetime import timedelta

from app.planning.bench_window import (
    bench_window,
    latest_fill_start,
    latest_start_for_one_person,
    ready_time_for_one_person,
)
from app.planning.workplace import AtVenue, Trip
from tests.planning.shops import HOUR, MINUTE, berlin

TRIP = Trip(berlin(2026, 7, 11, 15), berlin(2026, 7, 11, 18), 30 * MINUTE, 20 * MINUTE, 25 * MINUTE)
NIGHT = berlin(2026, 7, 11, 23)


def test_a_trip_has_its_hours():
    assert TRIP.leaves_by(berlin(2026, 7, 11, 17)) == berlin(2026, 7, 11, 16, 10)
    assert TRIP.leaves_by(TRIP.fills_from) == berlin(2026, 7, 11, 14, 30)
    assert TRIP.fills_from == berlin(2026, 7, 11, 15, 20)
    assert TRIP.filled_by == berlin(2026, 7, 11, 17, 35)
    assert TRIP.back_at == berlin(2026, 7, 11, 18, 30)


def test_a_crew_works_when_the_shop_is_closed():
    venue = AtVenue(NIGHT - 2 * HOUR)
    assert latest_fill_start(NIGHT, venue, 10 * MINUTE, timedelta(), 20 * MINUTE) == NIGHT - 30 * MINUTE
    assert (
        latest_start_for_one_person(NIGHT, venue, 10 * MINUTE, [(20 * MINUTE, timedelta())] * 2)
        == NIGHT - 50 * MINUTE
    )


def test_nothing_is_filled_before_the_crew_is_let_in():
    venue = AtVenue(NIGHT)
    assert (
        ready_time_for_one_person(NIGHT - HOUR, venue, 10 * MINUTE, [(20 * MINUTE, timedelta())])
        == NIGHT + 30 * MINUTE
    )
    window = bench_window(NIGHT - HOUR, NIGHT + HOUR, NIGHT + 2 * HOUR, venue)
    assert window.earliest == NIGHT


def test_who_comes_later_begins_later():
    assert AtVenue(NIGHT).first_end(NIGHT + HOUR, 20 * MINUTE) == NIGHT + HOUR + 20 * MINUTE
