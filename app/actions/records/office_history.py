"""The history of what is changed in the office: who, when, what, from and to."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.store.models import Counter, OfficeChange
from app.store.versions import SHOP

FieldChange = tuple[str, str, Any, Any]
"""The field, its label, and its value before and after."""
MOST_ENTRIES = 100


def lock_office(session: Session) -> None:
    """Locks the office: nobody else saves one of its forms until the session ends."""
    session.execute(select(Counter.value).where(Counter.name == SHOP).with_for_update())


def write_office_history(context: Context, subject: str, changes: Sequence[FieldChange]) -> None:
    """Adds an entry to the history; does nothing if nothing changed."""
    if changes:
        rows = [list(change) for change in changes]
        context.session.add(OfficeChange(at=context.now, who=context.who, subject=subject, changes=rows))
        context.session.flush()


def office_history(session: Session, subject: str, most: int = MOST_ENTRIES) -> list[OfficeChange]:
    """Returns the latest changes of the subject, the newest first."""
    found = select(OfficeChange).where(OfficeChange.subject == subject)
    return list(session.scalars(found.order_by(OfficeChange.id.desc()).limit(most)))
