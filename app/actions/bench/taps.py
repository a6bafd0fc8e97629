"""What the decorator taps on a batch: start, filled so many, one burst, all filled, still going, undo."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import bindparam, inspect, select
from sqlalchemy.orm import Session, lazyload
from sqlalchemy.orm.attributes import set_committed_value

from app.actions.context import Context
from app.actions.errors import NotFound, TooEarly
from app.actions.records.batches import promised_start, read_float_plan, usable_window
from app.actions.records.descriptions import percent
from app.actions.records.history import touch_board, write_history
from app.actions.records.open_work import work_key
from app.actions.records.orders import refuse_not_made
from app.actions.records.taps import (
    BatchTaps,
    active_taps,
    load_tap,
    mark_undone,
    taps_at,
    undo_premature_steps,
)
from app.actions.stock.consumption import consume_balloons, stock_used_by
from app.planning.early import why_early
from app.planning.going_on import going_on
from app.planning.window import Verdict, worst
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderState, TapAction
from app.store.models import Order, OrderBatch, PlannedStart, Tap
from app.store.queries.plan import load_plan
from app.store.queries.taps import last_signs

FILLS = (TapAction.FILL, TapAction.FINISH)
LOSSES = (TapAction.BURST, TapAction.LOSE)
ANSWERS = (TapAction.CONTINUE, TapAction.STOP)
"""What is answered when the board asks whether a batch is still being filled. Neither starts nor fills it."""
NOT_AT_THE_BENCH = "Edit the order at the counter: it asks what becomes of filled balloons that are left over."
WARNED_IF_EARLY = (TapAction.START, *FILLS)
"""Whoever starts a batch too early with one of these is asked whether they are sure; with a burst, nobody is."""

_ORDER_OF_BATCH = (
    select(Order)
    .where(Order.id.in_(select(OrderBatch.order_id).where(OrderBatch.key == bindparam("key"))))
    .options(lazyload(Order.lines), lazyload(Order.extras), lazyload(Order.rentals), lazyload(Order.batches))
    .with_for_update()
)
"""A tap needs the batches; what else belongs to the order is loaded only if it is asked for."""
_BATCHES_OF_ORDER = select(OrderBatch).where(OrderBatch.order_id == bindparam("order_id")).order_by(OrderBatch.id)
"""They are read after the order is locked, so that they are as whoever had it before left them."""
_PLANNED_START = select(PlannedStart.starts_at).where(PlannedStart.batch_id == bindparam("batch_id"))


@dataclass(frozen=True, slots=True)
class Press:
    """What was pressed at a batch. client_key: made with the page, so that a double press counts once. count and
    colour: of the balloons filled or burst. sure: whether to go on even if it is too early."""

    act: TapAction
    client_key: str
    count: int = 0
    colour: str = ""
    sure: bool = False


def tap_batch(context: Context, key: str, press: Press) -> OrderBatch:
    """Saves a press and returns its batch; a press that says nothing new is not saved. Raises NotFound, TooEarly,
    and Refused when the batch cannot take it."""
    batch, order = load_batch(context.session, key)
    taps = taps_at(context.session, batch, press.client_key)
    if taps.known:
        return batch
    act, colour = press.act, press.colour
    count = _checked_count(batch, order, act, press.count, colour)
    if not _says_something_new(context, batch, act):
        return batch
    early = _too_early(context, batch, order, act)
    if early and not press.sure:
        raise early
    if act is TapAction.BURST and batch.filled and batch.filled >= batch.quantity:
        act = TapAction.LOSE
    tap = Tap(
        client_key=press.client_key,
        order_id=order.id,
        batch_id=batch.id,
        act=act,
        part=batch.part,
        colour=colour,
        count=count,
        at=taps.time_after(context.now),
        who=context.who,
    )
    context.session.add(tap)  # whoever sent it before had the order first, so it would be among the taps
    _update_after_tap(context, batch, order, replace(taps, every=[*taps.every, tap]))
    if early and early.early.costs_float_time:
        changes = [(f"chance of {batch.key}", percent(early.planned), percent(early.chance))]
        write_history(context, order, "started too early", changes)
    return batch


def load_batch(session: Session, key: str) -> tuple[OrderBatch, Order]:
    """Returns the batch and its order, which nobody else may change until the session ends. Raises NotFound."""
    order = session.scalar(_ORDER_OF_BATCH, {"key": key})
    if order is None:
        raise NotFound(f"There is no batch {key}. Its order may have changed: see the board.")
    if "batches" in inspect(order).unloaded:
        set_committed_value(order, "batches", session.scalars(_BATCHES_OF_ORDER, {"order_id": order.id}).all())
    return next(batch for batch in order.batches if batch.key == key), order


def undo_tap(context: Context, key: str, tap_id: int) -> OrderBatch:
    """Takes back one tap of a batch; a second undo of the same tap changes nothing. Raises NotFound, Refused."""
    batch, order = load_batch(context.session, key)
    taps, tap = taps_at(context.session, batch), load_tap(context.session, tap_id)
    if tap.batch_id != batch.id:
        raise NotFound("This tap belongs to another batch. Load the page again.")
    _refuse_closed(order)
    _refuse_replaced(batch, tap, taps)
    if tap.undone_at is None:
        mark_undone(context, tap)
        _update_after_tap(context, batch, order, taps)
    return batch


def _update_after_tap(context: Context, batch: OrderBatch, order: Order, taps: BatchTaps) -> None:
    """Updates the batch after its taps changed, takes back later steps of the order, and tells pages that poll."""
    update_batch_progress(context, batch, taps.active)
    _update_verdict(context, batch, order)
    undo_premature_steps(context, order, taps.active_steps)
    touch_board(context.session)


def _update_verdict(context: Context, batch: OrderBatch, order: Order) -> None:
    """Updates what becomes of the batch to its real start, or to the promised one if it was not started, and the
    order to the worst of its batches."""
    float_plan = read_float_plan(batch.float_plan)
    start = float_plan.start_to_judge(batch.started_at, promised_start(batch))
    outcome = float_plan.outcome(start, context.shop.certainty)
    batch.chance, batch.verdict = outcome.chance, outcome.verdict
    order.verdict = worst(Verdict(one.verdict) for one in order.batches if one.quantity)


def _refuse_closed(order: Order) -> None:
    """Raises Refused if the order is no longer open, or was not made."""
    if order.state != OrderState.OPEN:
        raise Refused(Problem("tap", f"Order {order.number} is {order.state}. Stop filling it."))
    refuse_not_made(order)


def _refuse_replaced(batch: OrderBatch, tap: Tap, taps: BatchTaps) -> None:
    """Raises Refused if the tap is of a balloon that burst and was replaced: without it, more would be filled than
    were ordered."""
    if tap.act != TapAction.LOSE:
        return
    others = [one for one in taps.active if one.id != tap.id]
    was_replaced = any(one.id > tap.id and one.act in FILLS for one in others)
    if was_replaced and _filled(others) > batch.quantity:
        raise Refused(Problem("tap", "Another balloon was filled in its place. Undo that tap first."))


def _checked_count(batch: OrderBatch, order: Order, act: TapAction, count: int, colour: str) -> int:
    """Returns how many balloons the tap stands for. Raises Refused if the batch cannot take it."""
    _refuse_closed(order)
    left = batch.quantity - batch.filled
    if act is TapAction.PUT_BACK:
        raise Refused(Problem("tap", NOT_AT_THE_BENCH))
    if act in ANSWERS and not batch.started_at:
        raise Refused(Problem("tap", "This batch is not started. Tap “Start” when you start."))
    if act in (TapAction.START, *ANSWERS):
        return 0
    if act is TapAction.FINISH:
        return max(left, 0)
    if act in LOSSES:
        if colour not in {name for name, _ in batch.colours}:
            raise Refused(
                Problem("colour", f"This batch has no {colour}." if colour else "Choose the colour that burst.")
            )
        return 1
    if not 1 <= count <= left:
        raise Refused(Problem("count", _how_many_are_left(left)))
    return count


def _says_something_new(context: Context, batch: OrderBatch, act: TapAction) -> bool:
    """Returns whether the press changes what is known: a second tablet may press what the first one has saved."""
    if act is TapAction.START:
        return batch.started_at is None
    if act not in (TapAction.FINISH, *ANSWERS):
        return True
    if batch.filled >= batch.quantity:
        return False
    if act is TapAction.FINISH:
        return True
    going = going_on(*last_signs(context.session, batch.id), context.shop.idle_after(batch.work_minutes))
    return going is not None if act is TapAction.STOP else going is None or context.now >= going.until


def _too_early(context: Context, batch: OrderBatch, order: Order, act: TapAction) -> TooEarly | None:
    """Returns a warning if starting the batch now is too early; None if it was started before."""
    if batch.started_at or act not in WARNED_IF_EARLY or _is_late(context, batch):
        return None
    shop = context.shop
    inflate_by = context.session.scalar(_PLANNED_START, {"batch_id": batch.id}) or batch.inflate_by
    window = usable_window(batch.not_before, inflate_by, batch.ready_by, order.hand_over, shop)
    plan = read_float_plan(batch.float_plan)
    early = why_early(window, batch.not_before, plan, shop.certainty, context.now)
    return TooEarly(early, plan.chance(context.now), plan.chance(inflate_by)) if early else None


def question_about(context: Context, key: str, act: TapAction) -> TooEarly | None:
    """Returns the warning that this press on the batch would get now; None if it would get none. Saves nothing."""
    batch = context.session.scalar(select(OrderBatch).where(OrderBatch.key == key))
    if batch is None or batch.order.state != OrderState.OPEN:
        return None
    return _too_early(context, batch, batch.order, act)


def _is_late(context: Context, batch: OrderBatch) -> bool:
    """Returns whether the batch should have been started although its planned start is still to come: its order
    can't be ready in time, so the planned start moves on with the clock."""
    if context.now <= batch.inflate_by:
        return False
    return work_key(batch.order.number, batch.part) in {one.order for one in load_plan(context.session).delays}


def _how_many_are_left(left: int) -> str:
    """Returns the sentence for a count that is out of range."""
    if left <= 0:
        return "All balloons of this batch are filled already."
    return f"Enter a number from 1 to {left}." if left > 1 else "Only 1 balloon is left: enter 1."


def update_batch_progress(context: Context, batch: OrderBatch, active: Sequence[Tap] | None = None) -> None:
    """Updates the batch to the sum of its active taps, and the stock to what is used for it. active: these taps, if
    they were read already."""
    before = stock_used_by(batch)
    _add_up(batch, active_taps(context.session, batch.order_id, batch.id) if active is None else active)
    consume_balloons(context, batch, before)


def _add_up(batch: OrderBatch, active: Sequence[Tap]) -> None:
    """Sets the progress of the batch from its active taps."""
    taps = [tap for tap in active if tap.act not in ANSWERS]
    batch.started_at = taps[0].at if taps else None
    if not taps:
        batch.started_as = None
    elif batch.started_as is None:
        batch.started_as = {"colours": batch.colours, "fill_size_in": batch.fill_size_in}
    batch.filled = _filled(taps)
    batch.bursts = _bursts(taps)
    batch.filled_at = _filled_at(batch, taps)


def _filled(taps: Sequence[Tap]) -> int:
    """Returns how many balloons are filled. The order of the taps matters: a balloon that is lost or put back takes
    one away only if one is filled by then."""
    filled = 0
    for tap in taps:
        if tap.act in FILLS:
            filled += tap.count
        elif tap.act in (TapAction.LOSE, TapAction.PUT_BACK):
            filled = max(0, filled - tap.count)
    return filled


def _bursts(taps: Sequence[Tap]) -> list[list[str | int]]:
    """Returns how many balloons were lost, by colour."""
    by_colour: dict[str, int] = {}
    for tap in taps:
        if tap.act in LOSSES:
            by_colour[tap.colour] = by_colour.get(tap.colour, 0) + tap.count
    return [[colour, count] for colour, count in by_colour.items()]


def _filled_at(batch: OrderBatch, taps: Sequence[Tap]) -> datetime | None:
    """Returns when the batch became full; None if it is not full."""
    fills = [tap.at for tap in taps if tap.act in FILLS and tap.count]
    return fills[-1] if fills and batch.filled >= batch.quantity else None
