"""A take-down: a crew is let in, cuts the balloons and bins them, and fetches what is hired. None is released."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.actions.errors import NotFound, Problem, Refused
from app.actions.orders.take import load_order
from app.actions.records.history import touch_board
from app.actions.records.taps import gone_parts, is_known, load_tap, mark_undone, save_tap
from app.quoting.states import OrderState
from app.store.models import Order, Tap
from app.store.queries.rentals import CUT, rentals_of_order


def cut_and_bin(session: Session, who: str, number: int, now: datetime, client_key: str) -> Order:
    """The balloons are cut and binned, none released; a second tap changes nothing. Raises NotFound, Refused."""
    order = load_order(session, number, to_change=True)
    if is_known(session, client_key):
        return order
    refuse_before_hand_over(session, order)
    row = rentals_of_order(session, number)
    if order.take_down_at is None or row is None:
        raise Refused(Problem("step", f"Order {number} has no take-down."))
    if row.cut is None:
        tap = Tap(client_key=client_key, order_id=order.id, batch_id=None, act=CUT, later=False, colour="", count=0)
        tap.at, tap.who = now, who
        if save_tap(session, tap):
            touch_board(session)
    return order


def undo_cut(session: Session, who: str, number: int, tap_id: int, now: datetime) -> Order:
    """A second undo changes nothing. Raises NotFound."""
    order = load_order(session, number, to_change=True)
    tap = load_tap(session, tap_id)
    if tap.order_id != order.id or tap.act != CUT:
        raise NotFound("There is no such step to undo.")
    if tap.undone_at is None:
        mark_undone(session, who, tap, now)
        touch_board(session)
    return order


def refuse_before_hand_over(session: Session, order: Order) -> None:
    """Raises Refused: what has not gone out cannot come back."""
    if order.state == OrderState.CANCELLED:
        raise Refused(Problem("step", f"Order {order.number} is cancelled."))
    if not gone_parts(session, order):
        raise Refused(Problem("step", f"Order {order.number} is not handed over yet: tap its steps first."))
