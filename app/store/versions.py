"""This module reads the versions of what the pages show: all of them in one statement, as most pages need several.

It is plain SQL, because a page that polls asks for nothing else.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import event
from sqlalchemy.orm import Session

BOARD, SHOP, WORK, PLAN = "board", "shop", "work", "plan"
STATEMENT = f"SELECT name, value FROM counter UNION ALL SELECT '{PLAN}', board_version FROM bench_plan"
_READ = "versions"


def versions_of(session: Session) -> Mapping[str, int]:
    """Returns the versions as this session sees them. A session that only reads asks for them once: on SQLite they
    stay what they are until it ends."""
    known: Mapping[str, int] | None = session.info.get(_READ)
    if known is None:
        connection = session.connection()
        known = {name: value for name, value in connection.exec_driver_sql(STATEMENT)}
        if not connection.get_execution_options().get("write"):
            session.info[_READ] = known
    return known


def changed_rows(session: Session, of: tuple[type, ...]) -> Iterator[Any]:
    """Yields the rows of these tables that the next flush of the session writes."""
    yield from (row for row in (*session.new, *session.deleted) if isinstance(row, of))
    yield from (row for row in session.dirty if isinstance(row, of) and session.is_modified(row))


@event.listens_for(Session, "after_transaction_end")
def _forget(session: Session, transaction: Any) -> None:
    if transaction.parent is None:
        session.info.pop(_READ, None)
