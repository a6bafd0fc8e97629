"""Taps: what people press at the bench and at the hand-over. A repeated tap changes nothing twice."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import and_, bindparam, func, or_, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.idempotency import save_once
from app.quoting.states import HandOverStep, OrderPart
from app.store.models import Order, OrderBatch, Tap

_STEPS = frozenset(HandOverStep)
_IS_STEP = and_(Tap.batch_id.is_(None), Tap.act.in_([*HandOverStep]))
_IS_AT_BATCH = or_(Tap.batch_id == bindparam("batch_id"), Tap.batch_id.is_(None))
_IS_OF_ORDER = and_(Tap.order_id == bindparam("order_id"), _IS_AT_BATCH)
_AT_BATCH = select(Tap).where(or_(_IS_OF_ORDER, Tap.client_key == bindparam("client_key"))).order_by(Tap.id)


def active_taps(session: Session, order_id: int, batch_id: int | None) -> Sequence[Tap]:
    """Returns the taps that were not undone, oldest first; batch_id None means the steps of the order's
    hand-over."""
    found = select(Tap).where(Tap.order_id == order_id, Tap.undone_at.is_(None))
    mine = found.where(_IS_STEP if batch_id is None else Tap.batch_id == batch_id)
    return session.scalars(mine.order_by(Tap.id)).all()


@dataclass(frozen=True, slots=True)
class BatchTaps:
    """All that was tapped at a batch, and the steps of its order's hand-over; the oldest first, read once. known:
    whether a tap with the key of the press is saved, wherever it was."""

    batch_id: int
    every: Sequence[Tap]
    known: bool = False

    @property
    def active(self) -> list[Tap]:
        """The taps of the batch that were not undone."""
        return [tap for tap in self.every if tap.batch_id == self.batch_id and tap.undone_at is None]

    @property
    def active_steps(self) -> list[Tap]:
        """The steps of the hand-over that were not undone."""
        return [tap for tap in self.every if tap.act in _STEPS and tap.batch_id is None and tap.undone_at is None]

    def time_after(self, now: datetime) -> datetime:
        """Returns the moment of a new tap of the batch: not before the last one, undone or not, if the clock was
        set back meanwhile. So the times of a batch never run backwards."""
        return max((tap.at for tap in self.every if tap.batch_id == self.batch_id and tap.at > now), default=now)


def taps_at(session: Session, batch: OrderBatch, client_key: str = "") -> BatchTaps:
    """Returns all taps at a batch and its order's hand-over. client_key: of the press that is to be saved."""
    asked = {"order_id": batch.order_id, "batch_id": batch.id, "client_key": client_key}
    found = session.scalars(_AT_BATCH, asked).all()
    every = [tap for tap in found if tap.order_id == batch.order_id]
    return BatchTaps(batch.id, every, any(tap.client_key == client_key for tap in found))


def is_known(session: Session, client_key: str) -> bool:
    """Returns whether a tap with this key is saved already."""
    return session.scalar(select(Tap.id).where(Tap.client_key == client_key)) is not None


def save_tap(session: Session, tap: Tap) -> bool:
    """Saves the tap and returns whether it is new; if its key is saved already, nothing changes.

    If the clock was set back meanwhile, the tap gets the time of the last one of its batch, and a step of a
    hand-over that of the last tap on its part, undone or not.
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


def undo_premature_steps(context: Context, order: Order, steps: Sequence[Tap] | None = None) -> None:
    """Undoes the steps of hand-overs that are no longer all filled: what was weighted and bagged does not count for
    balloons that are filled later. What was packed and how it is paid have nothing to do with the filling.

    steps: the active ones, if they were read already.
    """
    unfilled = {part for part in OrderPart if not part_is_filled(order, part)}
    if not unfilled:
        return
    for tap in active_taps(context.session, order.id, None) if steps is None else steps:
        if tap.part in unfilled and tap.act not in (HandOverStep.PACKED, HandOverStep.ON_ACCOUNT):
            mark_undone(context, tap)


def mark_undone(context: Context, tap: Tap) -> None:
    """Marks the tap as undone."""
    tap.undone_at, tap.undone_by = max(context.now, tap.at), context.who
    context.session.flush()  # the active taps are read again right after
