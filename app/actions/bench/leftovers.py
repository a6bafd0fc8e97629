"""What became of an order that is over and was never finished: it was made after all, or it was not. Each can be
undone."""

from datetime import datetime

from app.actions.bench.taps import FILLS, Press, tap_batch, undo_tap
from app.actions.context import Context
from app.actions.records.orders import load_order, next_version
from app.actions.records.taps import active_taps
from app.actions.stock.consumption import consume_balloons, stock_used_by
from app.quoting.errors import Problem, Refused
from app.quoting.states import TapAction
from app.store.models import Order, OrderBatch
from app.store.queries.bench import batches_of_earlier_days

NOT_A_LEFTOVER = "Order {number} is not an unfinished order from an earlier day. Load the page again."


def mark_as_made(context: Context, number: int, client_key: str) -> Order:
    """Saves that the rest of the order was filled after all, and returns the order. A second press with the same
    key changes nothing. Raises NotFound, Refused."""
    order, batches = _load_leftover(context, number)
    for batch in batches:
        if not batch.filled_at:
            press = Press(TapAction.FINISH, f"{client_key} {batch.key}", sure=True)
            tap_batch(context, batch.key, press)
    return order


def mark_as_not_made(context: Context, number: int) -> Order:
    """Saves that the order was not made, and returns it. What was filled for it is taken from stock. A second press
    changes nothing. Raises NotFound, Refused."""
    order, batches = _load_leftover(context, number)
    if all(batch.filled_at for batch in batches):
        raise Refused(Problem("order", f"All balloons of order {number} are filled. Undo that first."))
    if order.not_made_at is None:
        _set_not_made(context, order, context.now)
        next_version(context, order, "not made", [])
    return order


def undo_leftover(context: Context, number: int) -> Order:
    """Takes back what was said today about a leftover, or at any time that the order was not made, and returns the
    order. A second press changes nothing. Raises NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    if order.not_made_at:
        _set_not_made(context, order, None)
        order.late_reason = None
        next_version(context, order, "“not made” undone", [])
        return order
    for batch in _load_leftover(context, number)[1]:
        taps = active_taps(context.session, order.id, batch.id)
        if batch.filled_at and taps and taps[-1].act in FILLS:
            undo_tap(context, batch.key, taps[-1].id)
    return order


def start_of_today(context: Context) -> datetime:
    """Returns the first moment of today; what should have been started before it is of an earlier day."""
    return context.shop.opening.day_bounds(context.today)[0]


def _load_leftover(context: Context, number: int) -> tuple[Order, list[OrderBatch]]:
    """Returns the order with its batches that stand among those of earlier days. Raises NotFound, and Refused if
    there are none."""
    order = load_order(context.session, number, to_change=True)
    keys = {row.key for row in batches_of_earlier_days(context.session, start_of_today(context), context.now)}
    batches = [batch for batch in order.batches if batch.key in keys]
    if not batches:
        raise Refused(Problem("order", NOT_A_LEFTOVER.format(number=number)))
    return order, batches


def _set_not_made(context: Context, order: Order, at: datetime | None) -> None:
    """Changes whether the order was made, and the stock with it: of an order that nobody works on any more, filled
    balloons are gone even if their batch is not full."""
    before = [(batch, stock_used_by(batch)) for batch in order.batches]
    order.not_made_at = at
    for batch, used in before:
        consume_balloons(context, batch, used)
