"""This module counts the changes of the tables from which the shop and its catalogue are built.

A cache of the two compares this version with its own, and builds them again when the version is newer.
"""

from typing import Any

from sqlalchemy import event, update
from sqlalchemy.orm import ORMExecuteState, Session

from app.store.models import (
    BalloonTypeRow,
    ClosedDaysRow,
    Counter,
    DesignPartRow,
    DesignRow,
    DesignSupplyRow,
    OpeningException,
    OpeningWeekday,
    OwnColour,
    SettingRow,
    SupplyRow,
)
from app.store.versions import SHOP, changed_rows, versions_of

SOURCES = (
    SettingRow,
    OpeningWeekday,
    OpeningException,
    ClosedDaysRow,
    BalloonTypeRow,
    SupplyRow,
    DesignRow,
    DesignPartRow,
    DesignSupplyRow,
    OwnColour,
)
_CHANGED = "shop changed"


def shop_version(session: Session) -> int | None:
    """The number as it is committed; None once this session itself has changed one of the sources."""
    return None if has_changed_shop(session) else versions_of(session).get(SHOP)


def has_changed_shop(session: Session) -> bool:
    """Returns whether this session itself has changed one of the sources."""
    return bool(session.info.get(_CHANGED)) or _sources_in(session)


def _sources_in(session: Session) -> bool:
    return next(changed_rows(session, SOURCES), None) is not None


@event.listens_for(Session, "before_flush")
def _increment_on_flush(session: Session, _context: Any, _instances: Any) -> None:
    if _sources_in(session):
        _increment_version(session)


@event.listens_for(Session, "do_orm_execute")
def _increment_on_statement(state: ORMExecuteState) -> None:
    if not (state.is_insert or state.is_update or state.is_delete):
        return
    if state.bind_mapper is not None and issubclass(state.bind_mapper.class_, SOURCES):
        _increment_version(state.session)


def _increment_version(session: Session) -> None:
    """Increments the version, at most once in a transaction, since nobody else sees it before the commit."""
    if not session.info.get(_CHANGED):
        session.info[_CHANGED] = True
        # On the connection, since the session may be in the middle of a flush.
        session.connection().execute(update(Counter).where(Counter.name == SHOP).values(value=Counter.value + 1))


@event.listens_for(Session, "after_transaction_end")
def _clear_changed_flag(session: Session, transaction: Any) -> None:
    if transaction.parent is None:
        session.info.pop(_CHANGED, None)
