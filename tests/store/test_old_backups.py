"""Which files of the folder go when a backup was made, and which ones never do."""

import errno
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from app.store import backup as module
from app.store.backup import list_backups, make_backup
from app.store.inspection import connect
from tests.store.test_backup import DAY, NAME, NOW


@pytest.fixture
def file(database):
    return Path(database.engine.url.database)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "backups"


def _names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_year_of_backups_is_sorted_out(file, folder, monkeypatch):
    """One a week, unchecked: the rule itself is tested over two years of days."""
    monkeypatch.setattr(module, "_verify", lambda *_: None)
    moments = [NOW + day * DAY for day in range(0, 366, 7)]
    for moment in moments:
        make_backup(file, folder, moment)
    made = [backup.made_at for backup in list_backups(folder)]
    assert made[:7] == moments[:-8:-1]
    assert len(made) == 7 + 4 + 11
    assert made[-1] < NOW + 31 * DAY
    assert all(backup.unchanged for backup in list_backups(folder))


def test_nothing_that_is_not_a_backup_of_this_shop_is_removed(file, folder, tmp_path):
    other = tmp_path / "other.sqlite"
    other.write_bytes(make_backup(file, tmp_path / "first", NOW).file.read_bytes())
    with closing(connect(other)) as opened:
        opened.execute("UPDATE setting SET value = '\"another shop\"' WHERE key = 'session_secret'")
    for day in range(2):
        make_backup(other, folder, NOW - (300 + day) * DAY)
    (folder / "stillaloft-2020-01-01T000000Z.sqlite").write_text("named like one, but none")
    (folder / "stillaloft-2020-99-99T000000Z.sqlite").write_text("no such day")
    (folder / "holiday.jpg").write_text("a photo")
    (folder / "stillaloft-2020-01-02T000000Z.sqlite").symlink_to(tmp_path / "first" / NAME)
    before = _names(folder)
    for day in range(20):
        make_backup(file, folder, NOW + day * DAY)
    assert set(before) <= set(_names(folder))
    assert len(_names(folder)) < len(before) + 20


def test_what_a_crash_left_is_removed_after_a_day(file, folder):
    folder.mkdir()
    left = folder / f"{NAME}.partial"
    left.write_bytes(b"half")
    make_backup(file, folder, NOW + timedelta(hours=2))
    assert left.exists()  # it may be another program's that is at work
    make_backup(file, folder, NOW + timedelta(hours=25))
    assert not left.exists()


def test_an_old_one_that_cannot_be_removed_does_not_undo_the_new_one(file, folder, monkeypatch, caplog):
    make_backup(file, folder, NOW)
    monkeypatch.setattr(module, "moments_to_keep", lambda _: set())
    real = Path.unlink

    def refuse(path, missing_ok=False):
        if path.suffix == ".sqlite":
            raise PermissionError(errno.EACCES, "no")
        real(path, missing_ok=missing_ok)

    monkeypatch.setattr(Path, "unlink", refuse)
    made = make_backup(file, folder, NOW + 30 * DAY)
    assert made.file.exists()
    assert [record.name for record in caplog.records] == [module.__name__]
