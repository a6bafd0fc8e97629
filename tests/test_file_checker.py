"""Damage that is seen at once keeps a file from being opened; what only a reading of the whole file finds is found
soon after, and while it is looked for, orders are taken."""

import shutil
import threading
import time
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from app.file_checker import ONCE_IN, FileChecker
from app.serving import check_database, prepare_database
from app.store import page_check
from app.store.engine import Database, library_version, wal_race_fixed
from app.store.sentences import StoreUnusable
from app.web.notes import StoreNotes

PAGE = 4096
INNER_PAGE = 5
"""Such a page of a table has the numbers of other pages (https://sqlite.org/fileformat2.html)."""
NEVER_ENDS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n"

pytestmark = pytest.mark.skipif(
    not wal_race_fixed(library_version()), reason="without WAL, the whole file is read when it is opened"
)


@pytest.fixture
def file(demo_file, tmp_path):
    return Path(shutil.copy(demo_file, tmp_path / "demo.sqlite"))


@pytest.fixture
def url(file):
    return f"sqlite:///{file}"


@pytest.fixture
def make_checker(url):
    """Checkers of the file with their notes; they are stopped when the test ends."""
    made = []

    def make():
        made.append((Database(url), StoreNotes()))
        return FileChecker(*made[-1]), made[-1][1], made[-1][0]

    yield make
    for database, _ in made:
        database.engine.dispose()


def _ask(url, statement):
    database = Database(url)
    with database.engine.connect() as connection:
        found = connection.execute(text(statement)).scalars().all()
    database.close()
    return found


def _spoil(file, page):
    """Overwrites a page; the first is number 1."""
    content = bytearray(file.read_bytes())
    content[(page - 1) * PAGE : page * PAGE] = b"\xa5" * PAGE
    file.write_bytes(content)


def _not_a_database(file, url):
    file.write_text("a shopping list, not a database\n" * 500)


def _wrong_header(file, url):
    _spoil(file, 1)


def _cut_short(file, url):
    file.write_bytes(file.read_bytes()[: 20 * PAGE])


def _root(url, table):
    (page,) = _ask(url, f"SELECT rootpage FROM sqlite_schema WHERE name = '{table}'")
    return page


def _root_of_orders(file, url):
    _spoil(file, _root(url, "orders"))


def _no_taps(file, url):
    database = Database(url)
    with database.engine.connect().execution_options(write=True) as connection:
        connection.exec_driver_sql("DROP TABLE tap")
        connection.commit()
    database.close()


@pytest.mark.parametrize("harm", [_not_a_database, _wrong_header, _cut_short, _root_of_orders, _no_taps])
def test_what_is_seen_at_once_keeps_the_file_from_being_opened(file, url, harm):
    harm(file, url)
    with pytest.raises(StoreUnusable):
        prepare_database(url)


def _spoil_last_history(file, url):
    """Overwrites the page with the newest history, which opening does not read. The root of a table that needs
    several pages names its last one in the bytes 8 to 11."""
    root = file.read_bytes()[(_root(url, "history_entry") - 1) * PAGE :][:PAGE]
    assert root[0] == INNER_PAGE
    _spoil(file, int.from_bytes(root[8:12], "big"))


def _break_reference(file, url):
    database = Database(url)
    with database.engine.connect().execution_options(write=True) as connection:
        connection.connection.driver_connection.execute("PRAGMA foreign_keys=OFF")
        connection.exec_driver_sql("UPDATE batch SET order_id = 999999 WHERE id = 1")
        connection.commit()
    database.engine.dispose()


@pytest.mark.parametrize("harm", [_spoil_last_history, _break_reference])
def test_other_damage_is_found_beside_the_pages(file, url, harm, make_checker, now):
    harm(file, url)
    prepare_database(url).engine.dispose()
    checker, notes, _ = make_checker()
    checker.check_now()
    assert (notes.damaged_at, notes.checked_at) == (now(), None)
    with pytest.raises(StoreUnusable) as caught:
        check_database(url)
    assert caught.value.code == "SQLITE_CORRUPT"


def test_a_sound_file_is_noted_as_checked(make_checker, now):
    checker, notes, _ = make_checker()
    checker.check_now()
    assert (notes.damaged_at, notes.checked_at) == (None, now())


def test_it_is_checked_after_the_start_and_then_once_a_night(make_checker, now):
    checker, notes, _ = make_checker()
    assert checker.is_due(now())
    notes.checked_at = now()
    due = [hour for hour in range(48) if checker.is_due(now() + timedelta(hours=hour))]
    assert due[0] * timedelta(hours=1) >= ONCE_IN
    now.move_to(now().replace(hour=12) + timedelta(days=2))
    assert not checker.is_due(now())  # the shop is open
    now.move_to(now().replace(hour=2))
    assert checker.is_due(now())


def test_while_it_checks_orders_are_saved_and_it_can_be_stopped(make_checker, monkeypatch):
    monkeypatch.setattr(page_check, "PAGES", NEVER_ENDS)
    checker, notes, database = make_checker()
    running = threading.Thread(target=checker.check_now)
    running.start()
    time.sleep(0.05)
    with database.writing() as session:
        session.execute(text("UPDATE orders SET notes = 'saved meanwhile'"))
    assert running.is_alive()
    checker.stop()
    running.join(10)
    assert not running.is_alive()
    assert (notes.checked_at, notes.damaged_at) == (None, None)
