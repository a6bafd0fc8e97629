"""This module refuses files that are no backup of a shop, or that could do more than hold its rows."""

from contextlib import closing
from pathlib import Path
from typing import Any

from app.store import models  # noqa: F401  gives Base its tables
from app.store.engine import sqlite_module
from app.store.inspection import connect, revision_of
from app.store.migrate import known_revisions
from app.store.ownership import APPLICATION_ID, OUR_TABLES, REVISION_TABLE
from app.store.sentences import StoreUnusable
from app.store.types import Base

SQLITE_HEADER = b"SQLite format 3\0"
NOT_SQLITE = "{name} is not an SQLite file. Name the file of a backup."
OTHER_PROGRAM = "{name} is the file of another program. Name the file of a backup."
NEWER = "{name} is of a newer version of Stillaloft. Install that version, then restore again."
NOT_OURS = (
    "{name} has the {sort} “{thing}”, which Stillaloft never makes, so it is not trusted. Name another backup."
)
MISSING_TABLE = "{name} lacks the table “{thing}”, so it is not complete. Name another backup."
UNREADABLE = "{name} is damaged ({why}). Name another backup."


def refuse_foreign(file: Path, name: str) -> None:
    """Raises StoreUnusable unless this is an SQLite file with the tables of a shop, of a known version. name: what
    the sentences call it."""
    with file.open("rb") as opened:
        if opened.read(len(SQLITE_HEADER)) != SQLITE_HEADER:
            raise StoreUnusable(NOT_SQLITE.format(name=name))
    try:
        with closing(connect(file)) as database:
            found, revision = _things_in(database), revision_of(database)
            (application_id,) = database.execute("PRAGMA application_id").fetchone()
    except sqlite_module().DatabaseError as exc:
        raise StoreUnusable(UNREADABLE.format(name=name, why=exc)) from exc
    _refuse_strange_things(found, name)
    is_ours = OUR_TABLES | {REVISION_TABLE} <= found.keys() and application_id in (0, APPLICATION_ID)
    if not is_ours:
        raise StoreUnusable(OTHER_PROGRAM.format(name=name))
    if revision not in known_revisions():
        raise StoreUnusable(NEWER.format(name=name))


def refuse_other_tables(file: Path, name: str) -> None:
    """Raises StoreUnusable unless the file, whose tables are current, has exactly the tables of this program."""
    with closing(connect(file)) as database:
        found = {thing for thing, sort in _things_in(database).items() if sort == "table"}
    ours = {*Base.metadata.tables, REVISION_TABLE}
    if found - ours:
        raise StoreUnusable(NOT_OURS.format(name=name, sort="table", thing=min(found - ours)))
    if ours - found:
        raise StoreUnusable(MISSING_TABLE.format(name=name, thing=min(ours - found)))


def _things_in(database: Any) -> dict[str, str]:
    """Returns what the schema has by name: table, index, view, trigger or virtual table; SQLite's own left out."""
    rows = database.execute("SELECT name, type, coalesce(sql, '') FROM sqlite_schema").fetchall()
    return {
        name: "virtual table" if sql.upper().startswith("CREATE VIRTUAL") else sort
        for name, sort, sql in rows
        if not name.startswith("sqlite_")
    }


def _refuse_strange_things(found: dict[str, str], name: str) -> None:
    """Raises StoreUnusable for whatever runs or computes by itself; the shop's own files have tables and indexes
    only."""
    for thing, sort in sorted(found.items()):
        if sort not in ("table", "index"):
            raise StoreUnusable(NOT_OURS.format(name=name, sort=sort, thing=thing))
