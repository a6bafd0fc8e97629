"""A commit that fails: “nothing was saved” where that is known, “not known” where it is not."""

from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError

from app.store import engine as engine_module
from app.store.engine import Database, sqlite_module
from app.store.sentences import SQLITE_SENTENCES, CommitUnknown, is_surely_undone, sentence_for
from tests.later import psycopg

NOTE = "INSERT INTO note VALUES (1, 'up')"


def _error(**orig):
    return OperationalError("COMMIT", {}, SimpleNamespace(**orig))


@pytest.mark.parametrize(
    ("orig", "undone"),
    [
        ({"sqlite_errorname": "SQLITE_BUSY"}, True),
        ({"sqlite_errorname": "SQLITE_BUSY_SNAPSHOT"}, True),
        ({"sqlite_errorname": "SQLITE_CONSTRAINT_FOREIGNKEY"}, True),
        ({"sqlite_errorname": "SQLITE_IOERR_FSYNC"}, False),
        ({"sqlite_errorname": "SQLITE_FULL"}, False),
        ({"sqlite_errorname": "SQLITE_CORRUPT"}, False),
        ({"sqlstate": "40001"}, True),
        ({"sqlstate": "23503"}, True),
        ({"sqlstate": "40003"}, False),  # “statement completion unknown”
        ({"sqlstate": "08006"}, False),
        ({"sqlstate": "57P01"}, False),
        ({"sqlstate": None}, False),
        ({}, False),
    ],
    ids=str,
)
def test_which_failed_commits_are_surely_undone(orig, undone):
    """By the codes that SQLite and PostgreSQL publish."""
    assert is_surely_undone(_error(**orig)) is undone


class FailingConnection(sqlite_module().Connection):
    """A connection to SQLite whose next COMMIT fails with the error of the disk, before or after it was done."""

    fails = ""

    def commit(self):
        fails, FailingConnection.fails = self.fails, ""
        if fails == "after":
            super().commit()
        if fails:
            raise sqlite_module().OperationalError("disk I/O error")
        super().commit()


@pytest.fixture
def failing(sqlite_database, monkeypatch):
    """A database whose next commit fails when FailingConnection is told so."""
    real = engine_module.create_engine
    monkeypatch.setattr(
        engine_module,
        "create_engine",
        lambda *args, **more: real(*args, **more, connect_args={"factory": FailingConnection}),
    )
    database = Database(sqlite_database)
    with database.writing() as session:
        session.execute(text("CREATE TABLE note (id integer PRIMARY KEY, words text)"))

    yield database
    FailingConnection.fails = ""
    database.engine.dispose()


def _add(database, statement=NOTE):
    with database.writing() as session:
        session.execute(text(statement))


def _ids(database):
    with database.reading() as session:
        return session.scalars(text("SELECT id FROM note")).all()


@pytest.mark.parametrize(("when", "saved"), [("before", []), ("after", [1])])
def test_a_disk_that_fails_in_the_commit_leaves_it_unknown_and_the_next_write_goes_on(failing, when, saved):
    FailingConnection.fails = when
    with pytest.raises(CommitUnknown):
        _add(failing)
    assert _ids(failing) == saved
    _add(failing, "INSERT INTO note VALUES (2, 'up')")
    assert _ids(failing) == [*saved, 2]


def test_a_statement_that_fails_before_the_commit_is_known_to_be_undone(failing):
    with pytest.raises(DBAPIError) as caught:
        _add(failing, "INSERT INTO nowhere VALUES (1)")
    assert not isinstance(caught.value, CommitUnknown)
    assert _ids(failing) == []


def test_a_broken_rule_that_only_the_commit_finds_is_known_to_be_undone(sqlite_store):
    with sqlite_store.writing() as session:
        session.execute(text("CREATE TABLE note (id integer PRIMARY KEY)"))
        parent = "integer REFERENCES note (id) DEFERRABLE INITIALLY DEFERRED"
        session.execute(text(f"CREATE TABLE reply (id integer PRIMARY KEY, note {parent})"))
    with pytest.raises(IntegrityError), sqlite_store.writing() as session:
        session.execute(text("INSERT INTO reply VALUES (1, 99)"))


def test_a_lock_in_the_way_of_the_commit_is_known_to_be_undone(sqlite_store, monkeypatch):
    """Without write-ahead log, an open read of another program is in the way."""
    monkeypatch.setattr(engine_module, "library_version", lambda: (3, 40, 1))
    monkeypatch.setattr(engine_module, "BUSY_MILLISECONDS", 50)
    with sqlite_store.writing() as session:
        session.execute(text("CREATE TABLE note (id integer PRIMARY KEY, words text)"))
    other = sqlite_module().connect(sqlite_store.engine.url.database, isolation_level=None)
    other.execute("BEGIN")
    other.execute("SELECT * FROM note").fetchall()
    with pytest.raises(OperationalError) as caught:
        _add(sqlite_store)
    assert sentence_for(caught.value) == SQLITE_SENTENCES["SQLITE_BUSY"]
    other.close()
    assert _ids(sqlite_store) == []


# PostgreSQL


@pytest.fixture
def postgres_notes(open_store, postgres_database):
    store = open_store(postgres_database)
    with store.writing() as session:
        session.execute(text("CREATE TABLE note (id integer PRIMARY KEY, words text)"))
    return store


SLOW_COMMIT = """
CREATE FUNCTION wait_long() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN PERFORM pg_sleep(20); RETURN NULL; END $$;
CREATE CONSTRAINT TRIGGER slow AFTER INSERT ON note DEFERRABLE INITIALLY DEFERRED
FOR EACH ROW EXECUTE FUNCTION wait_long()
"""


def _kill_during_commit(address):
    """Ends the server's process of the write while its COMMIT waits."""
    with psycopg.connect(address, autocommit=True) as other:
        for _ in range(1000):
            ended = other.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND query ILIKE 'commit%' AND wait_event = 'PgSleep'"
            ).fetchall()
            if ended:
                return
    raise AssertionError("no commit was seen")


@pytest.mark.database
def test_a_server_that_goes_away_during_the_commit_leaves_it_unknown(postgres_notes, postgres_database):
    with postgres_notes.writing() as session:
        session.execute(text(SLOW_COMMIT))
    with ThreadPoolExecutor(1) as pool:
        writing = pool.submit(_add, postgres_notes)
        _kill_during_commit(postgres_database)
        assert isinstance(writing.exception(), CommitUnknown)
    with postgres_notes.writing() as session:
        session.execute(text("DROP TRIGGER slow ON note"))
    _add(postgres_notes, "INSERT INTO note VALUES (2, 'up')")
    assert _ids(postgres_notes) == [2]


@pytest.mark.database
def test_a_commit_whose_answer_is_lost_is_saved_and_said_to_be_unknown(postgres_notes, postgres_database):
    """The connection ends between the server's commit and its answer: what was said to be lost was saved."""

    @event.listens_for(postgres_notes.engine, "commit")
    def commit_and_lose(connection):
        connection.connection.driver_connection.commit()
        connection.connection.driver_connection.pgconn.finish()

    with pytest.raises(CommitUnknown), postgres_notes.writing() as session:
        session.execute(text(NOTE))
    event.remove(postgres_notes.engine, "commit", commit_and_lose)
    assert _ids(postgres_notes) == [1]


@pytest.mark.database
def test_a_rule_that_postgresql_finds_broken_in_the_commit_is_known_to_be_undone(postgres_notes):
    with postgres_notes.writing() as session:
        parent = "integer REFERENCES note (id) DEFERRABLE INITIALLY DEFERRED"
        session.execute(text(f"CREATE TABLE reply (id integer PRIMARY KEY, note {parent})"))
    with pytest.raises(IntegrityError), postgres_notes.writing() as session:
        session.execute(text("INSERT INTO reply VALUES (1, 99)"))
