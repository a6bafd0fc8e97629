"""This module migrates a database's tables to the form that this program expects, and back."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection

from app.later import Later
from app.store.engine import make_engine, parse_url
from app.store.files import ENDINGS
from app.store.ownership import DatabaseOwner, find_owner, revision_on, sign_database
from app.store.sentences import StoreUnusable, not_ours

if TYPE_CHECKING:
    from alembic import command, config
else:
    command, config = Later("alembic.command"), Later("alembic.config")

PROJECT_FILE = Path(__file__).resolve().parents[2] / "pyproject.toml"
_REVISION = re.compile(r"""^(revision|down_revision) = (?:None|["'](\w+)["'])$""", re.MULTILINE)


NO_FILE_TO_MOVE = "Only an SQLite file can be moved away. Empty this database with its own tools."


class BrokenReferences(Exception):
    """Raised when a migration left rows that point at rows which do not exist; the migration was undone."""


def upgrade(url: str, revision: str = "head") -> None:
    """Migrates forward to a revision. A migration that fails leaves the database as it was."""
    command.upgrade(_config(url), revision)


def bring_up_to_date(url: str) -> None:
    """Migrates to the newest revision. A database that has it already is only signed as ours."""
    if not is_current(url):
        upgrade(url)
        return
    with migration_connection(url) as connection:
        sign_database(connection)
        connection.commit()


def downgrade(url: str, revision: str) -> None:
    """Migrates back to a revision; 'base' removes all tables."""
    command.downgrade(_config(url), revision)


def current(url: str) -> str | None:
    """Returns the revision of the database; None before the first migration."""
    engine = make_engine(url)
    try:
        with engine.connect() as connection:
            return revision_on(connection)
    finally:
        engine.dispose()


def is_current(url: str) -> bool:
    """Returns whether the database is at the newest revision that this program knows."""
    return current(url) == known_revisions()[0]


def owner_of(url: str) -> DatabaseOwner:
    """Returns whose the database is, and changes nothing in it."""
    return find_owner(url, known_revisions())


def refuse_what_is_not_ours(url: str) -> None:
    """Raises StoreUnusable for a database of a newer version or of another program, and changes nothing in it."""
    owner = owner_of(url)
    if owner is DatabaseOwner.NEWER or owner is DatabaseOwner.OTHER:
        raise StoreUnusable(not_ours(owner is DatabaseOwner.NEWER, parse_url(url).database or ""))


def known_revisions() -> tuple[str, ...]:
    """Returns the revisions that this program knows, the newest first.

    The files of the migrations are read, not run: a start that has nothing to migrate does without Alembic.
    """
    folder = PROJECT_FILE.parent / "migrations" / "versions"
    files = (file for file in folder.iterdir() if file.suffix == ".py")
    next_of = {previous: revision for revision, previous in map(_revision_and_previous, files)}
    known: list[str] = []
    while following := next_of.get(known[-1] if known else ""):
        known.append(following)
    return tuple(reversed(known))


def _revision_and_previous(file: Path) -> tuple[str, str]:
    """Returns a migration's revision and the one before it, which is empty for the first migration."""
    given = dict(_REVISION.findall(file.read_text("utf-8")))
    return given["revision"], given["down_revision"]


@contextmanager
def migration_connection(url: str) -> Iterator[Connection]:
    """Yields a connection, of an engine of its own, that may write and does not enforce foreign keys.

    With foreign keys on, changing a parent table would delete all rows of its children.
    """
    engine = make_engine(url)
    try:
        with engine.connect().execution_options(write=True) as connection:
            if engine.dialect.name == "sqlite":
                # Inside a transaction, where SQLAlchemy would send it, this setting does nothing.
                driver_connection: Any = connection.connection.driver_connection
                driver_connection.execute("PRAGMA foreign_keys=OFF")
            yield connection
    finally:
        engine.dispose()


def refuse_broken_references(connection: Connection) -> None:
    """Raises BrokenReferences when a row of an SQLite file points at a row that does not exist."""
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        pairs = ", ".join(sorted({f"{row[0]} → {row[2]}" for row in broken}))
        raise BrokenReferences(f"{len(broken)} rows point to rows that do not exist: {pairs}.")


def _config(url: str) -> "config.Config":
    return config.Config(toml_file=PROJECT_FILE, attributes={"url": url})


def set_database_aside(database_url: str, ending: str) -> Path | None:
    """Renames an SQLite file to its name plus `.ending`, or plus the next number that is free.

    Returns its new path, or None if there was no file. Raises StoreUnusable for a database that is not a file.
    """
    url = parse_url(database_url)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise StoreUnusable(NO_FILE_TO_MOVE)
    names = (f"{url.database}.{ending}{f'-{number}' if number else ''}" for number in count())
    free = next(name for name in names if not Path(name).exists())
    for file_ending in ENDINGS:
        file = Path(url.database + file_ending)
        if file.exists():
            file.replace(free + file_ending)
    return Path(free) if Path(free).exists() else None
