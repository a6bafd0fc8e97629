"""Counter: an order at price 0 is saved only if somebody says that it is free."""

from app.places.counter.forms import OrderForm
from app.quoting.errors import Problem, Refused
from app.store.models import Order

SAY_FREE = Problem("free", "The price is 0. Tick this if the order is free; otherwise enter prices first.")


def is_free_unsaid(form: OrderForm, total_minor: int) -> bool:
    """Returns whether the price is 0 and nobody has said that this is meant."""
    return total_minor == 0 and not form.free.data


def refuse_free_unsaid(form: OrderForm, order: Order) -> None:
    """Raises Refused if the order costs nothing and nobody has said that this is meant."""
    if is_free_unsaid(form, order.total_minor):
        raise Refused(SAY_FREE)
