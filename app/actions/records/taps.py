"""Taps: what people press at the bench and at the hand-over. A repeated tap changes nothing twice."""

from collections.abc import Sequence

from sqlalchemy import and_, func, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.idempotency import save_once
from app.quoting.states import HandOverStep, OrderPart
from app.store.models import Order, Tap

_IS_STEP = and_(Tap.batch_id.is_(None), Tap.act.in_([*HandOverStep]))


def active_taps(session: Session, order_id: int, batch_id: int | None) -> Sequence[Tap]:
    """Returns the taps that were not undone, oldest first; batch_id None means the steps of the order's
    hand-over."""
    found = select(Tap).where(Tap.order_id == order_id, Tap.undone_at.is_(None))
    mine = found.where(_IS_STEP if batch_id is None else Tap.batch_id == batch_id)
    return session.scalars(mine.order_by(Tap.id)).all()


def is_known(session: Session, client_key: str) -> bool:
    """Returns whether a tap with this key is saved already."""
    return session.scalar(select(Tap.id).where(Tap.client_key == client_key)) is not None


def save_tap(session: Session, tap: Tap) -> bool:
    """Saves the tap and returns whether it is new; if its key is saved already, nothing changes.

    If the clock was set back meanwhile, the tap gets the time of the last one of its batch, undone or not, so that
    the times of a batch never run backwards. A step of a hand-over gets that of the last tap on its part.
    """
    if tap.batch_id is not None or tap.act in [*HandOverStep]:
        of_part = and_(Tap.order_id == tap.order_id, Tap.part == tap.part)
        before = of_part if tap.batch_id is None else Tap.batch_id == tap.batch_id
        tap.at = max(tap.at, session.scalar(select(func.max(Tap.at)).where(before)) or tap.at)
    return save_once(session, tap) is tap


def load_tap(session: Session, tap_id: int) -> Tap:
    """Returns the tap. Raises NotFound."""
    tap = session.get(Tap, tap_id)
    if tap is None:
        raise NotFound("This tap does not exist, so it cannot be undone.")
    return tap


def part_is_filled(order: Order, part: OrderPart) -> bool:
    """Returns whether nothing of this part of the order is left to fill."""
    return all(batch.filled_at for batch in order.batches if batch.quantity and batch.part is part)


def parts_of(order: Order) -> set[OrderPart]:
    """Returns the parts that the order has: each is handed over once."""
    return {OrderPart.MAIN} | {batch.part for batch in order.batches if batch.quantity}


def handed_over_parts(session: Session, order: Order) -> set[OrderPart]:
    """Returns the parts of the order that are handed over already."""
    return {tap.part for tap in active_taps(session, order.id, None) if tap.act == HandOverStep.HANDED_OVER}


def undo_premature_steps(context: Context, order: Order) -> None:
    """Undoes the steps of hand-overs that are no longer all filled: what was weighted and bagged does not count for
    balloons that are filled later. What was packed and how it is paid have nothing to do with the filling."""
    unfilled = {part for part in OrderPart if not part_is_filled(order, part)}
    if not unfilled:
        return
    for tap in active_taps(context.session, order.id, None):
        if tap.part in unfilled and tap.act not in (HandOverStep.PACKED, HandOverStep.ON_ACCOUNT):
            mark_undone(context, tap)


def mark_undone(context: Context, tap: Tap) -> None:
    """Marks the tap as undone."""
    tap.undone_at, tap.undone_by = max(context.now, tap.at), context.who
    context.session.flush()  # the active taps are read again right after
