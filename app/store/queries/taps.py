"""This module reads what was tapped at a batch, and the last signs that it is being filled."""

from datetime import datetime
from typing import Any

from sqlalchemy import ScalarSelect, Select, case, func, select
from sqlalchemy.orm import Session

from app.quoting.states import TapAction
from app.store.models import OrderBatch, Tap


def last_progress_at() -> ScalarSelect[Any]:
    """Returns an SQL expression for the last tap that a batch is being filled; NULL if the batch is not started, is
    full or was stopped.

    A burst counts only while there is no other tap. What is put back in stock is tapped at the counter.
    """
    at, is_burst = case((Tap.act != TapAction.STOP, Tap.at)), Tap.act == TapAction.BURST
    return _of_batch(select(at).order_by(is_burst, Tap.id.desc()).limit(1)).scalar_subquery()


def last_burst_at() -> ScalarSelect[Any]:
    """Returns an SQL expression for the last burst of a batch that is started and not full."""
    return _of_batch(select(func.max(Tap.at)).where(Tap.act == TapAction.BURST)).scalar_subquery()


def first_tap_id() -> ScalarSelect[Any]:
    """Returns an SQL expression for the first active bench tap of a batch; NULL if it is not started."""
    return _active(select(func.min(Tap.id))).scalar_subquery()


def last_tap_id() -> ScalarSelect[Any]:
    """Returns an SQL expression for the last active bench tap of a batch; NULL if it is not started."""
    return _active(select(func.max(Tap.id))).scalar_subquery()


def _of_batch(found: Select[*tuple[Any, ...]]) -> Select[*tuple[Any, ...]]:
    """Returns the query narrowed to the active bench taps of the batch, if that is being filled."""
    return _active(found).where(OrderBatch.filled_at.is_(None))


def _active(found: Select[*tuple[Any, ...]]) -> Select[*tuple[Any, ...]]:
    """Returns the query narrowed to the bench taps of the batch that were not undone."""
    return found.where(
        Tap.batch_id == OrderBatch.id,
        Tap.act != TapAction.PUT_BACK,
        Tap.undone_at.is_(None),
        OrderBatch.started_at.is_not(None),
    ).correlate(OrderBatch)


def last_signs(session: Session, batch_id: int) -> tuple[datetime | None, datetime | None]:
    """Returns the last tap that the batch is being filled, and its last burst; None for what there is not."""
    found = select(last_progress_at(), last_burst_at()).where(OrderBatch.id == batch_id)
    progress, burst = session.execute(found).one()
    return progress, burst


def taps_of_batch(session: Session, batch_id: int) -> list[Tap]:
    """Returns all taps of a batch, including those that were undone, the latest first."""
    return list(session.scalars(select(Tap).where(Tap.batch_id == batch_id).order_by(Tap.id.desc())))
