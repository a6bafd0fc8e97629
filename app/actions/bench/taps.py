"""What the decorator taps on a batch: started, filled so many, burst one, filled, undo."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.errors import NotFound, Problem, Refused, TooEarly
from app.actions.records.batches import chance_if_started, usable_window
from app.actions.records.descriptions import percent
from app.actions.records.history import touch_board, write_history
from app.actions.records.shop import load_shop
from app.actions.records.taps import active_taps, is_known, load_tap, mark_undone, save_tap, undo_steps
from app.actions.stock.consumption import consume_balloons, gone_for
from app.quoting.states import Act, OrderState
from app.store.models import Order, OrderBatch, PlannedStart, Tap

FILLS = (Act.FILL, Act.FINISH)
LOSSES = (Act.BURST, Act.LOSE)
ASKED_FIRST = (Act.START, *FILLS)
"""Whoever begins a batch too early with one of these is asked whether they are sure. What burst has burst."""


def tap_batch(
    session: Session,
    who: str,
    key: str,
    act: Act,
    now: datetime,
    client_key: str,
    count: int = 0,
    colour: str = "",
    *,
    sure: bool = False,
) -> OrderBatch:
    """One press. sure: even too early. Raises NotFound, TooEarly, and Refused when the batch cannot take it."""
    batch, order = load_batch(session, key)
    if is_known(session, client_key):
        return batch
    count = _checked_count(batch, order, act, count, colour)
    early = _too_early(session, batch, order, act, now)
    if early and not sure:
        raise early
    if act is Act.BURST and batch.filled and batch.filled >= batch.quantity:
        act = Act.LOSE
    tap = Tap(
        client_key=client_key,
        order_id=order.id,
        batch_id=batch.id,
        act=act,
        later=False,
        colour=colour,
        count=count,
        at=now,
        who=who,
    )
    if save_tap(session, tap):
        _settle(session, who, batch, order, now)
        if early:
            changes = [(f"{batch.key} up at the end", percent(early.planned), percent(early.chance))]
            write_history(session, order, who, "begun too early", changes, now)
    return batch


def load_batch(session: Session, key: str) -> tuple[OrderBatch, Order]:
    """The batch and its order, which nobody else may change until the session ends."""
    order_id = session.scalar(select(OrderBatch.order_id).where(OrderBatch.key == key))
    if order_id is None:
        raise NotFound(f"There is no batch {key}: its order may have changed.")
    order = session.scalars(select(Order).where(Order.id == order_id).with_for_update()).one()
    return next(batch for batch in order.batches if batch.key == key), order


def undo_tap(session: Session, who: str, key: str, tap_id: int, now: datetime) -> OrderBatch:
    """Take back one tap of a batch; a second undo of the same tap changes nothing. Raises NotFound, Refused."""
    batch, order = load_batch(session, key)
    tap = load_tap(session, tap_id)
    if tap.batch_id != batch.id:
        raise NotFound("That tap is not of this batch: its order may have changed.")
    _refuse_closed(order)
    if tap.undone_at is None:
        mark_undone(session, who, tap, now)
        _settle(session, who, batch, order, now)
    return batch


def _settle(session: Session, who: str, batch: OrderBatch, order: Order, now: datetime) -> None:
    settle_batch(session, who, batch, now)
    undo_steps(session, who, order, now)
    touch_board(session)


def _refuse_closed(order: Order) -> None:
    if order.state != OrderState.OPEN:
        raise Refused(Problem("tap", f"Order {order.number} is {order.state}: nothing more is filled for it."))


def _checked_count(batch: OrderBatch, order: Order, act: Act, count: int, colour: str) -> int:
    _refuse_closed(order)
    left = batch.quantity - batch.filled
    if act is Act.START:
        return 0
    if act is Act.FINISH:
        return max(left, 0)
    if act in LOSSES:
        if colour not in {name for name, _ in batch.colours}:
            raise Refused(Problem("colour", f"There is no {colour or 'such colour'} in this batch."))
        return 1
    if not 1 <= count <= left:
        raise Refused(Problem("count", _how_many_are_left(left)))
    return count


def _too_early(session: Session, batch: OrderBatch, order: Order, act: Act, now: datetime) -> TooEarly | None:
    """What speaks against beginning the batch now; nothing once it was begun."""
    if batch.started_at or act not in ASKED_FIRST:
        return None
    shop = load_shop(session)
    shared = session.get(PlannedStart, batch.id)
    inflate_by = shared.starts_at if shared else batch.inflate_by
    window = usable_window(batch.not_before, inflate_by, batch.ready_by, order.hand_over, shop)
    if not window.is_early(now, timedelta(minutes=shop.soon_minutes)):
        return None
    chance, planned = (chance_if_started(batch.float_plan, at) for at in (now, inflate_by))
    return TooEarly(chance, planned)


def _how_many_are_left(left: int) -> str:
    if left <= 0:
        return "All are filled already."
    return f"Only {left} are left: a number from 1 to {left}, please." if left > 1 else "Only one is left."


def settle_batch(session: Session, who: str, batch: OrderBatch, now: datetime) -> None:
    """The batch's progress is the sum of its standing taps, and so is what is gone from the shelves for it."""
    before = gone_for(batch)
    _add_up(session, batch)
    consume_balloons(session, who, batch, before, now)


def _add_up(session: Session, batch: OrderBatch) -> None:
    taps = active_taps(session, batch.order_id, batch.id)
    batch.started_at = taps[0].at if taps else None
    if not taps:
        batch.started_as = None
    elif batch.started_as is None:
        batch.started_as = {"colours": batch.colours, "fill_size_in": batch.fill_size_in}
    batch.filled = _filled(taps)
    batch.bursts = _bursts(taps)
    batch.filled_at = _filled_at(batch, taps)


def _filled(taps: Sequence[Tap]) -> int:
    """Tap by tap: one that bursts takes a filled one away only while there is one."""
    filled = 0
    for tap in taps:
        if tap.act in FILLS:
            filled += tap.count
        elif tap.act == Act.LOSE:
            filled = max(0, filled - tap.count)
    return filled


def _bursts(taps: Sequence[Tap]) -> list[list[str | int]]:
    by_colour: dict[str, int] = {}
    for tap in taps:
        if tap.act in LOSSES:
            by_colour[tap.colour] = by_colour.get(tap.colour, 0) + tap.count
    return [[colour, count] for colour, count in by_colour.items()]


def _filled_at(batch: OrderBatch, taps: Sequence[Tap]) -> datetime | None:
    fills = [tap.at for tap in taps if tap.act in FILLS and tap.count]
    return fills[-1] if fills and batch.filled >= batch.quantity else None
