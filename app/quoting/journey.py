"""The course of an order's balloons: where they are filled, by when, and where they are until the end."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from app.actions.records.shop import Shop
from app.physics.air import Air
from app.physics.endurance import Filling, Surroundings, spending
from app.planning.window import Leg
from app.planning.workplace import AtVenue, Trip, Workplace
from app.quoting.request import HandOver, OrderWish


@dataclass(frozen=True, slots=True)
class Course:
    """ready_by: filled and assembled; None is as soon as possible. fills_from: None is any time. filled_in,
    waits_in: the air and shelter until then. stays: until when, in which air, how sheltered, after that.
    later_airs: what the gas meets once it is filled."""

    ready_by: datetime | None
    workplace: Workplace
    fills_from: datetime | None
    filled_in: Air
    waits_in: Surroundings
    stays: tuple[tuple[datetime, Air, Surroundings], ...]
    later_airs: tuple[Air, ...]

    def legs(self, filling: Filling, ready_by: datetime, shop: Shop) -> tuple[Leg, ...]:
        """From filling to the end; ready_by is the course's own, or the moment that as soon as possible means."""
        stays = ((ready_by, self.filled_in, self.waits_in), *self.stays)
        return tuple(Leg(ends, spending(filling, air, where, shop.habits)) for ends, air, where in stays)


def course_of(wish: OrderWish, shop: Shop, *, later: bool = False) -> Course:
    """later: of the part that is handed over later."""
    trip = trip_of(wish)
    return _from_the_bench(wish, shop, later) if trip is None else _at_the_venue(wish, shop, trip)


def trip_of(wish: OrderWish) -> Trip | None:
    """The crew's way; None when nobody fills at the venue, or nobody said when the event begins."""
    if wish.hand_over is not HandOver.VENUE or wish.event_start is None or wish.arrives_at is None:
        return None
    travel, set_up, hanging = (
        timedelta(minutes=minutes) for minutes in (wish.travel_minutes, wish.set_up_minutes, wish.hanging_minutes)
    )
    return Trip(wish.arrives_at, wish.event_start, travel, set_up, hanging)


def _at_the_venue(wish: OrderWish, shop: Shop, trip: Trip) -> Course:
    there = venue_air(wish, shop)
    stays = ((wish.lasts_until, there, wish.surroundings),) if wish.lasts_until else ()
    return Course(trip.filled_by, AtVenue(trip.fills_from), trip.fills_from, there, wish.surroundings, stays, ())


def _from_the_bench(wish: OrderWish, shop: Shop, later: bool) -> Course:
    """The shop until it leaves, the van until it arrives, the venue until it need no longer be up."""
    ready_by, arrives_at = wish.ready_by, wish.arrives_at
    if later and wish.later_at:
        ready_by = wish.later_at
        arrives_at = ready_by + timedelta(minutes=wish.travel_minutes) if arrives_at else None
    van, there = van_air(shop), venue_air(wish, shop)
    stays = []
    if arrives_at:
        stays.append((arrives_at, van, Surroundings.INDOORS))
    if wish.lasts_until:
        stays.append((wish.lasts_until, there, wish.surroundings))
    later_airs = (van, there) if wish.travel_minutes else (there,)
    return Course(ready_by, shop.opening, None, shop.air, Surroundings.INDOORS, tuple(stays), later_airs)


def venue_air(wish: OrderWish, shop: Shop) -> Air:
    celsius = shop.indoors_celsius if wish.venue_celsius is None else wish.venue_celsius
    elevation = shop.air.elevation_m if wish.venue_elevation_m is None else wish.venue_elevation_m
    return Air(celsius, elevation)


def van_air(shop: Shop) -> Air:
    return Air(shop.journey_celsius, shop.air.elevation_m)
