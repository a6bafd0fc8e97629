"""Why an order was late or not made: asked once, with one press, when it happens. It can be undone."""

from sqlalchemy import select

from app.actions.context import Context
from app.actions.records.history import touch_board, write_history
from app.actions.records.orders import load_order
from app.quoting.errors import Problem, Refused
from app.quoting.states import LateReason, OrderState
from app.store.models import Order
from app.store.queries.review_sales import is_late

NEVER_LATE = "Order {number} was neither late nor left unmade. Load the page again."


def save_late_reason(context: Context, number: int, reason: LateReason) -> Order:
    """Saves why the order was late or not made, and returns it. A reason that is saved already stays until it is
    undone. Raises NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    if order.late_reason is not None:
        return order
    if not (order.not_made_at or _was_late(context, order)):
        raise Refused(Problem("reason", NEVER_LATE.format(number=number)))
    _set_reason(context, order, reason, f"late: {reason}")
    return order


def undo_late_reason(context: Context, number: int) -> Order:
    """Takes back why the order was late or not made, and returns it; without a reason nothing changes. Raises
    NotFound."""
    order = load_order(context.session, number, to_change=True)
    if order.late_reason is not None:
        _set_reason(context, order, None, "reason for being late undone")
    return order


def _was_late(context: Context, order: Order) -> bool:
    late = select(Order.id).where(Order.id == order.id, Order.state == OrderState.HANDED_OVER, is_late())
    return context.session.scalar(late) is not None


def _set_reason(context: Context, order: Order, reason: LateReason | None, act: str) -> None:
    order.late_reason = reason
    write_history(context, order, act, [])
    touch_board(context.session)
