"""The rentals of an order in the store: what goes out with it and must come back."""

from sqlalchemy.orm import Session

from app.quoting.quote import Quote
from app.store.models import Order, Rental


def sync_rentals(session: Session, order: Order, quote: Quote) -> None:
    """Brings the rentals in line with the quote; what came back already keeps its row."""
    wanted = {good.supply_id: good for good in quote.rentals}
    for rental in order.rentals:
        good = wanted.pop(rental.supply_id, None)
        rental.quantity = good.quantity if good else 0
        if good:
            rental.name, rental.deposit_minor = good.name, good.deposit_minor
    order.rentals += [
        Rental(supply_id=good.supply_id, name=good.name, quantity=good.quantity, deposit_minor=good.deposit_minor)
        for good in wanted.values()
    ]
    if order.rentals:
        session.flush()
