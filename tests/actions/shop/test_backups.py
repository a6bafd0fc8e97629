"""When a backup is due by itself, and what the keeper does when it fails."""

import errno
import threading
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from app.actions.shop import backups as module
from app.actions.shop.backups import QUIET, USE_PG_DUMP, BackupKeeper, back_up_before_migration, is_backup_due
from app.planning.opening import Opening
from app.store.migrate import current, downgrade, is_current
from app.store.sentences import StoreUnusable

OPENING = Opening(ZoneInfo("America/New_York"), dict.fromkeys(range(6), (time(8), time(18))))
"""Closed on Sundays. New York is five hours behind UTC in November."""


def _at(hour, minute=0, days=0):
    """A local time of Tuesday 24 November 2026, or of a day near it, in UTC."""
    return datetime(2026, 11, 24, hour, minute, tzinfo=UTC) + timedelta(hours=5, days=days)


DUE = [
    # now, last write, newest backup
    (_at(18), _at(17, 59), _at(12)),  # the shop has just closed
    (_at(23), _at(17), _at(12)),  # it closed some hours ago
    (_at(18), _at(17, 59), None),
    (_at(8, 1, days=1), _at(8, days=1), _at(12)),  # the computer was off when the shop closed
    (_at(9, days=2), _at(8, 59, days=2), _at(12)),  # for a day and a half
    (_at(12, 15), _at(12), _at(18, days=-1)),  # idle for the first time this day
    (_at(12, 15), _at(12), None),
    (_at(19, 20), _at(19, 5), _at(18)),  # somebody worked late
    (_at(1, days=1), _at(0, 40, days=1), _at(18)),
]
NOT_DUE = [
    (_at(17, 59), _at(17, 58), _at(12)),  # the shop is still open
    (_at(18, 1), _at(17, 59), _at(18)),  # made already
    (_at(9, days=1), _at(17, 59), _at(18)),  # nothing was saved since
    (_at(12, 14), _at(12), _at(18, days=-1)),  # not idle yet
    (_at(15), _at(14), _at(12)),  # idle, but there is one of this day
    (_at(19, 19), _at(19, 5), _at(18)),
]


@pytest.mark.parametrize(("moment", "last_write", "newest"), DUE)
def test_it_is_due(moment, last_write, newest):
    assert is_backup_due(moment, last_write, newest, OPENING)


@pytest.mark.parametrize(("moment", "last_write", "newest"), NOT_DUE)
def test_it_is_not_due(moment, last_write, newest):
    assert not is_backup_due(moment, last_write, newest, OPENING)


def test_in_the_evening_one_a_day_is_enough_until_it_closes_after_midnight():
    evening = Opening(OPENING.zone, dict.fromkeys(range(7), (time(18), time(2))))
    idle = _at(0, 40, days=1), _at(0, 10, days=1), _at(20)
    assert not is_backup_due(*idle, evening)
    assert is_backup_due(_at(2, days=1), *idle[1:], evening)


def test_a_shop_without_opening_hours_is_backed_up_when_it_is_idle():
    closed = Opening(OPENING.zone, {})
    assert is_backup_due(_at(12, 15), _at(12), _at(11), closed)
    assert not is_backup_due(_at(12, 14), _at(12), _at(11), closed)


@pytest.fixture
def keeper(database, tmp_path):
    return BackupKeeper(database.engine.url.render_as_string(), str(tmp_path / "stick"))


def _week(keeper):
    """A week in which somebody saves something every ten minutes from eight to six: when backups were made."""
    for day in range(7):
        for minute in range(0, 24 * 60, 5):
            moment = _at(0, days=day) + timedelta(minutes=minute)
            opening = _at(8, days=day), _at(18, days=day)
            last_write = min(max(moment - timedelta(minutes=minute % 10), opening[0]), opening[1])
            if moment >= opening[0]:
                keeper.make_if_due(moment, last_write, OPENING)
    return [backup.made_at for backup in reversed(keeper.listed())]


def test_a_week_has_one_after_each_closing(keeper, monkeypatch):
    monkeypatch.setattr("app.store.backup._verify", lambda *_: None)
    made = _week(keeper)
    open_days = [day for day in range(7) if _at(12, days=day).weekday() < 6]
    for day in open_days:
        after = [moment for moment in made if _at(18, days=day) <= moment < _at(8, days=day + 1)]
        assert 1 <= len(after) <= 2, day  # one at once, one for the very last save
    assert len(made) <= 2 * len(open_days) + 3


def test_one_that_fails_says_why_and_is_tried_again_later(keeper, monkeypatch):
    def refuse(*_):
        raise StoreUnusable("the stick is gone")

    with monkeypatch.context() as patch:
        patch.setattr(module, "make_backup", refuse)
        with pytest.raises(StoreUnusable):
            keeper.make_if_due(_at(18), _at(17), OPENING)
        assert keeper.failure == "the stick is gone"
        assert keeper.make_if_due(_at(18) + QUIET / 2, _at(17), OPENING) is None
    assert keeper.make_if_due(_at(18) + QUIET / 2, _at(17), OPENING) is None
    assert keeper.failure
    assert keeper.make_if_due(_at(18) + QUIET, _at(17), OPENING).made_at == _at(18) + QUIET
    assert keeper.failure == ""


def test_one_that_a_wrong_clock_dated_ahead_does_not_put_off_the_next(keeper):
    keeper.make(_at(12, days=4000))
    assert keeper.make_if_due(_at(18), _at(17), OPENING)


def test_a_clock_that_was_set_back_after_a_failure_does_not_put_off_the_next(keeper, monkeypatch):
    monkeypatch.setattr(keeper, "_failed_at", _at(12, days=4000))
    assert keeper.make_if_due(_at(18), _at(17), OPENING)


def test_a_folder_that_cannot_be_read_is_a_failure(keeper, monkeypatch):
    def refuse(_):
        raise PermissionError(errno.EACCES, "no")

    monkeypatch.setattr(module, "list_backups", refuse)
    assert keeper.listed() == []
    assert keeper.failure


def test_two_at_a_time_are_one(keeper, monkeypatch):
    at_work, may_go_on = threading.Event(), threading.Event()

    def copy_long(*_):
        at_work.set()
        assert may_go_on.wait(20)

    monkeypatch.setattr(module, "make_backup", copy_long)
    first = threading.Thread(target=keeper.make, args=(_at(12),))
    first.start()
    try:
        assert at_work.wait(20)
        with pytest.raises(StoreUnusable) as refused:
            keeper.make(_at(12))
        assert refused.value.sentence == module.ONE_IS_MADE
        assert keeper.failure == ""
    finally:
        may_go_on.set()
        first.join()


def test_on_postgresql_there_are_none_and_a_sentence_says_what_to_use():
    keeper = BackupKeeper("postgresql://127.0.0.1:1/none", "")
    assert keeper.unavailable == USE_PG_DUMP
    assert keeper.listed() == []
    assert keeper.make_if_due(_at(18), _at(17), OPENING) is None
    with pytest.raises(StoreUnusable):
        keeper.make(_at(12))
    assert back_up_before_migration("postgresql://127.0.0.1:1/none", "", _at(12)) is None


# Before a migration.


@pytest.fixture
def url(database):
    database.engine.dispose()
    return f"sqlite:///{database.engine.url.database}"


def test_a_file_that_is_to_be_migrated_is_backed_up_as_it_is(url, tmp_path):
    downgrade(url, "-1")
    before = current(url)
    made = back_up_before_migration(url, "", _at(12))
    assert made.file.parent == tmp_path / "backups"
    assert current(f"sqlite:///{made.file}") == before


def test_what_is_current_or_new_needs_none(url, tmp_path):
    assert is_current(url)
    assert back_up_before_migration(url, "", _at(12)) is None
    assert back_up_before_migration(f"sqlite:///{tmp_path / 'new.sqlite'}", "", _at(12)) is None
    Path(tmp_path / "empty.sqlite").touch()
    assert back_up_before_migration(f"sqlite:///{tmp_path / 'empty.sqlite'}", "", _at(12)) is None
    assert not (tmp_path / "backups").exists()


def test_without_a_backup_nothing_is_migrated(url, tmp_path):
    from app.serving import prepare_database  # noqa: PLC0415  takes long to load

    downgrade(url, "-1")
    before = current(url)
    (tmp_path / "backups").write_text("a file where the folder should be")
    with pytest.raises(StoreUnusable):
        prepare_database(url)
    assert current(url) == before
    (tmp_path / "backups").unlink()
    prepare_database(url).engine.dispose()
    assert is_current(url)
    assert len(list((tmp_path / "backups").iterdir())) == 1
