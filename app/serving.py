"""Open the shop's door: migrate, fill the shelves of a new shop, and serve with waitress."""

import errno
import gc
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DatabaseError
from waitress import create_server

from app import create_app
from app.actions.shop.first_day import open_shop
from app.config import Config
from app.planner import Planner
from app.store.engine import Database, parse_url
from app.store.migrate import current, is_current, is_known, upgrade
from app.store.sentences import StoreUnusable, error_code, sentence_for
from app.store.set_aside import set_aside
from app.web.photos import MOST_SENT

BEFORE_RELEASE = "This database was made by a Stillaloft of before the first release, or by a later one."


def prepare(database_url: str) -> Database:
    """A database with today's tables and, in a new shop, its first balloon types and supplies.

    A file whose tables this program does not know is set aside, with a sentence. Raises StoreUnusable.
    """
    with _told_plainly():
        if not is_known(database_url):
            print(
                f"{BEFORE_RELEASE} It lies untouched in {_set_aside(database_url)}; a new one is begun.", flush=True
            )
        upgrade(database_url)
        database = Database(database_url)
        database.check()
        with database.writing() as session:
            open_shop(session)
    return database


def _set_aside(database_url: str) -> Path | None:
    if parse_url(database_url).get_backend_name() != "sqlite":
        raise StoreUnusable(f"{BEFORE_RELEASE} Name another database in DATABASE_URL.")
    return set_aside(database_url, "not-known")


def look_over(database_url: str) -> str:
    """A sentence on a database that is there and sound; nothing is made or migrated. Raises StoreUnusable."""
    with _told_plainly():
        url = parse_url(database_url)
        if url.get_backend_name() == "sqlite" and not Path(url.database or "").exists():
            raise StoreUnusable(f"There is no file {url.database}.")
        database = Database(database_url)
        database.check()
        facts, tables = database.describe(), current(database_url)
        database.engine.dispose()
        if not is_known(database_url):
            raise StoreUnusable(f"{BEFORE_RELEASE} Serve sets it aside and begins a new one.")
    newest = (
        "as this program expects" if is_current(database_url) else "older than this program: serve migrates them"
    )
    return f"Sound: {facts.library}, journal {facts.journal_mode}, tables {tables}, {newest}."


@contextmanager
def _told_plainly() -> Iterator[None]:
    try:
        yield
    except DatabaseError as exc:
        raise StoreUnusable(sentence_for(exc), error_code(exc)) from exc
    except ValueError as exc:
        raise StoreUnusable(str(exc)) from exc


def serve(config: Config, host: str, port: int) -> None:
    """Serve until interrupted or told to end (SIGTERM). Ends the program with a sentence when the port cannot be
    had."""
    app = create_app(config)
    try:
        server = create_server(
            app,
            host=host,
            port=port,
            threads=8,
            connection_limit=500,
            channel_timeout=15,
            cleanup_interval=5,
            max_request_body_size=2 * MOST_SENT,  # what is too much for a page is told by that page
            ident=None,
        )
    except OSError as exc:
        sys.exit(_why_not(exc, host, port))
    planner = Planner(app.database)
    app.after_write = planner.wake
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # it then closes as it does on Ctrl+C
    try:
        print(f"Stillaloft is open. Point the browser at {_address(host, port)} — Ctrl+C closes it.", flush=True)
        gc.collect()
        gc.freeze()  # what lives as long as the server need not be looked through again
        planner.start()
        server.run()  # until it is interrupted
    except KeyboardInterrupt:
        pass  # it was interrupted before it ran
    finally:
        server.close()
        planner.stop()
        app.database.engine.dispose()
        print("Closed.", flush=True)


def _address(host: str, port: int) -> str:
    if host in ("0.0.0.0", "::"):
        return f"http://, this machine's name or address, and :{port}/"
    return f"http://{f'[{host}]' if ':' in host else host}:{port}/"


def _why_not(exc: OSError, host: str, port: int) -> str:
    if exc.errno == errno.EADDRINUSE:
        return f"Port {port} is taken, perhaps by a Stillaloft that runs already: try --port {port + 1}."
    if exc.errno == errno.EACCES:
        return f"This user may not open port {port}: try one above 1023, as in --port 8000."
    return f"The address {host} port {port} cannot be opened: {exc.strerror or exc}."
