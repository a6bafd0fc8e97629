"""What restoring refuses; nothing is changed then."""

import errno
import os
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from app.actions.shop.restore import (
    restore_backup,
)
from app.store import foreign
from app.store import restore as module
from app.store.engine import sqlite_module
from app.store.models import Order
from app.store.sentences import StoreUnusable
from tests.actions.builders import MORNING
from tests.actions.shop.restore_helpers import contents_of, numbers_in, run_sql

NOW = MORNING


def _foreign_files():
    """Each file that is refused by its name: what makes it of a backup, and the sentence if it is only one."""

    def sql(*statements):
        return lambda copy: run_sql(copy, *statements)

    def damage(copy):
        content = bytearray(copy.read_bytes())
        content[4096 * 8 : 4096 * 12] = b"\xff" * 4096 * 4
        copy.write_bytes(content)

    def other_program(copy):
        copy.unlink()
        with closing(sqlite_module().connect(copy)) as opened:
            opened.execute("CREATE TABLE recipe (name text)")

    return {
        "text": (lambda copy: copy.write_text("a shopping list " * 100), foreign.NOT_SQLITE),
        "empty": (lambda copy: copy.write_bytes(b""), foreign.NOT_SQLITE),
        "cut off": (lambda copy: copy.write_bytes(copy.read_bytes()[:50_000]), None),
        "header only": (lambda copy: copy.write_bytes(foreign.SQLITE_HEADER), None),
        "damaged": (damage, None),
        "other program": (other_program, foreign.OTHER_PROGRAM),
        "another program's id": (sql("PRAGMA application_id=1"), foreign.OTHER_PROGRAM),
        "no revision": (sql("DELETE FROM alembic_version"), foreign.NEWER),
        "newer": (sql("UPDATE alembic_version SET version_num = 'ffffffffffff'"), foreign.NEWER),
        "two revisions": (sql("INSERT INTO alembic_version VALUES ('ffffffffffff')"), foreign.NEWER),
        "trigger": (
            sql("CREATE TRIGGER gift AFTER INSERT ON orders BEGIN UPDATE orders SET total_minor = 0; END"),
            foreign.NOT_OURS.format(name="{name}", sort="trigger", thing="gift"),
        ),
        "view": (
            sql("CREATE VIEW cheap AS SELECT 1"),
            foreign.NOT_OURS.format(name="{name}", sort="view", thing="cheap"),
        ),
        "virtual table": (
            sql("CREATE VIRTUAL TABLE boxes USING rtree(id, low, high)"),
            foreign.NOT_OURS.format(name="{name}", sort="virtual table", thing="boxes"),
        ),
        "one more table": (
            sql("CREATE TABLE extra (id integer)"),
            foreign.NOT_OURS.format(name="{name}", sort="table", thing="extra"),
        ),
        "one table less": (
            sql("DROP TABLE planned_start"),
            foreign.MISSING_TABLE.format(name="{name}", thing="planned_start"),
        ),
        "impossible moment": (sql("UPDATE batch SET inflate_by = 0, ready_by = 1 << 60"), None),
        "unknown state": (
            sql("PRAGMA ignore_check_constraints=ON", "UPDATE orders SET state = 'lost'"),
            None,
        ),
        "broken reference": (
            sql("PRAGMA foreign_keys=OFF", "INSERT INTO planned_start (batch_id, starts_at) VALUES (999, 0)"),
            None,
        ),
    }


@pytest.mark.parametrize("sort", sorted(_foreign_files()))
def test_a_file_that_is_no_sound_backup_is_refused_and_nothing_is_changed(url, file, backup, tmp_path, sort):
    make, sentence = _foreign_files()[sort]
    make(backup)
    before, as_it_was = contents_of(tmp_path), contents_of(backup.parent)
    with pytest.raises(StoreUnusable) as refused:
        restore_backup(url, backup, NOW, sure=True)
    assert sentence is None or refused.value.sentence == sentence.format(name=backup)
    assert str(backup) in refused.value.sentence
    assert contents_of(tmp_path).keys() == before.keys()
    assert numbers_in(file) == [1001]
    assert contents_of(backup.parent) == as_it_was


def _link(backup, file):
    link = backup.with_name("link.sqlite")
    link.symlink_to(backup)
    return link


def _link_beside(backup, file):
    Path(f"{backup}-wal").symlink_to(file)
    return backup


def _journal_beside(backup, file):
    Path(f"{backup}-journal").write_bytes(b"not finished")
    return backup


def _pipe(backup, file):
    os.mkfifo(backup.with_name("pipe"))
    return backup.with_name("pipe")


UNUSUAL = {
    "link": (_link, module.NO_FILE),
    "link beside": (_link_beside, module.NO_FILE),
    "dangling link": (lambda backup, file: _link(Path(f"{backup}-none"), file), module.NO_FILE),
    "folder": (lambda backup, file: backup.parent, module.NO_FILE),
    "pipe": (_pipe, module.NO_FILE),
    "nothing": (lambda backup, file: backup.with_name("none"), module.NO_SUCH_FILE),
    "itself": (lambda backup, file: file, module.SAME_FILE),
    "journal beside": (_journal_beside, None),
}


@pytest.mark.parametrize("sort", UNUSUAL)
def test_what_is_no_plain_file_of_its_own_is_refused(url, file, backup, sort):
    make, sentence = UNUSUAL[sort]
    source = make(backup, file)
    with pytest.raises(StoreUnusable) as refused:
        restore_backup(url, source, NOW, sure=True)
    assert sentence is None or refused.value.sentence == sentence.format(file=source)
    assert numbers_in(file) == [1001]


def test_while_a_program_has_the_database_open_it_is_refused(database, url, file, backup):
    """Even one that does nothing at the moment."""
    with database.reading() as session:
        session.scalars(select(Order.number)).all()
    with pytest.raises(StoreUnusable) as refused:
        restore_backup(url, backup, NOW, sure=True)
    assert refused.value.sentence == module.IN_USE.format(file=file)
    database.engine.dispose()
    restore_backup(url, backup, NOW, sure=True)


@pytest.mark.parametrize("call", ["fsync", "open"])
def test_a_disk_that_refuses_leaves_the_database_as_it_was(url, file, backup, tmp_path, monkeypatch, call):
    def refuse(*_args, **_kwargs):
        raise OSError(errno.ENOSPC, "full")

    with monkeypatch.context() as patch:
        patch.setattr(os, call, refuse)
        with pytest.raises(StoreUnusable):
            restore_backup(url, backup, NOW, sure=True)
    assert numbers_in(file) == [1001]
    assert not list(tmp_path.glob("*trial*"))


def test_a_swap_that_fails_leaves_the_database_as_it_was(url, file, backup, tmp_path, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise OSError(errno.ENOSPC, "full")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", refuse)
        with pytest.raises(StoreUnusable):
            restore_backup(url, backup, NOW, sure=True)
    assert numbers_in(file) == [1001]
    assert not list(tmp_path.glob("*trial*"))


def test_a_trial_that_a_crash_left_is_not_in_the_way(url, file, backup):
    Path(f"{file}.trial").write_bytes(b"half")
    Path(f"{file}.trial-wal").write_bytes(b"half")
    restore_backup(url, backup, NOW + timedelta(days=1), sure=True)
    assert numbers_in(file) == [1001]
