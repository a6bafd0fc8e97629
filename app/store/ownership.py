"""This module says whose a database is before anything in it changes: ours, a newer version's or another's."""

from collections.abc import Collection
from contextlib import closing
from enum import StrEnum
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import DatabaseError

from app.store.engine import BUSY_MILLISECONDS, make_engine, parse_url, sqlite_module
from app.store.files import file_of

APPLICATION_ID = 0x53744C66
"""“StLf” in ASCII: the application_id in the header of every SQLite file of Stillaloft."""
REVISION_TABLE = "alembic_version"
OUR_TABLES = frozenset({"orders", "batch", "tap", "balloon_type", "setting"})
"""Every version of Stillaloft has these, so that a file is known as ours by them if it has no application_id."""


class DatabaseOwner(StrEnum):
    """Whose a database is. EMPTY: nobody's yet. NEWER: a version's that this program does not know."""

    EMPTY = "empty"
    OURS = "ours"
    NEWER = "newer"
    OTHER = "other"


def find_owner(url: str, known_revisions: Collection[str]) -> DatabaseOwner:
    """Returns whose the database is, and changes nothing in it. known_revisions: of this program's migrations.

    Raises DatabaseError when it cannot be read.
    """
    parsed = parse_url(url)
    file = file_of(parsed)
    if file is not None:
        return _owner_of_file(file, known_revisions)
    engine = make_engine(url)
    try:
        with engine.connect() as connection:
            tables = set(inspect(connection).get_table_names())
            revision = revision_on(connection)
    finally:
        engine.dispose()
    return _judge(0, tables, revision, known_revisions)


def revision_on(connection: Connection) -> str | None:
    """Returns the revision of the tables; None before the first migration."""
    if not inspect(connection).has_table(REVISION_TABLE):
        return None
    return connection.scalar(text(f"SELECT version_num FROM {REVISION_TABLE}"))


def sign_database(connection: Connection) -> None:
    """Writes the application_id into an SQLite file that has none. The connection must be able to write."""
    if connection.dialect.name != "sqlite":
        return
    (found,) = connection.exec_driver_sql("PRAGMA application_id").one()
    if found == 0:
        connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")


def _owner_of_file(file: Path, known_revisions: Collection[str]) -> DatabaseOwner:
    """Returns whose the file is. It is not opened by an engine, because that would change its journal mode."""
    if not file.exists():
        return DatabaseOwner.EMPTY
    address = f"{file.absolute().as_uri()}?mode=rw"
    try:
        with closing(sqlite_module().connect(address, uri=True)) as opened:
            opened.execute(f"PRAGMA busy_timeout={BUSY_MILLISECONDS}")
            opened.execute("PRAGMA query_only=ON")
            (number,) = opened.execute("PRAGMA application_id").fetchone()
            tables = {name for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            return _judge(number, tables, _revision_in(opened, tables), known_revisions)
    except sqlite_module().DatabaseError as exc:
        raise DatabaseError(None, None, exc) from exc


def _revision_in(opened: Any, tables: Collection[str]) -> str | None:
    """Returns the revision of the tables in an open SQLite file; None when it has none."""
    if REVISION_TABLE not in tables:
        return None
    names = {row[1] for row in opened.execute(f"PRAGMA table_info({REVISION_TABLE})")}
    found = (
        opened.execute(f"SELECT version_num FROM {REVISION_TABLE}").fetchone() if "version_num" in names else None
    )
    return str(found[0]) if found else None


def _judge(
    number: int, tables: Collection[str], revision: str | None, known_revisions: Collection[str]
) -> DatabaseOwner:
    """Returns whose a database is. number: its application_id, 0 if it has none."""
    if number not in (0, APPLICATION_ID):
        return DatabaseOwner.OTHER
    if revision in known_revisions:
        return DatabaseOwner.OURS
    if revision is not None:
        is_signed = number == APPLICATION_ID or set(tables) >= OUR_TABLES
        return DatabaseOwner.NEWER if is_signed else DatabaseOwner.OTHER
    return DatabaseOwner.OTHER if set(tables) - {REVISION_TABLE, "sqlite_sequence"} else DatabaseOwner.EMPTY
