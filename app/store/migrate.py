"""Bring a database's tables to the shape this program expects, and back."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from app.store.engine import make_engine

PROJECT_FILE = Path(__file__).resolve().parents[2] / "pyproject.toml"


class BrokenReferences(Exception):
    """A migration left rows that point at nothing; it was undone."""


def upgrade(url: str, revision: str = "head") -> None:
    """Migrate forward; a migration that fails leaves the database as it was."""
    command.upgrade(_config(url), revision)


def downgrade(url: str, revision: str) -> None:
    """Migrate back to `revision` ('base' for nothing at all)."""
    command.downgrade(_config(url), revision)


def current(url: str) -> str | None:
    """The revision the database is at, None before the first."""
    engine = make_engine(url)
    try:
        with engine.connect() as connection:
            return MigrationContext.configure(connection).get_current_revision()
    finally:
        engine.dispose()


def is_current(url: str) -> bool:
    """Whether the database is at the newest revision this program knows."""
    return current(url) == ScriptDirectory.from_config(_config(url)).get_current_head()


def is_known(url: str) -> bool:
    """Whether this program has the step that the database is at; True for one without tables."""
    revision = current(url)
    known = {script.revision for script in ScriptDirectory.from_config(_config(url)).walk_revisions()}
    return revision is None or revision in known


@contextmanager
def migration_connection(url: str) -> Iterator[Connection]:
    """A connection of its own that may write, without the foreign keys that would cascade into children."""
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
    """Raise BrokenReferences when a row of an SQLite file points at a row that is not there."""
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        pairs = ", ".join(sorted({f"{row[0]} → {row[2]}" for row in broken}))
        raise BrokenReferences(f"{len(broken)} rows point at rows that are not there: {pairs}.")


def _config(url: str) -> Config:
    return Config(toml_file=PROJECT_FILE, attributes={"url": url})
