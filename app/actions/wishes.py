"""A kept order as the wish that it was."""

from app.actions.parts import wish_of_line
from app.actions.wish import HandOver, Occasion, OrderWish
from app.physics.endurance import Surroundings
from app.store.models import Order


def wish_of(order: Order) -> OrderWish:
    return OrderWish(
        customer=order.customer,
        phone=order.phone,
        occasion=Occasion(order.occasion),
        lines=tuple(wish_of_line(line) for line in order.lines),
        ready_by=order.ready_by,
        event_start=order.event_start,
        lasts_until=order.lasts_until,
        surroundings=Surroundings(order.surroundings),
        venue_celsius=order.venue_celsius,
        venue_elevation_m=order.venue_elevation_m,
        hand_over=HandOver(order.hand_over),
        arrives_at=order.arrives_at,
        travel_minutes=order.travel_minutes,
        address=order.address,
        notes=order.notes,
        word=order.word,
        customer_id=order.customer_id,
    )
