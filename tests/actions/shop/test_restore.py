"""A backup is tried, what it would lose is named, and only then it takes the place of the database."""

import errno
import os
import stat
from contextlib import closing
from pathlib import Path

import pytest

from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.actions.shop.restore import (
    LOST,
    MOST_NAMED,
    NO_LOSS,
    UNKNOWN_LOSS,
    NotSure,
    describe_losses,
    restore_backup,
)
from app.quoting.states import TapAction
from app.store import restore as module
from app.store.inspection import connect
from app.store.migrate import current, downgrade, is_current
from app.store.restore import Losses
from tests.actions.builders import MORNING, change, line, order_request, tap
from tests.actions.shop.restore_helpers import numbers_in, run_sql, take_order_in
from tests.conftest import open_unsafely

NOW = MORNING


def test_a_fresh_folder_needs_nobody_to_be_sure(backup, tmp_path):
    target = tmp_path / "new" / "stillaloft.sqlite"
    target.parent.mkdir()
    restore_backup(f"sqlite:///{target}", backup, NOW, sure=False)
    assert numbers_in(target) == [1001]
    assert [path.name for path in target.parent.iterdir()] == [target.name]
    assert stat.S_IMODE(target.stat().st_mode) == 0o600


def test_what_would_be_lost_is_named_and_nothing_is_changed(database, file, url, backup, tmp_path):
    later = [take_order_in(database, "second"), take_order_in(database, "third")]
    database.engine.dispose()
    with pytest.raises(NotSure) as asked:
        restore_backup(url, backup, NOW, sure=False)
    assert all(str(number) in str(asked.value) for number in later)
    assert "1001" not in str(asked.value)
    assert numbers_in(file) == [1001, *later]
    assert not list(tmp_path.glob("*trial*")) + list(tmp_path.glob("*before-restore*"))


def test_losses_are_the_new_and_changed_orders_and_the_taps(database, file, backup):
    later = take_order_in(database, "second")
    with database.writing() as session:
        order = load_order(session, 1001)
        tap(session, order.batches[0], TapAction.START, key="tapped", sure=True)
        change(session, order, order_request(load_catalogue(session), line(load_catalogue(session), quantity=30)))
    database.engine.dispose()
    assert module.find_losses(backup, file) == Losses((later,), (1001,), 1, later)
    assert module.find_losses(file, file) == Losses((), (), 0, later)


def test_whoever_is_sure_gets_the_backup_and_the_old_file_stays(database, file, url, backup, tmp_path):
    later = take_order_in(database, "second")
    database.engine.dispose()
    said = restore_backup(url, backup, NOW, sure=True)
    assert numbers_in(file) == [1001]
    (old,) = tmp_path.glob("shop.sqlite.before-restore-*")
    assert str(old) in said
    assert numbers_in(old) == [1001, later]
    assert stat.S_IMODE(old.stat().st_mode) == stat.S_IMODE(file.stat().st_mode) == 0o600
    assert backup.exists()


def test_behind_a_link_the_file_itself_is_replaced(url, file, backup, tmp_path):
    real = tmp_path / "other disk" / "real.sqlite"
    real.parent.mkdir()
    file.rename(real)
    file.symlink_to(real)
    run_sql(real, "UPDATE orders SET number = 1005")
    restore_backup(url, backup, NOW, sure=True)
    assert file.is_symlink()
    assert numbers_in(real) == numbers_in(file) == [1001]


def test_no_number_of_a_lost_order_is_given_again(database, file, url, backup):
    """Its customer has it on paper."""
    lost = take_order_in(database, "second")
    database.engine.dispose()
    restore_backup(url, backup, NOW, sure=True)
    restored = open_unsafely(file)
    assert take_order_in(restored, "after") == lost + 1
    restored.engine.dispose()


def test_two_restores_of_one_second_leave_both_old_files(database, url, backup, tmp_path):
    database.engine.dispose()
    for _ in range(2):
        restore_backup(url, backup, NOW, sure=True)
    assert len(list(tmp_path.glob("shop.sqlite.before-restore-*"))) == 2


def test_where_files_have_one_name_only_the_old_one_is_copied(url, file, backup, tmp_path, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", refuse)
    before = file.read_bytes()
    restore_backup(url, backup, NOW, sure=True)
    (old,) = tmp_path.glob("shop.sqlite.before-restore-*")
    assert len(old.read_bytes()) == len(before)
    assert numbers_in(old) == [1001]


def test_a_backup_of_older_tables_is_migrated_on_the_copy_only(url, file, backup, tmp_path):
    downgrade(f"sqlite:///{backup}", "-1")
    with closing(connect(backup)) as opened:
        opened.execute("PRAGMA journal_mode=DELETE")
    before, old_revision = backup.read_bytes(), current(f"sqlite:///{backup}")
    restore_backup(url, backup, NOW, sure=True)
    assert is_current(url)
    assert current(f"sqlite:///{backup}") == old_revision
    assert len(before) == backup.stat().st_size
    assert numbers_in(file) == [1001]


def test_a_copy_by_hand_with_its_wal_beside_it_has_all_orders(database, url, file, tmp_path):
    """As somebody makes it who copies all files that begin with the name."""
    latest = take_order_in(database, "second")
    by_hand = tmp_path / "by hand.sqlite"
    for ending in ("", "-wal"):
        Path(f"{by_hand}{ending}").write_bytes(Path(f"{file}{ending}").read_bytes())
    database.engine.dispose()
    restore_backup(url, by_hand, NOW, sure=True)
    assert numbers_in(file) == [1001, latest]


def test_a_damaged_database_is_replaced_and_its_companions_stay_with_it(url, file, backup, tmp_path):
    for ending in ("", "-wal", "-shm"):
        Path(f"{file}{ending}").write_bytes(b"\xff" * 5000)
    with pytest.raises(NotSure) as asked:
        restore_backup(url, backup, NOW, sure=False)
    assert UNKNOWN_LOSS in str(asked.value)
    restore_backup(url, backup, NOW, sure=True)
    assert numbers_in(file) == [1001]
    old = list(tmp_path.glob("shop.sqlite.before-restore-*"))
    assert b"\xff" * 5000 in [path.read_bytes() for path in old]
    assert [path.name for path in tmp_path.glob("shop.sqlite-*")] == []


def test_losses_have_words():
    assert describe_losses(None) == UNKNOWN_LOSS
    assert describe_losses(Losses((), (), 0, 1001)) == NO_LOSS
    said = describe_losses(Losses(tuple(range(1001, 1031)), (7,), 1, 1030))
    assert said.startswith(LOST.partition("{")[0])
    assert all(f"{number}" in said for number in (30, 7, *range(1001, 1001 + MOST_NAMED)))
    assert str(1001 + MOST_NAMED) not in said
