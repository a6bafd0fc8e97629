"""A backup of the file in use: whole, checked, private, under its final name only when all of that is true."""

import errno
import os
import stat
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from app.store import backup as module
from app.store.backup import DAMAGED, backup_folder, list_backups, make_backup
from app.store.engine import sqlite_module
from app.store.inspection import connect, count_rows
from app.store.models import Counter, SettingRow
from app.store.sentences import StoreUnusable
from tests.conftest import open_unsafely

NOW = datetime(2026, 11, 30, 20, 15, tzinfo=UTC)
NAME = "stillaloft-2026-11-30T201500Z.sqlite"
DAY = timedelta(days=1)


@pytest.fixture
def file(database):
    return Path(database.engine.url.database)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "backups"


def _names(folder):
    return sorted(path.name for path in folder.iterdir())


def _rows(file):
    with closing(connect(file)) as opened:
        return count_rows(opened)


def test_it_works(database, file, folder):
    with database.writing() as session:
        session.add(SettingRow(key="just-saved", value=1))
    made = make_backup(file, folder, NOW)
    assert (made.file, made.made_at) == (folder / NAME, NOW)
    assert _names(folder) == [NAME]
    assert made.size == made.file.stat().st_size
    assert list_backups(folder) == [made]
    copy = open_unsafely(made.file)
    with copy.reading() as session:
        assert session.get(SettingRow, "just-saved").value == 1
    copy.engine.dispose()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such rights")
def test_only_its_owner_can_read_it(file, folder):
    made = make_backup(file, folder, NOW)
    assert stat.S_IMODE(made.file.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_it_is_one_file_that_needs_no_other_one(file, folder, tmp_path):
    made = make_backup(file, folder, NOW)
    alone = tmp_path / "elsewhere.sqlite"
    alone.write_bytes(made.file.read_bytes())
    with closing(sqlite_module().connect(alone)) as opened:
        assert opened.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    assert _rows(alone) == _rows(file)


def test_a_second_one_of_the_same_second_takes_the_next(file, folder):
    make_backup(file, folder, NOW)
    assert make_backup(file, folder, NOW).made_at == NOW + timedelta(seconds=1)
    assert len(list_backups(folder)) == 2


def test_a_copy_that_was_changed_is_known_as_such(file, folder):
    made = make_backup(file, folder, NOW)
    with made.file.open("ab") as opened:
        opened.write(b"more")
    assert [backup.unchanged for backup in list_backups(folder)] == [False]


def test_the_folder_is_beside_the_file_unless_another_is_chosen(tmp_path):
    assert backup_folder(tmp_path / "shop.sqlite", "") == tmp_path / "backups"
    assert backup_folder(tmp_path / "shop.sqlite", str(tmp_path / "stick")) == tmp_path / "stick"


def test_a_folder_that_is_not_there_has_none(tmp_path):
    assert list_backups(tmp_path / "none") == []


# Writes go on.


def _save_until(database, enough, acknowledged):
    """Counts up, each number in a transaction of its own, and notes a number once it was acknowledged."""
    number = 0
    while not enough.is_set():
        number += 1
        with database.writing() as session:
            session.add(SettingRow(key=f"saved-{threading.get_ident()}-{number}", value=number))
            session.scalars(select(Counter).where(Counter.name == "board")).one().value += 1
        acknowledged.append(f"saved-{threading.get_ident()}-{number}")


def _keys(file):
    with closing(connect(file)) as opened:
        return {key for (key,) in opened.execute("SELECT key FROM setting WHERE key LIKE 'saved-%'")}


def test_while_saves_go_on_it_has_each_one_that_was_acknowledged_before(database, file, folder):
    enough, acknowledged = threading.Event(), []
    threads = [threading.Thread(target=_save_until, args=(database, enough, acknowledged)) for _ in range(2)]
    for thread in threads:
        thread.start()
    try:
        saved_during = []
        for number in range(8):
            before = list(acknowledged)
            made = make_backup(file, folder, NOW + timedelta(minutes=number))
            saved_during.append(len(acknowledged) - len(before))
            assert set(before) <= _keys(made.file)
            with closing(connect(made.file)) as opened:
                (board,) = opened.execute("SELECT value FROM counter WHERE name = 'board'").fetchone()
            assert board - 1 == len(_keys(made.file))  # of one moment: no save is half in it
    finally:
        enough.set()
        for thread in threads:
            thread.join()
    assert sum(saved_during) > 0
    assert _keys(file) == set(acknowledged)


def test_it_says_how_far_it_is_while_saves_go_on_and_is_of_one_moment(database, file, folder, monkeypatch):
    """A save between two steps does not make it begin again."""
    monkeypatch.setattr(module, "STEP_PAGES", 1)
    reports = []

    def report(done, total):
        reports.append((done, total))
        with database.writing() as session:
            session.add(SettingRow(key=f"saved-{len(reports)}", value=1))

    made = make_backup(file, folder, NOW, report)
    total = reports[0][1]
    assert reports == [(done, total) for done in range(1, total + 1)]
    assert _keys(made.file) == set()
    assert len(_keys(file)) == total > 10


def test_what_is_raised_between_two_steps_ends_it_and_leaves_nothing(file, folder, monkeypatch):
    class Enough(Exception):
        pass

    def report(done, _):
        if done == 3:
            raise Enough

    monkeypatch.setattr(module, "STEP_PAGES", 1)
    earlier = make_backup(file, folder, NOW - DAY)
    with pytest.raises(Enough):
        make_backup(file, folder, NOW, report)
    assert _names(folder) == [earlier.file.name]


def test_it_takes_no_write_lock(database, file, folder):
    """A tap that is being saved neither waits for the copy nor is in it."""
    with database.writing() as session:
        session.add(SettingRow(key="saved-later", value=1))
        session.flush()
        made = make_backup(file, folder, NOW)
    assert _keys(made.file) == set()
    assert _keys(file) == {"saved-later"}


# What goes wrong.


def _raise(number):
    def refuse(*_args, **_kwargs):
        raise OSError(number, os.strerror(number))

    return refuse


@pytest.mark.parametrize("call", ["fsync", "utime", "open", "scandir"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EACCES, errno.ELOOP])
def test_a_disk_that_refuses_leaves_the_old_ones_and_nothing_half(file, folder, monkeypatch, call, number):
    make_backup(file, folder, NOW)
    with monkeypatch.context() as patch:
        patch.setattr(module.os, call, _raise(number))
        if call == "scandir":  # needed only to sort out the old ones: the new one is there
            make_backup(file, folder, NOW + DAY)
        else:
            with pytest.raises(StoreUnusable):
                make_backup(file, folder, NOW + DAY)
    later = ["stillaloft-2026-12-01T201500Z.sqlite"] if call == "scandir" else []
    assert _names(folder) == [NAME, *later]


def test_a_rename_that_fails_leaves_the_old_ones_and_nothing_half(file, folder, monkeypatch):
    make_backup(file, folder, NOW)
    monkeypatch.setattr(Path, "rename", _raise(errno.ENOSPC))
    with pytest.raises(StoreUnusable) as refused:
        make_backup(file, folder, NOW + DAY)
    assert str(folder) in refused.value.sentence
    assert _names(folder) == [NAME]


def test_a_disk_that_is_full_in_the_middle_of_the_copy_gets_a_sentence(file, folder, monkeypatch):
    make_backup(file, folder, NOW)
    real = module.connect

    def connect_to_small(path, *options):
        opened = real(path, *options)
        if path.name.endswith(".partial"):
            opened.execute("PRAGMA max_page_count=3")
        return opened

    monkeypatch.setattr(module, "connect", connect_to_small)
    with pytest.raises(StoreUnusable) as refused:
        make_backup(file, folder, NOW + DAY)
    assert refused.value.sentence == module.NOT_MADE.format(folder=folder, why=module.DISK_FULL)
    assert _names(folder) == [NAME]


def test_a_copy_that_lacks_rows_gets_no_name(file, folder, monkeypatch):
    real = module._copy
    monkeypatch.setattr(module, "_copy", lambda *files: real(*files) | {"setting": 10**6})
    with pytest.raises(StoreUnusable):
        make_backup(file, folder, NOW)
    assert _names(folder) == []


def test_a_copy_with_a_broken_reference_gets_no_name(file, folder):
    with closing(connect(file)) as opened:
        opened.execute("PRAGMA foreign_keys=OFF")
        opened.execute("INSERT INTO planned_start (batch_id, starts_at) VALUES (999, 0)")
    with pytest.raises(StoreUnusable, match="planned_start"):
        make_backup(file, folder, NOW)
    assert _names(folder) == []


def test_a_damaged_page_gets_no_backup(database, file, folder):
    database.engine.dispose()
    content = bytearray(file.read_bytes())
    content[4096 * 20 : 4096 * 24] = b"\xff" * 4096 * 4
    file.write_bytes(content)
    with pytest.raises(StoreUnusable):
        make_backup(file, folder, NOW)
    assert _names(folder) == []


def test_a_file_that_is_no_database_gets_no_backup(folder, tmp_path):
    (tmp_path / "list.sqlite").write_text("a shopping list " * 100)
    with pytest.raises(StoreUnusable) as refused:
        make_backup(tmp_path / "list.sqlite", folder, NOW)
    assert refused.value.sentence == DAMAGED
    assert _names(folder) == []


def test_without_a_file_no_folder_is_made(folder, tmp_path):
    with pytest.raises(StoreUnusable):
        make_backup(tmp_path / "none.sqlite", folder, NOW)
    assert not folder.exists()


def test_a_folder_that_is_a_file_gets_a_sentence(file, folder):
    folder.write_text("not a folder")
    with pytest.raises(StoreUnusable):
        make_backup(file, folder, NOW)
    assert folder.read_text() == "not a folder"
