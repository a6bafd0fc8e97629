"""The steps of a hand-over, from the last fill to the door. Each is tapped, and can be undone if it was wrong."""

from collections.abc import Collection
from dataclasses import replace

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.orders.concerns import (
    ANYWAY,
    Concern,
    ConcernKind,
    describe_concerns,
    find_concerns,
    refuse_unless_sure,
)
from app.actions.records.descriptions import Changes
from app.actions.records.history import touch_board, write_history
from app.actions.records.orders import load_order, refuse_not_made
from app.actions.records.taps import (
    active_taps,
    handed_over_parts,
    is_known,
    load_tap,
    mark_undone,
    part_is_filled,
    parts_of,
    save_tap,
)
from app.actions.stock.consumption import consume_supplies
from app.quoting.errors import Problem, Refused
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart, OrderState
from app.store.models import Order, Tap
from app.store.queries.rentals import rentals_of_order

BEFORE_FILLING = (HandOverStep.PACKED, HandOverStep.ON_ACCOUNT)
NOT_FILLED_YET = "Order {number} is not filled yet. Fill all its balloons first."


def steps_of(
    *, treated: bool, at_venue: bool = False, assembled: bool = True, weighted: bool = True
) -> list[HandOverStep]:
    """Returns the steps of a hand-over, as they are listed. Only treated balloons dry; a crew packs before it
    fills, and bags nothing. assembled: whether something is put together. weighted: whether balloons have
    helium."""
    applies = {
        HandOverStep.PACKED: at_venue,
        HandOverStep.DRY: treated,
        HandOverStep.ASSEMBLED: assembled,
        HandOverStep.WEIGHTED: weighted,
        HandOverStep.BAGGED: not at_venue,
        HandOverStep.ON_ACCOUNT: False,
    }
    return [step for step in HandOverStep if applies.get(step, True)]


def take_step(
    context: Context,
    number: int,
    step: HandOverStep,
    client_key: str,
    *,
    part: OrderPart = OrderPart.MAIN,
    sure: Collection[ConcernKind] = (),
) -> Order:
    """Saves one step of the hand-over of this part, and returns the order.

    sure: what somebody knows and takes the step anyway. Raises NotFound, StepAsked, and Refused if the step cannot
    be taken now.
    """
    order = load_order(context.session, number, to_change=True)
    if is_known(context.session, client_key):
        return order
    _refuse_unfit(context.session, order, step, part)
    concerns = find_concerns(context, order, step, part)
    refuse_unless_sure(concerns, sure)
    if step is HandOverStep.HANDED_OVER and HandOverStep.READY not in _ticked(context.session, order, part):
        save_step(context, order, HandOverStep.READY, f"{client_key} ready", part=part)  # what leaves is ready
    save_step(context, order, step, client_key, part=part, concerns=concerns)
    return order


def save_step(
    context: Context,
    order: Order,
    step: HandOverStep,
    client_key: str,
    *,
    part: OrderPart = OrderPart.MAIN,
    concerns: Collection[Concern] = (),
) -> None:
    """Saves the step, even out of turn; a key that is saved already changes nothing. concerns: those in spite of
    which it is taken."""
    tap = Tap(
        client_key=client_key,
        order_id=order.id,
        batch_id=None,
        act=step,
        part=part,
        colour="",
        count=0,
        at=context.now,
        who=context.who,
    )
    if save_tap(context.session, tap):
        then, anyway = replace(context, now=tap.at), describe_concerns(context, concerns)
        if step is HandOverStep.HANDED_OVER:
            _hand_over(then, order, part, anyway)
        elif anyway:
            write_history(then, order, ANYWAY[step], anyway)
        touch_board(context.session)


def undo_step(context: Context, number: int, tap_id: int) -> Order:
    """Undoes a step; a second undo of the same tap changes nothing. What was handed over is undone before the steps
    that led to it. Raises NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    tap = load_tap(context.session, tap_id)
    if tap.order_id != order.id or tap.batch_id is not None or tap.act not in [*HandOverStep]:
        raise NotFound("This step does not exist, so it cannot be undone.")
    if tap.undone_at is not None:
        return order
    if order.is_quick_sale:
        raise Refused(Problem("step", f"Order {number} is a quick sale. Undo it on the quick sale page."))
    is_handed_over = HandOverStep.HANDED_OVER in _ticked(context.session, order, tap.part)
    if is_handed_over and tap.act != HandOverStep.HANDED_OVER:
        raise Refused(Problem("step", "Undo the hand-over first."))
    if tap.act == HandOverStep.HANDED_OVER:
        _refuse_after_take_down(context.session, order)
    mark_undone(context, tap)
    if tap.act == HandOverStep.HANDED_OVER:
        order.state, order.handed_over_at, order.late_reason = OrderState.OPEN, None, None
        consume_supplies(context, order)
        undone = replace(context, now=tap.undone_at or context.now)
        write_history(undone, order, f"hand-over undone{_of_part(order, tap.part)}", [])
    touch_board(context.session)
    return order


def _refuse_after_take_down(session: Session, order: Order) -> None:
    """Raises Refused if something came back already: that had gone out."""
    row = rentals_of_order(session, order.number)
    if row and (row.returns or row.cut):
        raise Refused(Problem("step", "First undo the return or the take-down."))


def _hand_over(context: Context, order: Order, part: OrderPart, anyway: Changes) -> None:
    """Sets the order to handed over once all of it is. anyway: in spite of what."""
    if handed_over_parts(context.session, order) >= parts_of(order):
        order.state, order.handed_over_at = OrderState.HANDED_OVER, context.now
        consume_supplies(context, order)
    write_history(context, order, f"handed over{_of_part(order, part)}", anyway)


def _of_part(order: Order, part: OrderPart) -> str:
    """Returns words that name the later part, for an order that has one."""
    if len(parts_of(order)) == 1:
        return ""
    return " (later part)" if part is OrderPart.LATER else " (main part)"


def _ticked(session: Session, order: Order, part: OrderPart) -> set[str]:
    """Returns the steps of one hand-over that are ticked."""
    return {tap.act for tap in active_taps(session, order.id, None) if tap.part is part}


def _refuse_unfit(session: Session, order: Order, step: HandOverStep, part: OrderPart) -> None:
    """Raises Refused if the step cannot be taken now."""
    if order.state != OrderState.OPEN:
        raise Refused(Problem("step", f"Order {order.number} is {order.state}. Its steps can't be changed."))
    refuse_not_made(order)
    if step not in BEFORE_FILLING and not part_is_filled(order, part):
        raise Refused(Problem("step", NOT_FILLED_YET.format(number=order.number)))
    treated = any(batch.treated and batch.quantity and batch.part is part for batch in order.batches)
    steps = steps_of(treated=treated, at_venue=order.hand_over == HandOver.VENUE)
    if step not in steps and step is not HandOverStep.ON_ACCOUNT:
        raise Refused(Problem("step", f"Order {order.number} has no step “{step}”."))
    if step in _ticked(session, order, part):
        raise Refused(Problem("step", f"Order {order.number}: “{step}” is ticked already."))
