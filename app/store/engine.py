"""This module is the only way to the database: its engines cannot write when they read, and never lose a write."""

import logging
import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, DBAPIError
from sqlalchemy.orm import Session

from app.store.facts import StoreFacts, describe_postgres, describe_sqlite
from app.store.files import ServedFile, create_private_if_missing, file_of
from app.store.page_check import PageCheck, read_each_table
from app.store.sentences import (
    NOT_KNOWN_IF_SAVED,
    POSTGRES_SENTENCES,
    SQLITE_SENTENCES,
    CommitUnknown,
    StoreUnusable,
    error_code,
    is_surely_undone,
    sentence_for,
)

BUSY_MILLISECONDS = 5_000
LOCK_SECONDS = 10.0

log = logging.getLogger(__name__)


class WriteInReadSession(RuntimeError):
    """Raised when changes are flushed in a session that only reads."""


@cache
def sqlite_module() -> ModuleType:
    """Returns the newer one of the two SQLite libraries; whatever opens the shop's file must use this one."""
    try:
        import pysqlite3.dbapi2 as bundled  # noqa: PLC0415  an optional dependency
    except ImportError:
        return sqlite3
    return bundled if bundled.sqlite_version_info > sqlite3.sqlite_version_info else sqlite3


def library_version() -> tuple[int, int, int]:
    """Returns the version of the SQLite library in use."""
    version: tuple[int, int, int] = sqlite_module().sqlite_version_info
    return version


def wal_race_fixed(version: tuple[int, int, int]) -> bool:
    """Returns whether this version of SQLite is free of the race in WAL mode that can lose commits (3.7.0 to
    3.51.2)."""
    return version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)


URL_SENTENCE = "DATABASE_URL must look like sqlite:///folder/file.db or postgresql://host/name."


def parse_url(url: str) -> URL:
    """Returns a DATABASE_URL as its parts. Raises ValueError unless it names an SQLite file or a PostgreSQL
    database."""
    try:
        parsed = make_url(url)
    except ArgumentError as exc:
        raise ValueError(URL_SENTENCE) from exc
    if parsed.drivername in ("postgres", "postgresql", "postgresql+psycopg"):
        return parsed.set(drivername="postgresql+psycopg")
    name = parsed.database or ""
    if parsed.drivername != "sqlite" or not name or name.startswith((":memory:", "file:")):
        raise ValueError(URL_SENTENCE)
    return parsed.set(database=str(Path(name).absolute()))


def make_engine(url: str) -> Engine:
    """Returns an engine whose transactions can only read, unless the connection carries
    execution_options(write=True)."""
    parsed = parse_url(url)
    if parsed.get_backend_name() == "sqlite":
        engine = create_engine(parsed, module=sqlite_module(), hide_parameters=True)
        path = Path(parsed.database or "")
        create_once = cache(create_private_if_missing)  # once: never in place of a lost file
        event.listen(engine, "do_connect", lambda *_connecting: create_once(path))
        event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "checkin", _roll_back_open_transaction)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        # To compile a statement of a page takes PostgreSQL up to a second, to run it some milliseconds.
        options = {"options": f"{parsed.query.get('options', '')} -c jit=off"}
        engine = create_engine(parsed, pool_pre_ping=True, hide_parameters=True, connect_args=options)
        event.listen(engine, "begin", _begin_postgres)
    return engine


def _set_up_sqlite(dbapi_connection: Any, _record: Any) -> None:
    """Sets up a new connection to SQLite: its journal, how it waits, and which constraints it enforces."""
    dbapi_connection.isolation_level = None
    journal, synchronous = ("WAL", "FULL") if wal_race_fixed(library_version()) else ("DELETE", "EXTRA")
    try:
        dbapi_connection.execute(f"PRAGMA busy_timeout={BUSY_MILLISECONDS}")
        (answer,) = dbapi_connection.execute(f"PRAGMA journal_mode={journal}").fetchone()
        if answer.upper() != journal:
            raise StoreUnusable(
                f"The database cannot use the journal mode {journal}. "
                "Keep its file on a disk of this computer, and close other programs that use it."
            )
        for setting in (
            f"synchronous={synchronous}",
            "fullfsync=ON",
            "checkpoint_fullfsync=ON",
            "foreign_keys=ON",
            "trusted_schema=OFF",
        ):
            dbapi_connection.execute(f"PRAGMA {setting}")
    except BaseException:
        dbapi_connection.close()
        raise


def _roll_back_open_transaction(dbapi_connection: Any, _record: Any) -> None:
    # After a failed COMMIT, SQLAlchemy regards the transaction as over, but SQLite keeps it open with its rows.
    if dbapi_connection is not None and dbapi_connection.in_transaction:
        dbapi_connection.rollback()


def _may_write(connection: Connection) -> bool:
    return bool(connection.get_execution_options().get("write"))


def _begin_sqlite(connection: Connection) -> None:
    """Begins a transaction that can only read, unless the connection may write."""
    write = _may_write(connection)
    if connection.info.get("write") != write:
        connection.exec_driver_sql(f"PRAGMA query_only={'OFF' if write else 'ON'}")
        connection.info["write"] = write
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


def _begin_postgres(connection: Connection) -> None:
    driver_connection: Any = connection.connection.driver_connection
    # None leaves it to the server, so that a standby refuses a write with its own error.
    driver_connection.read_only = None if _may_write(connection) else True


def _try_write_sqlite(connection: Connection) -> None:
    """Writes without committing."""
    (version,) = connection.exec_driver_sql("PRAGMA user_version").one()
    connection.exec_driver_sql(f"PRAGMA user_version={version}")


def _try_postgres(connection: Connection) -> None:
    """Raises StoreUnusable when the server takes no changes."""
    (read_only,) = connection.exec_driver_sql("SHOW transaction_read_only").one()
    if read_only == "on":
        raise StoreUnusable(POSTGRES_SENTENCES["25006"], "25006")


class _ReadingSession(Session):
    """A session that refuses to flush changes."""


@event.listens_for(_ReadingSession, "before_flush")
def _refuse_changes(session: Session, _context: Any, _instances: Any) -> None:
    """Raises WriteInReadSession when a session that only reads would flush changes."""
    changed = [*session.new, *session.deleted, *(row for row in session.dirty if session.is_modified(row))]
    if changed:
        names = ", ".join(sorted({type(row).__name__ for row in changed}))
        raise WriteInReadSession(f"{names} changed in Database.reading(); use Database.writing().")


def _commit(session: Session) -> None:
    """Commits. Raises the database's error when the changes are surely undone, else CommitUnknown."""
    try:
        session.commit()
    except DBAPIError as exc:
        if is_surely_undone(exc):
            raise
        raise CommitUnknown(NOT_KNOWN_IF_SAVED, error_code(exc)) from exc


class Database:
    """The shop's database: it opens sessions that read and sessions that write, and checks whether it is sound."""

    def __init__(self, url: str) -> None:
        self.engine = make_engine(url)
        self._write_engine = self.engine.execution_options(write=True)
        self._write_lock = threading.Lock()
        self._writer: int | None = None
        path = file_of(self.engine.url)
        self._file = ServedFile(path) if path else None
        if self._file:
            event.listen(self.engine, "do_connect", self._file.verify)
            event.listen(self.engine, "connect", self._file.remember)

    @property
    def _is_sqlite(self) -> bool:
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Yields a session that refuses changes and is always rolled back; on SQLite it sees the data of one
        moment."""
        with _ReadingSession(self.engine) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Yields a session whose changes are committed when the block ends, and undone when it raises.

        Only one such session is open at a time in this process. Don't open one inside `reading()`: without WAL, the
        open read would block the commit. Raises StoreUnusable when another session writes for too long, and
        CommitUnknown when the commit failed and the changes may be saved all the same.
        """
        self.verify_file()
        with self._only_writer(), Session(self._write_engine, expire_on_commit=False) as session:
            yield session
            session.flush()
            self.verify_file()
            _commit(session)

    def check(self) -> None:
        """Raises StoreUnusable unless the database can be read and written and its pages are sound."""
        self.check_opening()
        if self.can_be_checked_beside:
            self.page_check().run()

    def check_opening(self, expected_tables: Iterable[str] = ()) -> None:
        """Raises StoreUnusable unless the database can be written, and an SQLite file has these tables and gives a
        row of each. A file that cannot be checked beside writes is read as a whole."""
        self.verify_file()
        try:
            with self._only_writer(), self._write_engine.connect() as connection:
                try_out = _try_write_sqlite if self._is_sqlite else _try_postgres
                try_out(connection)
            if self._is_sqlite:
                with self.engine.connect() as connection:
                    read_each_table(connection, expected_tables)
        except DatabaseError as exc:
            raise StoreUnusable(sentence_for(exc), error_code(exc)) from exc
        if self._is_sqlite and not self.can_be_checked_beside:
            self.page_check().run()

    @property
    def can_be_checked_beside(self) -> bool:
        """Whether its pages can be read without holding up writes: in an SQLite file with WAL."""
        return self._is_sqlite and wal_race_fixed(library_version())

    def page_check(self) -> PageCheck:
        """Returns a check of the whole SQLite file that did not start yet."""
        return PageCheck(self.engine)

    def close(self) -> None:
        """Writes what the -wal file holds into an SQLite file, unless another program still reads it, and closes
        all connections. A database that failed is closed without it: nothing is lost, and the log says so."""
        try:
            if self._is_sqlite:
                with self._write_engine.connect() as connection:
                    driver_connection: Any = connection.connection.driver_connection
                    driver_connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        except (sqlite_module().Error, DBAPIError, StoreUnusable):
            log.exception("The last changes stay in the -wal file.")
        finally:
            self.engine.dispose()

    def describe(self) -> StoreFacts:
        """Returns how the database is kept."""
        with self.engine.connect() as connection:
            if not self._is_sqlite:
                return describe_postgres(connection)
            version = library_version()
            return describe_sqlite(connection, version, wal_race_fixed(version))

    def verify_file(self) -> None:
        """Raises StoreUnusable when the file is not the one that was first opened."""
        if self._file is not None:
            self._file.verify()

    @contextmanager
    def _only_writer(self) -> Iterator[None]:
        """Makes this thread the only writer of the process while the block runs.

        Raises RuntimeError when the thread writes already, and StoreUnusable when it waits too long.
        """
        if self._writer == threading.get_ident():
            raise RuntimeError("Database.writing() inside Database.writing(): pass the session on instead.")
        if not self._write_lock.acquire(timeout=LOCK_SECONDS):
            raise StoreUnusable(SQLITE_SENTENCES["SQLITE_BUSY"])
        self._writer = threading.get_ident()
        try:
            yield
        finally:
            self._writer = None
            self._write_lock.release()
