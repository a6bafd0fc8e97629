"""Hired goods of an order: what goes out with it and must come back."""

from sqlalchemy.orm import Session

from app.actions.quote import Quote
from app.actions.wish import ExtraSort
from app.store.models import Hire, Order

Hired = dict[int, tuple[str, int, int]]
"""Name, how many, and the deposit on one, by the supply's id."""


def lay_hires(session: Session, order: Order, answer: Quote) -> None:
    """Bring the hired goods in line with the quote; what came back already keeps its row."""
    wanted = hired_of(answer)
    for hire in order.hires:
        hire.name, hire.quantity, hire.deposit_minor = wanted.pop(
            hire.supply_id, (hire.name, 0, hire.deposit_minor)
        )
    order.hires += [
        Hire(supply_id=supply_id, name=name, quantity=quantity, deposit_minor=deposit)
        for supply_id, (name, quantity, deposit) in wanted.items()
    ]
    session.flush()


def hired_of(answer: Quote) -> Hired:
    """Of one supply together, with its larger deposit."""
    hired: Hired = {}
    designed = [
        (one.supply_id, one.name, int(one.of_one * line.wish.quantity), one.deposit_minor)
        for line in answer.lines
        for one in line.recipe.supplies
        if one.sort == "hired"
    ]
    added = [
        (extra.wish.supply_id or 0, extra.title, extra.wish.quantity, extra.deposit_minor)
        for extra in answer.extras
        if extra.wish.sort is ExtraSort.HIRE
    ]
    for supply_id, name, quantity, deposit in (*designed, *added):
        _, before, most = hired.get(supply_id, (name, 0, 0))
        hired[supply_id] = (name, before + quantity, max(deposit, most))
    return hired
