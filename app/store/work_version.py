"""This module counts the changes of what decides whether an order can be taken: open work, staff, stock and gas.

What was found out about these holds until the version is another. Each transaction that changed one of the tables
counts once, as its last statement: whoever writes then waits for nobody who waits for it.
"""

from typing import Any

from sqlalchemy import event, text
from sqlalchemy.orm import ORMExecuteState, Session

from app.store.models import (
    Cylinder,
    CylinderReading,
    DayShift,
    Delivery,
    Lot,
    Order,
    OrderBatch,
    OrderExtra,
    OrderLine,
    PlannedStart,
    Rental,
    RentalReturn,
    Tap,
    WeekdayShift,
)
from app.store.versions import WORK, changed_rows, versions_of

SOURCES = (
    Order,
    OrderLine,
    OrderExtra,
    OrderBatch,
    Tap,
    PlannedStart,
    WeekdayShift,
    DayShift,
    Lot,
    Delivery,
    Cylinder,
    CylinderReading,
    Rental,
    RentalReturn,
)
_CHANGED = "work changed"
_COUNT = text(
    "INSERT INTO counter (name, value) VALUES (:name, 1) ON CONFLICT (name) DO UPDATE SET value = counter.value + 1"
)


def work_version(session: Session) -> int | None:
    """The number as it is committed, 0 before the first change; None once this session itself has changed one of
    the sources."""
    if session.info.get(_CHANGED) or _sources_in(session):
        return None
    return versions_of(session).get(WORK, 0)


def _sources_in(session: Session) -> bool:
    return next(changed_rows(session, SOURCES), None) is not None


@event.listens_for(Session, "before_flush")
def _remember_flush(session: Session, _context: Any, _instances: Any) -> None:
    if not session.info.get(_CHANGED) and _sources_in(session):
        session.info[_CHANGED] = True


@event.listens_for(Session, "do_orm_execute")
def _remember_statement(state: ORMExecuteState) -> None:
    if not (state.is_insert or state.is_update or state.is_delete):
        return
    if state.bind_mapper is not None and issubclass(state.bind_mapper.class_, SOURCES):
        state.session.info[_CHANGED] = True


@event.listens_for(Session, "before_commit")
def _count_at_the_end(session: Session) -> None:
    """Counts the transaction if it changed a source; a part of it that ends earlier is not the end."""
    if session.in_nested_transaction():
        return
    session.flush()
    if session.info.get(_CHANGED):
        session.connection().execute(_COUNT, {"name": WORK})


@event.listens_for(Session, "after_transaction_end")
def _forget_changes(session: Session, transaction: Any) -> None:
    if transaction.parent is None:
        session.info.pop(_CHANGED, None)
