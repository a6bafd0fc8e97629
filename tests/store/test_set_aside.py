"""A database whose tables this program does not know: set aside with a sentence, never half-opened."""

import sqlite3
from contextlib import closing

import pytest
from sqlalchemy import text

from app.serving import prepare_database
from app.store.migrate import current, is_known, set_database_aside, upgrade
from app.store.sentences import StoreUnusable
from tests.commands import APP, run_here

UNKNOWN = "0fe7f1019ee9"


@pytest.fixture
def older(tmp_path):
    """A file as a program of before the first release left it, with an order that is still in the -wal file."""
    file = tmp_path / "shop.sqlite"
    opened = sqlite3.connect(file)
    opened.execute("PRAGMA journal_mode=WAL")
    opened.execute("CREATE TABLE alembic_version (version_num TEXT NOT NULL)")
    opened.execute("INSERT INTO alembic_version VALUES (?)", (UNKNOWN,))
    opened.execute("CREATE TABLE kind (name TEXT)")
    opened.execute("INSERT INTO kind VALUES ('11 in latex')")
    opened.commit()
    yield file
    opened.close()


def _kinds(file):
    with closing(sqlite3.connect(file)) as opened:
        return opened.execute("SELECT name FROM kind").fetchall()


def test_it_is_set_aside_untouched_and_a_new_file_is_begun(older, capsys):
    url = f"sqlite:///{older}"
    prepare_database(url).engine.dispose()
    aside = older.with_name("shop.sqlite.not-known")
    assert _kinds(aside) == [("11 in latex",)]
    assert str(aside) in capsys.readouterr().out
    assert is_known(url)
    assert current(url) != UNKNOWN


def test_what_is_only_looked_at_is_not_touched(older, tmp_path):
    status, said = run_here(APP, tmp_path, "check", DATABASE_URL=f"sqlite:///{older}")
    assert status == 1
    assert "Traceback" not in said
    assert not older.with_name("shop.sqlite.not-known").exists()
    assert _kinds(older) == [("11 in latex",)]


def test_a_known_file_stays_where_it_is(tmp_path):
    url = f"sqlite:///{tmp_path / 'shop.sqlite'}"
    prepare_database(url).engine.dispose()
    prepare_database(url).engine.dispose()
    assert not [file for file in tmp_path.iterdir() if "not-known" in file.name]


def test_a_second_one_gets_the_next_free_name(tmp_path):
    names = []
    for content in ("one", "two"):
        (tmp_path / "shop.sqlite").write_text(content)
        names.append(set_database_aside(f"sqlite:///{tmp_path / 'shop.sqlite'}", "not-known"))
    assert [(name.name, name.read_text()) for name in names] == [
        ("shop.sqlite.not-known", "one"),
        ("shop.sqlite.not-known-1", "two"),
    ]


def test_without_a_file_nothing_is_set_aside(tmp_path):
    assert set_database_aside(f"sqlite:///{tmp_path / 'shop.sqlite'}", "not-known") is None


@pytest.mark.database
def test_another_database_is_refused_and_left_alone(open_store, postgres_database):
    upgrade(postgres_database)
    with open_store(postgres_database).writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = :unknown"), {"unknown": UNKNOWN})
    with pytest.raises(StoreUnusable, match="DATABASE_URL"):
        prepare_database(postgres_database)
    assert current(postgres_database) == UNKNOWN
