"""Hired goods for tests, and an order that is filled and handed over with them."""

from app.actions.orders.hand_over import steps_of, take_step
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from app.store.models import SupplyRow
from tests.actions.builders import ANYWAY, WHO, at, ctx, tap


def _supply(session, name, deposit_minor):
    costs = {"pack_size": 1, "pack_minor": 9000, "price_minor": 1200, "deposit_minor": deposit_minor}
    row = SupplyRow(name=name, sort="rental", unit="piece", **costs)
    session.add(row)
    session.flush()
    return row.id


def pole(session):
    return _named(session, "Pole", 2000)


def arch(session):
    return _named(session, "Flower arch", 5000)


def _named(session, name, deposit_minor):
    found = session.query(SupplyRow).filter_by(name=name).one_or_none()
    return found.id if found else _supply(session, name, deposit_minor)


def rental(supply_id, quantity):
    return ExtraRequest(ExtraSort.RENTAL, quantity, supply_id)


def hand_over(session, order, now=None):
    """Filled and taken through all its steps."""
    now = now or at(13)
    for batch in order.batches:
        tap(session, batch, "finish", now=now, sure=True)
    at_venue = order.hand_over == HandOver.VENUE
    for step in steps_of(treated=False, at_venue=at_venue):
        take_step(ctx(session, who=WHO, now=now), order.number, step, f"{order.number} {step}", sure=ANYWAY)
