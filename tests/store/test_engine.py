import signal
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import DatabaseError, DBAPIError, IntegrityError, OperationalError
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from app.store import engine as engine_module
from app.store.engine import (
    URL_SENTENCE,
    WriteInReadSession,
    library_version,
    make_engine,
    sqlite_module,
    wal_race_fixed,
)
from app.store.sentences import (
    FILE_REMOVED,
    FILE_REPLACED,
    POSTGRES_SENTENCES,
    SERVER_UNREACHABLE,
    SQLITE_SENTENCES,
    UNKNOWN_DATABASE_ERROR,
    StoreUnusable,
    error_code,
    sentence_for,
)
from tests.later import psycopg

ROOT = Path(__file__).resolve().parents[2]
RACY = (3, 40, 1)


class TrialBase(DeclarativeBase):
    pass


class Note(TrialBase):
    __tablename__ = "note"
    id: Mapped[int] = mapped_column(primary_key=True)
    words: Mapped[str]


def _make_notes(database):
    with database.writing() as session:
        TrialBase.metadata.create_all(session.connection())
    return database


@pytest.fixture
def notes(store):
    return _make_notes(store)


@pytest.fixture
def sqlite_notes(sqlite_store):
    return _make_notes(sqlite_store)


@pytest.fixture
def sqlite_file(sqlite_store):
    return Path(sqlite_store.engine.url.database)


def _add(database, number, words="up"):
    with database.writing() as session:
        session.add(Note(id=number, words=words))


def _ids(database):
    with database.reading() as session:
        return session.scalars(text("SELECT id FROM note ORDER BY id")).all()


def _run(script, *arguments, **options):
    command = [sys.executable, "-c", script, *arguments]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, **options)


# Reading and writing


def test_it_works(notes):
    _add(notes, 1)
    assert _ids(notes) == [1]
    notes.check()


def test_what_was_written_can_be_looked_at_after_the_commit(notes):
    with notes.writing() as session:
        note = Note(id=1, words="up")
        session.add(note)
    assert note.words == "up"


def test_an_error_in_the_block_undoes_all_of_it(notes):
    with pytest.raises(IntegrityError):
        _add_twice(notes)
    assert _ids(notes) == []
    _add(notes, 2)
    assert _ids(notes) == [2]


def _add_twice(database):
    with database.writing() as session:
        session.execute(text("INSERT INTO note VALUES (1, 'up')"))
        session.execute(text("INSERT INTO note VALUES (1, 'up again')"))


def test_a_read_that_writes_is_refused_by_the_database(notes):
    with pytest.raises(DatabaseError) as caught, notes.reading() as session:
        session.execute(text("INSERT INTO note VALUES (1, 'up')"))
    assert error_code(caught.value) in ("SQLITE_READONLY", "25006")
    _add(notes, 2)
    assert _ids(notes) == [2]


def test_a_plain_connection_cannot_write_and_one_with_the_flag_can(notes):
    insert = "INSERT INTO note VALUES (1, 'up')"
    with notes.engine.connect() as connection, pytest.raises(DatabaseError):
        connection.exec_driver_sql(insert)
    with notes.engine.connect().execution_options(write=True) as connection:
        connection.exec_driver_sql(insert)
        connection.commit()
    with notes.engine.connect() as connection, pytest.raises(DatabaseError):
        connection.exec_driver_sql(insert)
    assert _ids(notes) == [1]


@pytest.mark.parametrize("change", ["new", "changed", "deleted"])
def test_a_reading_session_refuses_to_flush(notes, change):
    _add(notes, 1)
    with notes.reading() as session:
        note = session.get_one(Note, 1)
        if change == "new":
            session.add(Note(id=2, words="up"))
        elif change == "changed":
            note.words = "down"
        else:
            session.delete(note)
        with pytest.raises(WriteInReadSession, match="Note"):
            session.flush()
    assert _ids(notes) == [1]


def test_a_reading_session_may_set_what_is_already_so(notes):
    _add(notes, 1)
    with notes.reading() as session:
        note = session.get_one(Note, 1)
        note.words = "up"
        session.flush()
        assert note in session


@pytest.mark.skipif(not wal_race_fixed(library_version()), reason="without WAL a write waits for open reads")
def test_a_read_sees_one_moment_while_others_write(sqlite_notes):
    _add(sqlite_notes, 1)
    count = text("SELECT count(*) FROM note")
    with sqlite_notes.reading() as session:
        before = session.scalar(count)
        _add(sqlite_notes, 2)
        assert session.scalar(count) == before == 1
    assert _ids(sqlite_notes) == [1, 2]


def test_writing_inside_writing_is_refused_and_the_next_write_goes_on(notes):
    with pytest.raises(RuntimeError, match="inside"), notes.writing(), notes.writing():
        pass
    _add(notes, 1)
    assert _ids(notes) == [1]


def test_a_write_that_waits_too_long_for_its_turn_is_told_so(notes, monkeypatch):
    monkeypatch.setattr(engine_module, "LOCK_SECONDS", 0.05)
    with notes.writing(), ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(_add, notes, 1)
        assert isinstance(waiting.exception(), StoreUnusable)
    assert _ids(notes) == []
    _add(notes, 2)
    assert _ids(notes) == [2]


# Order numbers and acknowledged writes


def _draw_numbers(database, threads=8, draws=100):
    with database.writing() as session:
        session.execute(text("CREATE TABLE counter (id integer PRIMARY KEY, last integer NOT NULL)"))
        session.execute(text("CREATE TABLE drawn (number integer PRIMARY KEY)"))
        session.execute(text("INSERT INTO counter VALUES (1, 0)"))
    start = threading.Barrier(threads)

    def draw():
        start.wait()
        return [_draw(database) for _ in range(draws)]

    with ThreadPoolExecutor(threads) as pool:
        futures = [pool.submit(draw) for _ in range(threads)]
        return [number for future in futures for number in future.result()]


def _draw(database):
    with database.writing() as session:
        number = session.scalar(text("UPDATE counter SET last = last + 1 WHERE id = 1 RETURNING last"))
        session.execute(text("INSERT INTO drawn VALUES (:number)"), {"number": number})
    return number


def _assert_all_distinct_and_kept(database, numbers):
    assert sorted(numbers) == list(range(1, 801))
    with database.reading() as session:
        assert session.scalars(text("SELECT number FROM drawn ORDER BY number")).all() == sorted(numbers)


def test_eight_threads_draw_800_distinct_numbers(store):
    _assert_all_distinct_and_kept(store, _draw_numbers(store))


def test_eight_threads_draw_800_distinct_numbers_without_wal(store_without_wal):
    _assert_all_distinct_and_kept(store_without_wal, _draw_numbers(store_without_wal))


def test_eight_threads_may_be_the_first_to_open_the_file(sqlite_store):
    start = threading.Barrier(8)

    def open_it(_):
        start.wait()
        with sqlite_store.reading() as session:
            return session.scalar(text("PRAGMA journal_mode"))

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(open_it, range(8))) == {sqlite_store.describe().journal_mode}


def test_two_programs_on_one_file_both_read_before_they_write(sqlite_notes, open_store):
    _add(sqlite_notes, 1, "0")
    programs = [sqlite_notes, open_store(str(sqlite_notes.engine.url))]
    start = threading.Barrier(4)

    def count(database):
        start.wait()
        for _ in range(25):
            with database.writing() as session:
                note = session.get_one(Note, 1)
                note.words = str(int(note.words) + 1)

    with ThreadPoolExecutor(4) as pool:
        for counting in [pool.submit(count, database) for database in programs * 2]:
            counting.result()
    with sqlite_notes.reading() as session:
        assert session.get_one(Note, 1).words == "100"


WRITE_AND_REPORT = """
import sys
from sqlalchemy import text
from app.store.engine import Database
database = Database(sys.argv[1])
for number in range(1, 100_000):
    with database.writing() as session:
        session.execute(text("INSERT INTO note VALUES (:number, 'up')"), {"number": number})
    print(number, flush=True)
"""


@pytest.mark.parametrize("reports", [1, 40])
def test_a_killed_process_loses_nothing_it_acknowledged(sqlite_notes, reports):
    with _run(WRITE_AND_REPORT, str(sqlite_notes.engine.url)) as writer:
        for _ in range(reports):
            writer.stdout.readline()
        writer.send_signal(signal.SIGKILL)
        acknowledged = reports + len(writer.stdout.readlines())
    assert writer.returncode == -signal.SIGKILL
    saved = _ids(sqlite_notes)
    assert saved == list(range(1, len(saved) + 1))
    # The last write may have been saved without anyone hearing of it.
    assert acknowledged <= len(saved) <= acknowledged + 1
    sqlite_notes.check()


def test_rows_of_a_failed_commit_do_not_reach_the_next_user(sqlite_notes):
    parent = "integer REFERENCES note (id) DEFERRABLE INITIALLY DEFERRED"
    with sqlite_notes.writing() as session:
        session.execute(text(f"CREATE TABLE reply (id integer PRIMARY KEY, note {parent})"))
    orphan = "INSERT INTO reply VALUES (1, 99)"
    with sqlite_notes.engine.connect().execution_options(write=True) as connection:
        connection.exec_driver_sql(orphan)
        used = connection.connection.driver_connection
        with pytest.raises(IntegrityError):
            connection.commit()
    with pytest.raises(IntegrityError), sqlite_notes.writing() as session:
        session.execute(text(orphan))
    with sqlite_notes.writing() as session:
        assert session.connection().connection.driver_connection is used
        assert session.scalar(text("SELECT count(*) FROM reply")) == 0


# Faults


def test_a_full_disk_refuses_and_saving_goes_on_when_space_is_freed(sqlite_store):
    @event.listens_for(sqlite_store.engine, "connect")
    def limit_size(dbapi_connection, _record):
        dbapi_connection.execute("PRAGMA max_page_count=50")

    _make_notes(sqlite_store)
    saved = []
    with pytest.raises(OperationalError) as caught:
        _add_until_refused(sqlite_store, saved)
    assert error_code(caught.value) == "SQLITE_FULL"
    assert sentence_for(caught.value) == SQLITE_SENTENCES["SQLITE_FULL"]
    assert len(saved) > 5
    assert _ids(sqlite_store) == saved

    with sqlite_store.writing() as session:
        session.execute(text("DELETE FROM note WHERE id <= 3"))
    _add(sqlite_store, 200, "x" * 10_000)
    assert _ids(sqlite_store) == [*saved[3:], 200]


def _add_until_refused(database, saved):
    for number in range(1, 100):
        _add(database, number, "x" * 10_000)
        saved.append(number)


def test_a_lock_of_another_program_is_waited_for_then_reported(sqlite_notes, sqlite_file, monkeypatch):
    monkeypatch.setattr(engine_module, "BUSY_MILLISECONDS", 50)
    sqlite_notes.engine.dispose()
    other = sqlite_module().connect(sqlite_file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(OperationalError) as caught:
        _add(sqlite_notes, 1)
    assert error_code(caught.value) == "SQLITE_BUSY"
    assert sentence_for(caught.value) == SQLITE_SENTENCES["SQLITE_BUSY"]
    other.execute("ROLLBACK")
    other.close()
    _add(sqlite_notes, 2)
    assert _ids(sqlite_notes) == [2]


def test_a_file_that_is_no_database_is_refused(sqlite_store, sqlite_file):
    sqlite_file.write_text("a shopping list, not a database\n" * 100)
    with pytest.raises(StoreUnusable) as caught:
        sqlite_store.check()
    assert caught.value.code == "SQLITE_NOTADB"
    assert caught.value.sentence == SQLITE_SENTENCES["SQLITE_NOTADB"]
    assert str(caught.value).endswith("(SQLITE_NOTADB)")
    assert sqlite_file.read_text().startswith("a shopping list")


def test_a_damaged_file_is_refused(sqlite_notes, sqlite_file):
    with sqlite_notes.writing() as session:
        session.add_all(Note(id=number, words="x" * 1_000) for number in range(100))
    sqlite_notes.engine.dispose()
    content = bytearray(sqlite_file.read_bytes())
    content[8192:12288] = b"\xa5" * 4096
    sqlite_file.write_bytes(content)
    with pytest.raises(StoreUnusable) as caught:
        sqlite_notes.check()
    assert caught.value.code == "SQLITE_CORRUPT"


def test_a_file_in_a_folder_that_is_not_there_is_refused(tmp_path, open_store):
    with pytest.raises(StoreUnusable) as caught:
        open_store(f"sqlite:///{tmp_path}/missing/shop.db").check()
    assert caught.value.code == "SQLITE_CANTOPEN"


CHECK_WITHOUT_RIGHTS = """
import os, sys
from app.store import engine
from app.store.engine import Database, sqlite_module
from app.store.sentences import StoreUnusable
sqlite_module()
own_version = engine.library_version
if os.geteuid() == 0:
    engine.make_engine(sys.argv[1]).dispose()  # loads what the rights given up may not read
    os.seteuid(65534)
for url in sys.argv[1:]:
    engine.library_version = (lambda: (3, 40, 1)) if "without-wal" in url else own_version
    try:
        Database(url).check()
    except StoreUnusable as refusal:
        print(refusal.code)
    else:
        print("usable")
"""
RIGHTS = {  # of folder and file
    (0o777, 0o666): "usable",
    (0o777, 0o444): "SQLITE_READONLY",
    (0o555, 0o444): "SQLITE_READONLY",
    (0o555, 0o666): "SQLITE_READONLY",
}


def _make_file(folder, folder_mode, file_mode):
    """The address of a database in a folder of its own, both with these rights."""
    folder.mkdir()
    file = folder / "shop.db"
    with sqlite_module().connect(file) as connection:
        connection.execute("CREATE TABLE note (id integer PRIMARY KEY)")
    connection.close()
    file.chmod(file_mode)
    folder.chmod(folder_mode)
    return f"sqlite:///{file}"


def test_a_file_without_the_right_to_write_is_refused():
    """All by one process, because to start one takes the longest."""
    with tempfile.TemporaryDirectory() as name:  # pytest's own folders are closed to other users
        Path(name).chmod(0o755)
        journals = ("as-usual", "without-wal")
        folders = {
            Path(name) / f"{journal}-{modes[0]:o}-{modes[1]:o}": modes for journal in journals for modes in RIGHTS
        }
        urls = [_make_file(folder, *modes) for folder, modes in folders.items()]
        with _run(CHECK_WITHOUT_RIGHTS, *urls) as checking:
            answers = checking.stdout.read().split()
        for folder in folders:
            folder.chmod(0o700)
    assert dict(zip(folders, answers, strict=True)) == {folder: RIGHTS[modes] for folder, modes in folders.items()}


def test_an_unlinked_file_is_noticed(sqlite_notes, sqlite_file):
    _add(sqlite_notes, 1)
    sqlite_file.unlink()
    with pytest.raises(StoreUnusable, match=FILE_REMOVED):
        _add(sqlite_notes, 2)
    with pytest.raises(StoreUnusable, match=FILE_REMOVED):
        sqlite_notes.check()


def test_a_file_unlinked_in_the_middle_of_a_write_is_noticed(sqlite_notes, sqlite_file):
    with pytest.raises(StoreUnusable, match=FILE_REMOVED):
        _add_and_unlink(sqlite_notes, sqlite_file)


def _add_and_unlink(database, file):
    with database.writing() as session:
        session.execute(text("INSERT INTO note VALUES (1, 'up')"))
        file.unlink()


def test_a_replaced_file_is_noticed(sqlite_notes, sqlite_file, tmp_path):
    other = tmp_path / "other.db"
    other.write_bytes(sqlite_file.read_bytes())
    other.replace(sqlite_file)
    with pytest.raises(StoreUnusable, match=FILE_REPLACED):
        _add(sqlite_notes, 2)
    with pytest.raises(StoreUnusable, match=FILE_REPLACED):
        sqlite_notes.check()


def test_no_new_connection_makes_an_empty_file_in_place_of_an_unlinked_one(sqlite_notes, sqlite_file):
    with sqlite_notes.reading() as first:
        first.execute(text("SELECT 1"))
        sqlite_file.unlink()
        with pytest.raises(StoreUnusable), sqlite_notes.reading() as second:
            second.execute(text("SELECT 1"))
    assert not sqlite_file.exists()


# Settings


def test_the_settings_are_those_that_lose_nothing(sqlite_store):
    with sqlite_store.reading() as session:
        settings = {
            name: session.scalar(text(f"PRAGMA {name}"))
            for name in ("busy_timeout", "fullfsync", "checkpoint_fullfsync", "foreign_keys", "trusted_schema")
        }
    assert settings == {
        "busy_timeout": 5000,
        "fullfsync": 1,
        "checkpoint_fullfsync": 1,
        "foreign_keys": 1,
        "trusted_schema": 0,
    }
    facts = sqlite_store.describe()
    safe = {True: ("wal", "FULL"), False: ("delete", "EXTRA")}[wal_race_fixed(library_version())]
    assert (facts.journal_mode, facts.synchronous) == safe
    assert facts.library == f"SQLite {sqlite_module().sqlite_version}"


@pytest.fixture
def store_without_wal(open_store, sqlite_database, monkeypatch):
    monkeypatch.setattr(engine_module, "library_version", lambda: RACY)
    return open_store(sqlite_database)


def test_a_library_with_the_race_uses_the_rollback_journal(store_without_wal):
    facts = store_without_wal.describe()
    assert (facts.journal_mode, facts.synchronous, facts.wal_race_fixed) == ("delete", "EXTRA", False)
    assert facts.library == "SQLite 3.40.1"
    store_without_wal.check()


def test_a_wal_file_is_taken_over_by_a_library_with_the_race(sqlite_notes, open_store, monkeypatch):
    _add(sqlite_notes, 1)
    sqlite_notes.engine.dispose()
    monkeypatch.setattr(engine_module, "library_version", lambda: RACY)
    later = open_store(str(sqlite_notes.engine.url))
    assert later.describe().journal_mode == "delete"
    assert _ids(later) == [1]


def test_a_file_that_cannot_have_the_safe_journal_is_refused():
    in_memory = sqlite_module().connect(":memory:")  # answers 'memory' to every journal asked for
    with pytest.raises(StoreUnusable, match="journal mode"):
        engine_module._set_up_sqlite(in_memory, None)
    with pytest.raises(sqlite_module().ProgrammingError, match="closed"):
        in_memory.execute("SELECT 1")


@pytest.mark.parametrize(
    ("version", "fixed"),
    [
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 4), True),
    ],
)
def test_versions_with_the_race_are_known(version, fixed):
    assert wal_race_fixed(version) is fixed


def test_the_newer_library_is_chosen(monkeypatch):
    ours = SimpleNamespace(sqlite_version_info=(99, 0, 0))
    monkeypatch.setitem(sys.modules, "pysqlite3", SimpleNamespace(dbapi2=ours))
    monkeypatch.setitem(sys.modules, "pysqlite3.dbapi2", ours)
    assert sqlite_module.__wrapped__() is ours
    ours.sqlite_version_info = (3, 0, 0)
    assert sqlite_module.__wrapped__().__name__ == "sqlite3"
    monkeypatch.setitem(sys.modules, "pysqlite3.dbapi2", None)
    assert sqlite_module.__wrapped__().__name__ == "sqlite3"


@pytest.mark.parametrize(
    "url", ["sqlite://", "sqlite:///:memory:", "sqlite:///file:shop.db?uri=true", "mysql://host/shop"]
)
def test_an_address_of_another_sort_is_refused(url):
    with pytest.raises(ValueError) as refusal:
        make_engine(url)
    assert str(refusal.value) == URL_SENTENCE


@pytest.mark.parametrize("start", ["postgres", "postgresql", "postgresql+psycopg"])
def test_every_spelling_of_a_postgresql_address_uses_the_same_driver(start):
    assert make_engine(f"{start}://host/shop").dialect.driver == "psycopg"


def test_a_relative_file_stays_where_it_was_first_named(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert make_engine("sqlite:///shop.db").url.database == str(tmp_path / "shop.db")


# Sentences


def _error(**orig):
    return DatabaseError("", {}, SimpleNamespace(**orig))


@pytest.mark.parametrize(
    ("orig", "sentence"),
    [
        ({"sqlite_errorname": "SQLITE_BUSY_SNAPSHOT"}, SQLITE_SENTENCES["SQLITE_BUSY"]),
        ({"sqlite_errorname": "SQLITE_LOCKED"}, SQLITE_SENTENCES["SQLITE_LOCKED"]),
        ({"sqlite_errorname": "SQLITE_READONLY_DBMOVED"}, SQLITE_SENTENCES["SQLITE_READONLY_DBMOVED"]),
        ({"sqlite_errorname": "SQLITE_READONLY_DIRECTORY"}, SQLITE_SENTENCES["SQLITE_READONLY"]),
        ({"sqlite_errorname": "SQLITE_CORRUPT_INDEX"}, SQLITE_SENTENCES["SQLITE_CORRUPT"]),
        ({"sqlite_errorname": "SQLITE_IOERR_FSYNC"}, SQLITE_SENTENCES["SQLITE_IOERR"]),
        ({"sqlite_errorname": "SQLITE_CONSTRAINT_UNIQUE"}, UNKNOWN_DATABASE_ERROR),
        ({"sqlstate": "53100"}, POSTGRES_SENTENCES["53100"]),
        ({"sqlstate": "40001"}, POSTGRES_SENTENCES["40"]),
        ({"sqlstate": "08006"}, SERVER_UNREACHABLE),
        ({"sqlstate": None}, SERVER_UNREACHABLE),
        ({"sqlstate": "23505"}, UNKNOWN_DATABASE_ERROR),
        ({}, UNKNOWN_DATABASE_ERROR),
    ],
    ids=str,
)
def test_each_error_has_its_sentences(orig, sentence):
    assert sentence_for(_error(**orig)) == sentence
    assert sentence.endswith(".")


# PostgreSQL's own faults


@pytest.fixture
def postgres_store(open_store, postgres_database):
    return open_store(postgres_database)


@pytest.mark.database
def test_postgres_compiles_no_statements(postgres_store):
    with postgres_store.reading() as session:
        assert session.scalar(text("SHOW jit")) == "off"


def test_postgres_describes_itself(postgres_store):
    facts = postgres_store.describe()
    assert facts.library.startswith("PostgreSQL ")
    assert (facts.journal_mode, facts.synchronous, facts.wal_race_fixed) == ("wal", "ON", True)


@pytest.mark.database
def test_a_postgres_that_takes_no_changes_is_refused(postgres_database, postgres_store):
    with psycopg.connect(postgres_database, autocommit=True) as connection:
        name = connection.info.dbname
        connection.execute(f"ALTER DATABASE {name} SET default_transaction_read_only = on")
    with pytest.raises(StoreUnusable, match="25006"):
        postgres_store.check()
    with pytest.raises(DBAPIError) as caught:
        _make_notes(postgres_store)
    assert sentence_for(caught.value) == POSTGRES_SENTENCES["25006"]


@pytest.mark.database
def test_a_server_that_dropped_idle_connections_costs_no_request(postgres_database, postgres_store):
    _make_notes(postgres_store)
    with psycopg.connect(postgres_database) as other:
        dropped = other.execute(
            "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        ).fetchall()
    assert dropped == [(True,)]
    _add(postgres_store, 1)
    assert _ids(postgres_store) == [1]


@pytest.mark.database
def test_a_lost_postgres_connection_is_named_and_the_next_write_goes_on(postgres_database, postgres_store):
    _make_notes(postgres_store)
    with postgres_store.writing() as session:
        process = session.scalar(text("SELECT pg_backend_pid()"))
        with psycopg.connect(postgres_database) as other:
            other.execute("SELECT pg_terminate_backend(%s)", [process])
        with pytest.raises(DBAPIError) as caught:
            session.execute(text("INSERT INTO note VALUES (1, 'up')"))
        session.rollback()
    assert sentence_for(caught.value) == POSTGRES_SENTENCES["57P"]
    _add(postgres_store, 2)
    assert _ids(postgres_store) == [2]


@pytest.mark.database
def test_a_postgres_database_that_is_not_there_is_refused(postgres_url, open_store):
    with pytest.raises(StoreUnusable, match="DATABASE_URL"):
        open_store(postgres_url.replace("/postgres?", "/missing?")).check()


@pytest.mark.database
def test_a_postgres_server_that_does_not_run_is_refused(tmp_path, open_store):
    with pytest.raises(StoreUnusable, match="DATABASE_URL"):
        open_store(f"postgresql://aloft@/shop?host={tmp_path}").check()
