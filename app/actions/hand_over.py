"""What happens between the last fill and the door: one step after another, each tapped, each undone if wrong."""

from datetime import datetime
from enum import StrEnum

from sqlalchemy.orm import Session

from app.actions.errors import NotThere, Problem, Refused
from app.actions.history import touch_board, write_history
from app.actions.take_order import load_order
from app.actions.taps import is_known, keep_tap, load_tap, mark_undone, standing_taps
from app.store.models import Order, Tap


class Step(StrEnum):
    DRY = "dry"
    ASSEMBLED = "assembled"
    WEIGHTED = "weighted"
    BAGGED = "bagged"
    READY = "ready"
    HANDED_OVER = "handed over"


def steps_of(treated: bool) -> list[Step]:
    """The steps of an order after its last fill; only treated balloons have to dry."""
    return [step for step in Step if treated or step is not Step.DRY]


def take_step(session: Session, who: str, number: int, step: Step, now: datetime, client_key: str) -> Order:
    """Tap one step. Raises NotThere, and Refused when it is not the order's turn for it."""
    order = load_order(session, number, to_change=True)
    if is_known(session, client_key):
        return order
    _refuse_out_of_turn(session, order, step)
    keep_step(session, who, order, step, now, client_key)
    return order


def keep_step(session: Session, who: str, order: Order, step: Step, now: datetime, client_key: str) -> None:
    """The step, whosever turn it is; a key that is already kept changes nothing."""
    tap = Tap(
        client_key=client_key, order_id=order.id, batch_id=None, act=step, colour="", count=0, at=now, who=who
    )
    if keep_tap(session, tap):
        if step is Step.HANDED_OVER:
            order.state, order.handed_over_at = "handed over", now
            write_history(session, order, who, "handed over", [], now)
        touch_board(session)


def undo_step(session: Session, who: str, number: int, tap_id: int, now: datetime) -> Order:
    """Take back the latest step; a second undo of the same tap changes nothing. Raises NotThere, Refused."""
    order = load_order(session, number, to_change=True)
    tap = load_tap(session, tap_id)
    if tap.order_id != order.id or tap.batch_id is not None:
        raise NotThere("There is no such step to undo.")
    if tap.undone_at is not None:
        return order
    if order.sold_at_once:
        raise Refused(Problem("step", f"Order {number} was sold over the counter: take it back there."))
    if standing_taps(session, order.id, None)[-1] is not tap:
        raise Refused(Problem("step", "Undo the later steps first."))
    mark_undone(session, who, tap, now)
    if tap.act == Step.HANDED_OVER:
        order.state, order.handed_over_at = "open", None
        write_history(session, order, who, "hand-over undone", [], now)
    touch_board(session)
    return order


def _refuse_out_of_turn(session: Session, order: Order, step: Step) -> None:
    if order.state != "open":
        raise Refused(Problem("step", f"Order {order.number} is {order.state}."))
    if not all(batch.filled_at for batch in order.batches if batch.quantity):
        raise Refused(Problem("step", f"Not all balloons of order {order.number} are filled yet."))
    done = [tap.act for tap in standing_taps(session, order.id, None)]
    to_do = [s for s in steps_of(any(batch.treated and batch.quantity for batch in order.batches)) if s not in done]
    if not to_do or to_do[0] is not step:
        turn = f"the next step is “{to_do[0]}”" if to_do else "nothing is left to do"
        raise Refused(Problem("step", f"Order {order.number}: {turn}."))
