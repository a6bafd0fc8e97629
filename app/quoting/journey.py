"""This module says where an order's balloons are filled, by when, and where they are until the end of the event."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.physics.air import Air
from app.physics.endurance import Filling, filling_loss_rate
from app.physics.light import Surroundings, light_rate
from app.planning.window import Leg
from app.planning.workplace import AtVenue, Trip, Workplace
from app.quoting.request import ExtraSort, HandOver, OrderRequest
from app.quoting.shop import Shop, TripDefaults
from app.quoting.states import OrderPart

Stay = tuple[datetime, Air, Surroundings]
"""A stay in one place: its end, its air, and its shelter."""


@dataclass(frozen=True, slots=True)
class Journey:
    """ready_by: when they must be filled and assembled; None is as soon as possible. fills_from: the earliest fill;
    None is any time. fill_air, wait_surroundings: the air and the shelter until then. stays: where they are after
    that, each with its end, air and shelter. later_airs: the airs that the gas meets once it is filled. too_windy:
    whether a wind was typed that is above the shop's limit."""

    ready_by: datetime | None
    workplace: Workplace
    fills_from: datetime | None
    fill_air: Air
    wait_surroundings: Surroundings
    stays: tuple[Stay, ...]
    later_airs: tuple[Air, ...]
    too_windy: bool = False

    def legs(self, filling: Filling, ready_by: datetime, shop: Shop) -> tuple[Leg, ...]:
        """Returns the legs from filling to the end. ready_by: the journey's own, or the moment that as soon as
        possible means."""
        stays = ((ready_by, self.fill_air, self.wait_surroundings), *self.stays)
        begins = (self.fills_from or ready_by, *(ends for ends, _, _ in stays))
        return tuple(
            leg
            for start, stay in zip(begins, stays, strict=False)
            for leg in _legs_of_stay(filling, start, stay, shop)
        )


def _legs_of_stay(filling: Filling, start: datetime, stay: Stay, shop: Shop) -> Iterator[Leg]:
    """Yields the stay as one leg; outdoors as a leg for each day and each night, because only daylight ages
    latex."""
    ends, air, where = stay
    loss = filling_loss_rate(filling, air, shop.float_defaults)
    light = light_rate(filling.balloon_type.material, filling.gas, where, shop.float_defaults.light)
    if not where.outdoors or not light or start >= ends:
        yield Leg(ends, loss, light)
        return
    for stretch_end, is_day in shop.daylight.split(start, ends):
        yield Leg(stretch_end, loss, light if is_day else 0.0)


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


@dataclass(frozen=True, slots=True)
class SetUpTrip:
    """The trip of a crew that sets up what it delivers. leaves_at, back_at: at the shop. done_at: when all is set
    up."""

    leaves_at: datetime
    done_at: datetime
    back_at: datetime
    staff: int

    def leaves_by(self, event_start: datetime | None) -> datetime:
        """Returns when the crew must leave, so that all is set up when the event starts."""
        late = self.done_at - event_start if event_start else timedelta()
        return self.leaves_at - max(late, timedelta())


def set_up_trip_of(arrives_at: datetime, travel_minutes: int, usual: TripDefaults) -> SetUpTrip:
    """Returns the trip of a delivery that was sold with set-up: there, the shop's minutes of set-up, and back.

    With arrival at 15:00, 30 min of travel and 20 min of set-up the crew leaves at 14:30 and is back at 15:50.
    """
    travel, set_up = timedelta(minutes=travel_minutes), timedelta(minutes=usual.set_up_minutes)
    done = arrives_at + set_up
    return SetUpTrip(arrives_at - travel, done, done + travel, usual.crew)


def set_up_trip(request: OrderRequest, usual: TripDefaults) -> SetUpTrip | None:
    """Returns the trip of the request; None if it is not a delivery with set-up."""
    sets_up = any(extra.sort is ExtraSort.SET_UP for extra in request.extras)
    if not sets_up or request.hand_over is not HandOver.DELIVER or request.arrives_at is None:
        return None
    return set_up_trip_of(request.arrives_at, request.travel_minutes, usual)


def _at_the_venue(request: OrderRequest, shop: Shop, trip: Trip) -> Journey:
    """Returns the journey of what a crew fills at the venue."""
    venue = venue_air(request, shop)
    stays = ((request.lasts_until, venue, request.surroundings),) if request.lasts_until else ()
    return Journey(
        trip.filled_by,
        AtVenue(trip.fills_from),
        trip.fills_from,
        venue,
        request.surroundings,
        stays,
        (),
        _is_too_windy(request, shop),
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
    elif request.event_start and request.surroundings.outdoors:  # kept under a roof by who collected them
        stays.append((request.event_start, venue, Surroundings.INDOORS))
    if request.lasts_until:
        stays.append((request.lasts_until, venue, request.surroundings))
    later_airs = (van, venue) if request.travel_minutes else (venue,)
    too_windy = _is_too_windy(request, shop)
    waits = Surroundings.INDOORS
    return Journey(ready_by, shop.opening, None, shop.air, waits, tuple(stays), later_airs, too_windy)


def _is_too_windy(request: OrderRequest, shop: Shop) -> bool:
    wind = request.wind_m_s if request.surroundings.outdoors else None
    return wind is not None and wind > shop.outdoors.wind_limit_m_s


def venue_air(request: OrderRequest, shop: Shop) -> Air:
    """Returns the air at the venue."""
    celsius = shop.indoors_celsius if request.venue_celsius is None else request.venue_celsius
    elevation = shop.air.elevation_m if request.venue_elevation_m is None else request.venue_elevation_m
    return Air(celsius, elevation)


def van_air(shop: Shop) -> Air:
    """Returns the air in the van."""
    return Air(shop.journey_celsius, shop.air.elevation_m)
