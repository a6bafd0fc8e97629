"""Whose a database is: ours is opened and signed; a newer version's and another program's stay as they are."""

import hashlib
import sqlite3
from contextlib import closing

import pytest
from sqlalchemy import text

from app.serving import check_database, prepare_database
from app.store.engine import sqlite_module
from app.store.migrate import current, owner_of, upgrade
from app.store.ownership import APPLICATION_ID, DatabaseOwner
from app.store.sentences import StoreUnusable, not_ours
from tests.commands import APP, run_here

UNKNOWN = "0fe7f1019ee9"
OTHER_ID = 252006675


@pytest.fixture
def file(tmp_path):
    return tmp_path / "shop.sqlite"


def _url(file):
    return f"sqlite:///{file}"


def _run(file, *statements):
    with closing(sqlite_module().connect(file, isolation_level=None)) as opened:
        return [opened.execute(statement).fetchone() for statement in statements][-1]


def _application_id(file):
    return _run(file, "PRAGMA application_id")[0]


def _contents(folder):
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in folder.iterdir()}


def _migrated(file):
    upgrade(_url(file))
    return file


def _newer(file):
    _run(_migrated(file), f"UPDATE alembic_version SET version_num = '{UNKNOWN}'")


def _newer_without_id(file):
    _newer(file)
    _run(file, "PRAGMA application_id=0")


def _with_another_id(file):
    _run(file, f"PRAGMA application_id={OTHER_ID}", "CREATE TABLE note (words TEXT)")


def _another_id_and_no_table(file):
    _run(file, f"PRAGMA application_id={OTHER_ID}")


def _with_other_tables(file):
    _run(file, "CREATE TABLE note (words TEXT)")


def _other_with_write_ahead_log(file):
    _run(file, "PRAGMA journal_mode=WAL", "CREATE TABLE note (words TEXT)")


def _other_with_migrations(file):
    _run(
        file, "CREATE TABLE alembic_version (version_num TEXT)", f"INSERT INTO alembic_version VALUES ('{UNKNOWN}')"
    )
    _run(file, "CREATE TABLE note (words TEXT)")


def _other_with_a_table_of_that_name(file):
    _run(file, "CREATE TABLE alembic_version (words TEXT)", "CREATE TABLE note (words TEXT)")


NOT_OURS = [
    (_newer, DatabaseOwner.NEWER),
    (_newer_without_id, DatabaseOwner.NEWER),
    (_with_another_id, DatabaseOwner.OTHER),
    (_another_id_and_no_table, DatabaseOwner.OTHER),
    (_with_other_tables, DatabaseOwner.OTHER),
    (_other_with_write_ahead_log, DatabaseOwner.OTHER),
    (_other_with_migrations, DatabaseOwner.OTHER),
    (_other_with_a_table_of_that_name, DatabaseOwner.OTHER),
]


@pytest.mark.parametrize(("make", "owner"), NOT_OURS)
@pytest.mark.parametrize("open_it", [prepare_database, check_database, upgrade])
def test_what_is_not_ours_is_refused_by_name_and_stays_byte_for_byte(tmp_path, file, make, owner, open_it):
    make(file)
    before = _contents(tmp_path)
    assert owner_of(_url(file)) is owner
    with pytest.raises(StoreUnusable) as refusal:
        open_it(_url(file))
    assert refusal.value.sentence == not_ours(owner is DatabaseOwner.NEWER, str(file))
    assert str(file) in refusal.value.sentence
    assert _contents(tmp_path) == before


@pytest.mark.parametrize("word", ["check", "serve"])
@pytest.mark.parametrize("make", [_newer, _with_another_id])
def test_the_command_line_says_it_in_one_line(tmp_path, file, make, word):
    make(file)
    status, said = run_here(APP, tmp_path, word, DATABASE_URL=_url(file))
    assert status == 1
    assert len(said.splitlines()) == 1
    assert "Traceback" not in said


def test_what_is_still_in_the_wal_of_another_program_is_not_lost(tmp_path, file):
    with closing(sqlite3.connect(file, isolation_level=None)) as opened:
        for statement in ("PRAGMA journal_mode=WAL", "CREATE TABLE note (words)", "INSERT INTO note VALUES ('up')"):
            opened.execute(statement)
        with pytest.raises(StoreUnusable):
            prepare_database(_url(file))
    assert _run(file, "SELECT words FROM note") == ("up",)


def test_a_new_file_is_signed(file):
    assert owner_of(_url(file)) is DatabaseOwner.EMPTY
    assert not file.exists()
    prepare_database(_url(file)).engine.dispose()
    assert _application_id(file) == APPLICATION_ID
    assert owner_of(_url(file)) is DatabaseOwner.OURS


def test_an_empty_file_is_nobodys_and_is_taken(file):
    file.touch()
    prepare_database(_url(file)).engine.dispose()
    assert owner_of(_url(file)) is DatabaseOwner.OURS


def test_a_file_of_ours_without_the_id_gets_it_although_no_migration_is_due(file):
    _run(_migrated(file), "PRAGMA application_id=0")
    assert owner_of(_url(file)) is DatabaseOwner.OURS
    prepare_database(_url(file)).engine.dispose()
    assert _application_id(file) == APPLICATION_ID


def test_only_looking_signs_nothing(file):
    _run(_migrated(file), "PRAGMA application_id=0")
    check_database(_url(file))
    assert _application_id(file) == 0


@pytest.mark.database
def test_a_newer_postgresql_database_is_refused_and_left_alone(open_store, postgres_database):
    upgrade(postgres_database)
    with open_store(postgres_database).writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = :unknown"), {"unknown": UNKNOWN})
    assert owner_of(postgres_database) is DatabaseOwner.NEWER
    for open_it in (prepare_database, check_database):
        with pytest.raises(StoreUnusable):
            open_it(postgres_database)
    assert current(postgres_database) == UNKNOWN


@pytest.mark.database
def test_a_postgresql_database_of_another_program_is_refused_and_left_alone(open_store, postgres_database):
    store = open_store(postgres_database)
    with store.writing() as session:
        session.execute(text("CREATE TABLE note (words text)"))
    assert owner_of(postgres_database) is DatabaseOwner.OTHER
    with pytest.raises(StoreUnusable):
        prepare_database(postgres_database)
    with store.reading() as session:
        tables = text("SELECT table_name FROM information_schema.tables WHERE table_schema = 'public'")
        assert session.scalars(tables).all() == ["note"]
