"""A kept order as the wish that it was, and what of it stands already."""

from app.actions.money.bills import deposit_of, read_discount, tax_of
from app.actions.records.batches import begun_batches
from app.actions.records.sold_rows import kept_lines, wish_of_line
from app.physics.endurance import Surroundings
from app.quoting.extras import wish_of_extra
from app.quoting.quote import Standing
from app.quoting.request import HandOver, Occasion, OrderWish
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
        wind_m_s=order.wind_m_s,
        hand_over=HandOver(order.hand_over),
        arrives_at=order.arrives_at,
        travel_minutes=order.travel_minutes,
        later_at=order.later_at,
        set_up_minutes=order.set_up_minutes,
        hanging_minutes=order.hanging_minutes,
        crew=order.crew,
        address=order.address,
        notes=order.notes,
        word=order.word,
        bench_reason=order.bench_reason,
        short_reason=order.short_reason,
        customer_id=order.customer_id,
        extras=tuple(wish_of_extra(extra) for extra in order.extras),
        discount=read_discount(order.discount),
        return_by=order.return_by,
        take_down_at=order.take_down_at,
    )


def standing_of(order: Order) -> Standing:
    return Standing(
        begun=begun_batches(order),
        kept=kept_lines(order.lines),
        hand_over=HandOver(order.hand_over),
        venue_minor=order.venue_minor,
        tax=tax_of(order),
        deposit=deposit_of(order),
        supplies={extra.supply_id for extra in order.extras if extra.supply_id},
        deposits={hire.supply_id: hire.deposit_minor for hire in order.hires},
    )
