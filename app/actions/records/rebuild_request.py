"""A saved order as the request that it was, and its commitments."""

from datetime import datetime, timedelta
from decimal import Decimal

from app.actions.records.batches import started_batches
from app.actions.records.sold_rows import lines_as_sold, rebuild_extra, rebuild_line
from app.craft.money import Amount, Percent, Portion
from app.physics.light import Surroundings
from app.quoting.bill import read_discount
from app.quoting.policy import TaxMode, TaxRule
from app.quoting.quote import Commitments
from app.quoting.request import HandOver, Occasion, OrderRequest
from app.store.models import Order


def rebuild_request(order: Order) -> OrderRequest:
    """Returns the request from which the order was made."""
    return OrderRequest(
        customer=order.customer,
        phone=order.phone,
        occasion=Occasion(order.occasion),
        lines=tuple(rebuild_line(line) for line in order.lines),
        ready_by=_ready_by(order),
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
        latex_allergy=order.latex_allergy,
        accepted_risk=order.accepted_risk,
        bench_override=order.bench_override,
        stock_override=order.stock_override,
        customer_id=order.customer_id,
        extras=tuple(rebuild_extra(extra) for extra in order.extras),
        discount=read_discount(order.discount),
        return_by=order.return_by,
        take_down_at=order.take_down_at,
    )


def _ready_by(order: Order) -> datetime:
    """Returns when the order leaves for the agreed hour, which its crew may have to do earlier or later."""
    if order.arrives_at is None:
        return order.ready_by
    return order.arrives_at - timedelta(minutes=order.travel_minutes)


def commitments_of(order: Order) -> Commitments:
    """Returns what of the order is fixed already."""
    return Commitments(
        started=started_batches(order),
        saved=lines_as_sold(order.lines),
        hand_over=HandOver(order.hand_over),
        venue_minor=order.venue_minor,
        tax=tax_of(order),
        deposit=deposit_of(order),
        supplies={extra.supply_id for extra in order.extras if extra.supply_id},
        deposits={rental.supply_id: rental.deposit_minor for rental in order.rentals},
    )


def deposit_of(order: Order) -> Portion:
    """Returns the deposit as it was asked, in proportion to the total, so that later changes do not follow the
    shop's defaults."""
    if not order.total_minor:
        return Amount(order.deposit_asked_minor)
    return Percent(Decimal(order.deposit_asked_minor) * 100 / order.total_minor)


def tax_of(order: Order) -> TaxRule:
    """Returns the tax as the order was sold with it."""
    return TaxRule(TaxMode(order.tax_mode), order.tax_percent)
