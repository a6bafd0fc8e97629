"""Hired goods of an order, as the store keeps them: what goes out with it and must come back."""

from sqlalchemy.orm import Session

from app.quoting.quote import Quote
from app.store.models import Hire, Order


def lay_hires(session: Session, order: Order, answer: Quote) -> None:
    """Bring the hired goods in line with the quote; what came back already keeps its row."""
    wanted = {good.supply_id: good for good in answer.hired}
    for hire in order.hires:
        good = wanted.pop(hire.supply_id, None)
        hire.quantity = good.quantity if good else 0
        if good:
            hire.name, hire.deposit_minor = good.name, good.deposit_minor
    order.hires += [
        Hire(supply_id=good.supply_id, name=good.name, quantity=good.quantity, deposit_minor=good.deposit_minor)
        for good in wanted.values()
    ]
    session.flush()
