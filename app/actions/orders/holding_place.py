"""Where in the holding area a part of an order stands: a few words on its tag, on the pick-ups and at the bench."""

from app.actions.context import Context
from app.actions.records.descriptions import HistoryFormats, describe_changes, describe_order
from app.actions.records.history import touch_board, write_history
from app.actions.records.orders import load_order
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderPart, OrderState
from app.store.models import Order

MAX_PLACE_LENGTH = 30
"""It is read from two metres away."""
TOO_LONG = f"Enter a place of at most {MAX_PLACE_LENGTH} characters, such as “Rail 3”."


COLUMNS = {OrderPart.MAIN: "holding_place", OrderPart.LATER: "later_holding_place"}


def set_holding_place(context: Context, number: int, place: str, part: OrderPart = OrderPart.MAIN) -> Order:
    """Saves where in the holding area this part of the order stands, and returns the order. Empty means that it
    stands nowhere. The same place again changes nothing. Raises NotFound, Refused.

    It belongs to the work in the shop like a step, so the version of the order stays.
    """
    order = load_order(context.session, number, to_change=True)
    now_at = " ".join(place.split()) or None
    if now_at == getattr(order, COLUMNS[part]):
        return order
    if now_at and len(now_at) > MAX_PLACE_LENGTH:
        raise Refused(Problem("place", TOO_LONG))
    if order.state != OrderState.OPEN:
        raise Refused(Problem("place", f"Order {number} is {order.state}. Its place can't be changed."))
    if part is OrderPart.LATER and order.later_at is None:
        raise Refused(Problem("place", f"Order {number} has no later part any more."))
    formats = HistoryFormats.of(context.shop)
    before = describe_order(order, formats)
    setattr(order, COLUMNS[part], now_at)
    write_history(context, order, "placed", describe_changes(before, describe_order(order, formats)))
    touch_board(context.session)
    return order
