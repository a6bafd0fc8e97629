"""This module finds damage in an SQLite file: what is seen at once, and what only a reading of the whole file
finds. That holds up no write and can be stopped."""

import threading
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Engine, inspect
from sqlalchemy.exc import DatabaseError, OperationalError

from app.store.sentences import SQLITE_SENTENCES, StoreUnusable, error_code, sentence_for

PAGES = "PRAGMA quick_check(1)"
REFERENCES = "PRAGMA foreign_key_check"


def read_each_table(connection: Connection, expected: Iterable[str]) -> None:
    """Reads the schema of an SQLite file and the first row of each table.

    Raises StoreUnusable when an expected table is missing, and DatabaseError for what is damaged there.
    """
    found = inspect(connection).get_table_names()
    if set(expected) - set(found):
        raise StoreUnusable(SQLITE_SENTENCES["SQLITE_CORRUPT"], "SQLITE_CORRUPT")
    quote = connection.dialect.identifier_preparer.quote
    for name in found:
        connection.exec_driver_sql(f"SELECT 1 FROM {quote(name)} NOT INDEXED LIMIT 1").first()


class PageCheck:
    """A check of all pages, and of all rows that point at others. With WAL it runs beside writes."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._stopped = threading.Event()
        self._at_work: Any = None

    def run(self) -> bool:
        """Returns True when the whole file is sound, and False when it was stopped before it knew. Raises
        StoreUnusable when something is damaged."""
        try:
            with self._engine.connect() as connection:
                self._at_work = connection.connection.driver_connection
                if self._stopped.is_set():
                    return False
                (answer,) = connection.exec_driver_sql(PAGES).one()
                broken = connection.exec_driver_sql(REFERENCES).first()
        except DatabaseError as exc:
            if self._stopped.is_set() and isinstance(exc, OperationalError):
                return False
            raise StoreUnusable(sentence_for(exc), error_code(exc)) from exc
        finally:
            self._at_work = None
        if answer != "ok" or broken:
            raise StoreUnusable(SQLITE_SENTENCES["SQLITE_CORRUPT"], "SQLITE_CORRUPT")
        return True

    def stop(self) -> None:
        """Makes a check that runs in another thread end at once, and any later one."""
        self._stopped.set()
        if at_work := self._at_work:
            at_work.interrupt()
