"""This module starts the program: it migrates the database, fills the catalogue of a new shop, and serves the
pages."""

import errno
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from threading import Timer
from typing import Any

from sqlalchemy.exc import DatabaseError
from waitress import create_server

from app import create_app
from app.actions.shop.backups import back_up_before_migration
from app.actions.shop.new_shop import fill_new_shop
from app.config import Config
from app.file_checker import FileChecker
from app.memory import share_one_arena, tidy_up
from app.planner import FIRST_PAGE_SECONDS, STOP_SECONDS, Planner
from app.stopping import StopSignal, run_until_stopped
from app.store.engine import Database, parse_url
from app.store.files import file_of, make_private
from app.store.lock import hold_database
from app.store.migrate import bring_up_to_date, current, is_current, refuse_what_is_not_ours
from app.store.sentences import StoreUnusable, error_code, sentence_for
from app.store.types import Base
from app.web import clock
from app.web.photos import MOST_SENT

UP_TO_DATE = "up to date"
STOPPED = "Stopped."
SERVER_OPTIONS: dict[str, Any] = {
    "threads": 8,
    "connection_limit": 500,
    "channel_timeout": 15,
    "cleanup_interval": 5,
    "max_request_body_size": 2 * MOST_SENT,  # the page itself says when that is too much for it
    "ident": None,
}


def prepare_database(database_url: str, backups: str = "") -> Database:
    """Returns a database with this program's tables and, for a new shop, its first balloon types and supplies.

    Before tables are migrated, a backup is made. backups: its folder; if empty, the default one. Raises
    StoreUnusable when the database cannot be used; one that is not ours is left as it is.
    """
    with _errors_as_sentences():
        refuse_what_is_not_ours(database_url)
        if file := file_of(parse_url(database_url)):
            make_private(file)
        back_up_before_migration(database_url, backups, clock.now())
        bring_up_to_date(database_url)
        database = Database(database_url)
        database.check_opening(Base.metadata.tables)
        with database.writing() as session:
            fill_new_shop(session)
    return database


def check_database(database_url: str) -> str:
    """Returns a sentence about a database that exists and is sound; it creates and migrates nothing.

    Raises StoreUnusable when the database is missing, damaged, of a newer version or of another program.
    """
    with _errors_as_sentences():
        file = file_of(parse_url(database_url))
        if file and not file.exists():
            raise StoreUnusable(f"There is no file {file}.")
        refuse_what_is_not_ours(database_url)
        database = Database(database_url)
        database.check()
        facts, tables = database.describe(), current(database_url)
        database.engine.dispose()
    state = UP_TO_DATE if is_current(database_url) else "not up to date: the command “serve” updates them"
    found = f"{facts.library}, journal mode {facts.journal_mode}, tables {tables}"
    return f"The database is sound. {found}, {state}."


@contextmanager
def _errors_as_sentences() -> Iterator[None]:
    """Raises StoreUnusable, with a sentence for a person, for a database error or a wrong address inside the
    block."""
    try:
        yield
    except DatabaseError as exc:
        raise StoreUnusable(sentence_for(exc), error_code(exc)) from exc
    except ValueError as exc:
        raise StoreUnusable(str(exc)) from exc


def prepare_and_serve(config: Config, host: str, port: int) -> None:
    """Prepares the database and serves it, alone, until the program is told to end.

    Raises StoreUnusable when the database cannot be used or is served already.
    """
    with hold_database(config.database_url, address_of(host, port)):
        prepare_database(config.database_url, config.backups).engine.dispose()
        serve(config, host, port)


def serve(config: Config, host: str, port: int) -> None:
    """Serves a database that was prepared just now, until SIGTERM or Ctrl+C. Ends the program with a sentence when
    it cannot listen on the port."""
    stop = StopSignal()
    share_one_arena()
    app = create_app(replace(config, trusted_hosts=(*config.trusted_hosts, host)))
    if file_of(app.database.engine.url) and not app.database.can_be_checked_beside:  # so it was when it was opened
        app.notes.checked_at = clock.now()
    sockets: dict[int, Any] = {}
    try:
        server = create_server(app, map=sockets, host=host, port=port, **SERVER_OPTIONS)
    except OSError as exc:
        sys.exit(_listen_error_sentence(exc, host, port))
    planner, tidy = Planner(app.database, app.backups), Timer(FIRST_PAGE_SECONDS, tidy_up)
    checker = FileChecker(app.database, app.notes)
    app.after_write, app.planner_notes = planner.wake, planner.notes
    try:
        print(
            f"Stillaloft is running. Open {address_of(host, port)} in a browser. Press Ctrl+C to stop.", flush=True
        )
        tidy.start()
        planner.start()
        checker.start()
        run_until_stopped(server, sockets, stop)
    finally:
        tidy.cancel()
        server.close()
        app.long_works.stop_all(STOP_SECONDS)
        planner.stop()
        checker.stop()
        app.database.close()
        print(STOPPED, flush=True)


def address_of(host: str, port: int) -> str:
    """Returns the address to type into a browser, in words if any of the machine's addresses will do."""
    if host in ("0.0.0.0", "::"):
        return f"http://NAME:{port}/ (NAME is this machine's name or address)"
    return f"http://{f'[{host}]' if ':' in host else host}:{port}/"


def _listen_error_sentence(exc: OSError, host: str, port: int) -> str:
    """Returns a sentence that says why the server cannot listen on this host and port."""
    if exc.errno == errno.EADDRINUSE:
        return f"Port {port} is in use, perhaps by another Stillaloft. Try --port {port + 1}."
    if exc.errno == errno.EACCES:
        return f"This user may not use port {port}. Try one above 1023, for example --port 8000."
    return f"Cannot listen on {host}, port {port}: {exc.strerror or exc}."
