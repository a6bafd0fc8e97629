"""A saved order: found by its number or by the key of its form, and its next version."""

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.descriptions import Changes
from app.actions.records.history import touch_board, write_history
from app.quoting.errors import Problem, Refused
from app.store.models import Order

NOT_MADE = "Order {number} was not made. Undo that on the page of the order first."


def load_order(session: Session, number: int, *, to_change: bool = False) -> Order:
    """Returns the order. to_change: nobody else may change it until the session ends. Raises NotFound."""
    found = select(Order).where(Order.number == number)
    order = session.scalar(found.with_for_update() if to_change else found)
    if order is None:
        raise NotFound(f"Order {number} does not exist.")
    return order


def refuse_not_made(order: Order) -> None:
    """Raises Refused if it is known that the order was not made."""
    if order.not_made_at:
        raise Refused(Problem("order", NOT_MADE.format(number=order.number)))


_WITH_KEY = select(Order).where(Order.client_key == bindparam("key"))


def order_with_key(session: Session, client_key: str) -> Order | None:
    """Returns the order that was saved with this key; None if there is none."""
    return session.scalar(_WITH_KEY, {"key": client_key})


def next_version(context: Context, order: Order, act: str, changes: Changes) -> None:
    """Raises the version of the order by one and adds an entry to its history."""
    order.version += 1
    write_history(context, order, act, changes)
    touch_board(context.session)
