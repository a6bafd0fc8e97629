"""This module says where an order's balloons are filled, by when, and where they are until the end of the event."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from app.physics.air import Air
from app.physics.endurance import Filling, Surroundings, filling_loss_rate
from app.planning.window import Leg
from app.planning.workplace import AtVenue, Trip, Workplace
from app.quoting.request import HandOver, OrderRequest
from app.quoting.shop import Shop
from app.quoting.states import OrderPart


@dataclass(frozen=True, slots=True)
class Journey:
    """ready_by: when they must be filled and assembled; None is as soon as possible. fills_from: the earliest fill;
    None is any time. fill_air, wait_surroundings: the air and the shelter until then. stays: where they are after
    that, each with its end, air and shelter. later_airs: the airs that the gas meets once it is filled."""

    ready_by: datetime | None
    workplace: Workplace
    fills_from: datetime | None
    fill_air: Air
    wait_surroundings: Surroundings
    stays: tuple[tuple[datetime, Air, Surroundings], ...]
    later_airs: tuple[Air, ...]

    def legs(self, filling: Filling, ready_by: datetime, shop: Shop) -> tuple[Leg, ...]:
        """Returns the legs from filling to the end. ready_by: the journey's own, or the moment that as soon as
        possible means."""
        stays = ((ready_by, self.fill_air, self.wait_surroundings), *self.stays)
        return tuple(
            Leg(ends, filling_loss_rate(filling, air, surroundings, shop.float_defaults))
            for ends, air, surroundings in stays
        )


def journey_of(request: OrderRequest, shop: Shop, part: OrderPart) -> Journey:
    """Returns the journey of what is handed over with this part of the order."""
    trip = trip_of(request)
    return _from_the_bench(request, shop, part) if trip is None else _at_the_venue(request, shop, trip)


def trip_of(request: OrderRequest) -> Trip | None:
    """Returns the crew's trip; None if no crew fills at the venue, or the start of the event is unknown."""
    if request.hand_over is not HandOver.VENUE or request.event_start is None or request.arrives_at is None:
        return None
    travel, set_up, hanging = (
        timedelta(minutes=minutes)
        for minutes in (request.travel_minutes, request.set_up_minutes, request.hanging_minutes)
    )
    return Trip(request.arrives_at, request.event_start, travel, set_up, hanging)


def _at_the_venue(request: OrderRequest, shop: Shop, trip: Trip) -> Journey:
    """Returns the journey of what a crew fills at the venue."""
    venue = venue_air(request, shop)
    stays = ((request.lasts_until, venue, request.surroundings),) if request.lasts_until else ()
    return Journey(
        trip.filled_by, AtVenue(trip.fills_from), trip.fills_from, venue, request.surroundings, stays, ()
    )


def _from_the_bench(request: OrderRequest, shop: Shop, part: OrderPart) -> Journey:
    """Returns the journey of what is filled at the bench: in the shop until it leaves, in the van until it arrives,
    at the venue until the event ends."""
    ready_by, arrives_at = request.ready_by, request.arrives_at
    if part is OrderPart.LATER and request.later_at:
        ready_by = request.later_at
        arrives_at = ready_by + timedelta(minutes=request.travel_minutes) if arrives_at else None
    van, venue = van_air(shop), venue_air(request, shop)
    stays = []
    if arrives_at:
        stays.append((arrives_at, van, Surroundings.INDOORS))
    if request.lasts_until:
        stays.append((request.lasts_until, venue, request.surroundings))
    later_airs = (van, venue) if request.travel_minutes else (venue,)
    return Journey(ready_by, shop.opening, None, shop.air, Surroundings.INDOORS, tuple(stays), later_airs)


def venue_air(request: OrderRequest, shop: Shop) -> Air:
    """Returns the air at the venue."""
    celsius = shop.indoors_celsius if request.venue_celsius is None else request.venue_celsius
    elevation = shop.air.elevation_m if request.venue_elevation_m is None else request.venue_elevation_m
    return Air(celsius, elevation)


def van_air(shop: Shop) -> Air:
    """Returns the air in the van."""
    return Air(shop.journey_celsius, shop.air.elevation_m)
