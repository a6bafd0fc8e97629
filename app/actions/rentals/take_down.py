"""A take-down: a crew cuts the balloons, bins them, and fetches the rented items. No balloon is released."""

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.history import touch_board
from app.actions.records.orders import load_order
from app.actions.records.taps import gone_parts, is_known, load_tap, mark_undone, save_tap
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderPart, OrderState
from app.store.models import Order, Tap
from app.store.queries.rentals import CUT, rentals_of_order


def cut_and_bin(context: Context, number: int, client_key: str) -> Order:
    """Records that the balloons are cut and binned; a second tap changes nothing. Raises NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    if is_known(context.session, client_key):
        return order
    refuse_before_hand_over(context.session, order)
    row = rentals_of_order(context.session, number)
    if order.take_down_at is None or row is None:
        raise Refused(Problem("step", f"Order {number} has no take-down."))
    if row.cut is None:
        tap = Tap(client_key=client_key, order_id=order.id, batch_id=None, act=CUT, colour="", count=0)
        tap.part, tap.at, tap.who = OrderPart.MAIN, context.now, context.who
        if save_tap(context.session, tap):
            touch_board(context.session)
    return order


def undo_cut(context: Context, number: int, tap_id: int) -> Order:
    """Undoes that record; a second undo changes nothing. Raises NotFound."""
    order = load_order(context.session, number, to_change=True)
    tap = load_tap(context.session, tap_id)
    if tap.order_id != order.id or tap.act != CUT:
        raise NotFound("There is no such step to undo.")
    if tap.undone_at is None:
        mark_undone(context, tap)
        touch_board(context.session)
    return order


def refuse_before_hand_over(session: Session, order: Order) -> None:
    """Raises Refused if the order is not handed over, since what has not gone out cannot come back."""
    if order.state == OrderState.CANCELLED:
        raise Refused(Problem("step", f"Order {order.number} is cancelled."))
    if not gone_parts(session, order):
        raise Refused(Problem("step", f"Order {order.number} is not handed over yet: tap its steps first."))
