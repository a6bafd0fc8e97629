"""This module words an order's price for the caller, before hanging up."""

from collections.abc import Iterator

from app.quoting.policy import TaxMode
from app.store.models import Order
from app.web.formats import Formats


def price_words(order: Order, formats: Formats) -> Iterator[str]:
    """Yields sentences about the extras, when rentals come back, and what is to be paid."""
    if order.extras:
        yield f"Extras: {'; '.join(f'{one.quantity} × {one.title}' for one in order.extras)}."
    if order.take_down_at:
        yield f"Our crew takes everything down on {formats.moment(order.take_down_at)}."
    if order.return_by:
        yield f"You bring the rentals back by {formats.moment(order.return_by)}."
    yield from _pays(order, formats)


def _pays(order: Order, formats: Formats) -> Iterator[str]:
    taxed = ", tax included" if order.tax_mode != TaxMode.NONE and order.tax_percent else ""
    yield f"The price is {formats.money(order.total_minor)}{taxed}."
    if order.rental_deposit_minor:
        deposit, both = order.rental_deposit_minor, order.total_minor + order.rental_deposit_minor
        yield (
            f"The security deposit on the rentals is {formats.money(deposit)}; you get it back when you return"
            f" them. Together that is {formats.money(both)}."
        )
    if order.deposit_asked_minor:
        asked = formats.money(order.deposit_asked_minor)
        yield f"You pay a deposit of {asked} in advance; it is part of the price."
