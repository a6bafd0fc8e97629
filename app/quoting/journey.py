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
    """The trip of a crew that sets up what it delivers. leaves_at, back_at: at the shop. arrives_at, done_at: at
    the venue."""

    leaves_at: datetime
    arrives_at: datetime
    done_at: datetime
    back_at: datetime
    staff: int


def set_up_trip_of(
    arrives_at: datetime, event_start: datetime | None, travel_minutes: int, set_ups: int, usual: TripDefaults
) -> SetUpTrip:
    """Returns the trip of a delivery that was sold with so many set-ups, each of which takes the shop's minutes.

    arrives_at: as agreed. The crew arrives earlier where the event would start before all is set up. Agreed for
    15:00, with 30 min of travel and two set-ups of 20 min, it leaves at 14:30 and is back at 16:10; if the event
    starts at 15:10, it leaves at 14:00.
    """
    travel, set_up = timedelta(minutes=travel_minutes), timedelta(minutes=usual.set_up_minutes * set_ups)
    arrives = min(arrives_at, event_start - set_up) if event_start else arrives_at
    done = arrives + set_up
    return SetUpTrip(arrives - travel, arrives, done, done + travel, usual.crew)


def set_ups_of(request: OrderRequest) -> int:
    """Returns how many set-ups the crew of a delivery has to do; 0 if it is none."""
    if request.hand_over is not HandOver.DELIVER or request.arrives_at is None:
        return 0
    return sum(extra.quantity for extra in request.extras if extra.sort is ExtraSort.SET_UP)


def set_up_trip(request: OrderRequest, usual: TripDefaults) -> SetUpTrip | None:
    """Returns the trip of the request; None if it is not a delivery with set-up."""
    set_ups, at = set_ups_of(request), request.arrives_at
    if not set_ups or at is None:
        return None
    return set_up_trip_of(at, request.event_start, request.travel_minutes, set_ups, usual)


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
    at the venue until the event ends. What is set up before the event leaves as early as that needs."""
    ready_by, arrives_at = request.ready_by, request.arrives_at
    if part is OrderPart.LATER and request.later_at:
        ready_by = request.later_at
        arrives_at = ready_by + timedelta(minutes=request.travel_minutes) if arrives_at else None
    elif trip := set_up_trip(request, shop.trip):
        ready_by, arrives_at = trip.leaves_at, trip.arrives_at
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
