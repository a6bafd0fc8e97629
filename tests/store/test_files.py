"""The rights to the database's files: their owner's alone, whatever the system gives to new files."""

import os
from pathlib import Path

import pytest
from sqlalchemy import text

from app.serving import prepare_database
from app.store import engine as engine_module
from app.store.files import is_same_disk, make_private
from app.store.lock import hold_database
from app.store.migrate import set_database_aside

pytestmark = pytest.mark.skipif(os.name != "posix", reason="the system has no such rights")
OWN = 0o600
RACY = (3, 40, 1)


@pytest.fixture(autouse=True)
def everybody_may_read_new_files():
    before = os.umask(0o000)
    yield
    os.umask(before)


@pytest.fixture
def file(tmp_path):
    return tmp_path / "shop.sqlite"


def _modes(folder):
    return {path.name: path.stat().st_mode & 0o777 for path in folder.iterdir()}


def _write(database):
    with database.writing() as session:
        session.execute(text("UPDATE counter SET value = value"))


@pytest.mark.skipif(not engine_module.wal_race_fixed(engine_module.library_version()), reason="it has no -wal")
def test_a_new_file_and_what_sqlite_adds_are_its_owners_alone(tmp_path, file):
    with hold_database(f"sqlite:///{file}", ""):
        database = prepare_database(f"sqlite:///{file}")
        _write(database)
        assert _modes(tmp_path) == dict.fromkeys(
            [f"{file.name}{end}" for end in ("", "-wal", "-shm", ".lock")], OWN
        )
        database.close()


def test_so_is_the_rollback_journal(tmp_path, file, monkeypatch):
    monkeypatch.setattr(engine_module, "library_version", lambda: RACY)
    database = prepare_database(f"sqlite:///{file}")
    with database.writing() as session:
        session.execute(text("UPDATE counter SET value = value + 1"))
        assert _modes(tmp_path) == {file.name: OWN, f"{file.name}-journal": OWN}
    database.close()


def test_a_file_that_others_could_read_is_narrowed_when_the_program_starts(tmp_path, file):
    url = f"sqlite:///{file}"
    prepare_database(url).close()
    file.chmod(0o644)
    Path(f"{file}.lock").touch(0o666)
    prepare_database(url).close()
    assert _modes(tmp_path) == {file.name: OWN, f"{file.name}.lock": OWN}


def test_a_file_that_its_owner_may_only_read_gets_no_further_right(file):
    file.touch(0o444)
    file.chmod(0o444)
    make_private(file)
    assert file.stat().st_mode & 0o777 == 0o400


def test_a_file_of_another_user_is_left_as_it_is(file, monkeypatch):
    file.touch()
    file.chmod(0o644)
    monkeypatch.setattr("app.store.files.os.geteuid", lambda: file.stat().st_uid + 1)
    make_private(file)
    assert file.stat().st_mode & 0o777 == 0o644


def test_what_is_set_aside_stays_its_owners_alone(tmp_path, file):
    url = f"sqlite:///{file}"
    prepare_database(url).close()
    set_database_aside(url, "before-reset")
    prepare_database(url).close()
    assert set(_modes(tmp_path).values()) == {OWN}


def test_a_folder_that_is_not_there_yet_is_on_the_disk_of_the_one_above(tmp_path):
    assert is_same_disk(tmp_path / "shop.sqlite", tmp_path / "backups" / "of today")
    assert not is_same_disk(Path("/proc/self"), tmp_path)
