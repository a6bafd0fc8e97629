"""This module words an order's price for the caller, before hanging up."""

from collections.abc import Iterator
from datetime import datetime

from app.quoting.policy import TaxMode
from app.store.models import Order
from app.web.formats import Formats


def price_words(order: Order, formats: Formats) -> Iterator[str]:
    """Yields sentences about the add-ons, when rental items come back, and what is to be paid."""
    if order.extras:
        yield f"With it: {'; '.join(f'{one.quantity} × {one.title}' for one in order.extras)}."
    if order.take_down_at:
        yield f"Our crew is let in to take it down {_day_and_hour(order.take_down_at, formats)}."
    if order.return_by:
        yield f"You bring the hired goods back by {_day_and_hour(order.return_by, formats)}."
    yield from _pays(order, formats)


def _day_and_hour(moment: datetime, formats: Formats) -> str:
    local = formats.local(moment)
    return f"{local:%A}, {local.day} {local:%B}, at {formats.clock(moment)}"


def _pays(order: Order, formats: Formats) -> Iterator[str]:
    taxed = ", tax included" if order.tax_mode != TaxMode.NONE and order.tax_percent else ""
    yield f"In all {formats.money(order.total_minor)}{taxed}."
    if order.rental_deposit_minor:
        held, pays = order.rental_deposit_minor, order.total_minor + order.rental_deposit_minor
        yield f"Beside it {formats.money(held)} for the hired goods, given back with them: {formats.money(pays)}."
    if order.deposit_asked_minor:
        yield f"We ask {formats.money(order.deposit_asked_minor)} of it beforehand."
