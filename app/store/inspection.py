"""This module looks at SQLite files that are not in use, such as backups, without changing or trusting them."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import NullPool, create_engine
from sqlalchemy.orm import Session

from app.store.engine import sqlite_module
from app.store.queries.bench import batches_of_day

BUSY_SECONDS = 5.0


class Unsound(Exception):
    """Raised when a file fails a check; the message is the end of a sentence for a person, which says why."""


def connect(file: Path, options: str = "mode=rw") -> Any:
    """Returns a connection that begins no transaction by itself and trusts nothing that the file's schema calls.

    Raises the SQLite library's own errors. `sqlite_module().Error` is their base.
    """
    address = f"{file.absolute().as_uri()}?{options}"
    opened = sqlite_module().connect(address, uri=True, timeout=BUSY_SECONDS, isolation_level=None)
    opened.execute("PRAGMA trusted_schema=OFF")
    return opened


@contextmanager
def reading_still_file(file: Path) -> Iterator[Any]:
    """Yields a connection to a file that nobody writes; it takes no lock and leaves no other file beside it."""
    with closing(connect(file, "mode=ro&immutable=1")) as opened:
        yield opened


def count_rows(opened: Any) -> dict[str, int]:
    """Returns how many rows each table has."""
    counts = {}
    for (name,) in opened.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").fetchall():
        quoted = name.replace('"', '""')
        (counts[name],) = opened.execute(f'SELECT count(*) FROM "{quoted}"').fetchone()
    return counts


def revision_of(opened: Any) -> str | None:
    """Returns the revision of the tables; None when the file is no database of a shop."""
    try:
        rows = opened.execute("SELECT version_num FROM alembic_version").fetchall()
    except sqlite_module().OperationalError:
        return None
    return str(rows[0][0]) if len(rows) == 1 else None


def refuse_damage(opened: Any) -> None:
    """Raises Unsound when a page of the file is damaged, or when a row points at one that does not exist."""
    try:
        (answer,) = opened.execute("PRAGMA integrity_check(1)").fetchone()
        broken = opened.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite_module().DatabaseError as exc:
        raise Unsound(f"it is damaged ({exc})") from exc
    if answer != "ok":
        raise Unsound(f"it is damaged ({' '.join(answer.split())})")
    if broken:
        raise Unsound(f"rows of its table {broken[0]} point to rows of {broken[2]} that do not exist")


def answer_board(file: Path, now: datetime) -> int:
    """Returns how many batches the bench's board of a still file has around now. Raises Unsound when it cannot be
    read. The file must have this program's tables."""
    engine = create_engine(
        "sqlite://",
        module=sqlite_module(),
        poolclass=NullPool,
        creator=lambda: connect(file, "mode=ro&immutable=1"),
    )
    day = timedelta(days=1)
    try:
        with Session(engine) as session:
            return len(batches_of_day(session, now - day, now + day, is_today=True))
    except Exception as exc:  # rows that this program did not write can make it raise anything
        raise Unsound("the board of the bench cannot be read from it") from exc
