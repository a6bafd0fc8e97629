"""A number that grows with every change of what the shop and its catalogue are built from.

Whoever keeps the two built asks for this number, and builds them again when it has grown.
"""

from typing import Any

from sqlalchemy import event, select, update
from sqlalchemy.orm import ORMExecuteState, Session

from app.store.models import (
    BalloonTypeRow,
    Counter,
    DesignPartRow,
    DesignRow,
    DesignSupplyRow,
    OpeningException,
    OpeningWeekday,
    SettingRow,
    SupplyRow,
)

SOURCES = (
    SettingRow,
    OpeningWeekday,
    OpeningException,
    BalloonTypeRow,
    SupplyRow,
    DesignRow,
    DesignPartRow,
    DesignSupplyRow,
)
SHOP = "shop"
_CHANGED = "shop changed"


def shop_version(session: Session) -> int | None:
    """The number as it is committed; None once this session itself has changed one of the sources."""
    if session.info.get(_CHANGED) or _sources_in(session):
        return None
    return session.scalar(select(Counter.value).where(Counter.name == SHOP))


def _sources_in(session: Session) -> bool:
    changed = (*session.new, *session.deleted, *(row for row in session.dirty if session.is_modified(row)))
    return any(isinstance(row, SOURCES) for row in changed)


@event.listens_for(Session, "before_flush")
def _grow_with_rows(session: Session, _context: Any, _instances: Any) -> None:
    if _sources_in(session):
        _grow(session)


@event.listens_for(Session, "do_orm_execute")
def _grow_with_statements(state: ORMExecuteState) -> None:
    if not (state.is_insert or state.is_update or state.is_delete):
        return
    if state.bind_mapper is not None and issubclass(state.bind_mapper.class_, SOURCES):
        _grow(state.session)


def _grow(session: Session) -> None:
    """Once a transaction is enough: nobody else sees the number before the commit."""
    if not session.info.get(_CHANGED):
        session.info[_CHANGED] = True
        # On the connection, since the session may be in the middle of a flush.
        session.connection().execute(update(Counter).where(Counter.name == SHOP).values(value=Counter.value + 1))


@event.listens_for(Session, "after_transaction_end")
def _forget(session: Session, transaction: Any) -> None:
    if transaction.parent is None:
        session.info.pop(_CHANGED, None)
