"""Backups of the shop's file: made when somebody asks, before a migration, and by themselves once they are due."""

import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from app.planning.opening import Opening
from app.store.backup import NOT_MADE, Backup, backup_folder, list_backups, make_backup
from app.store.engine import parse_url
from app.store.files import describe_os_error, is_same_disk
from app.store.migrate import current, is_current
from app.store.sentences import StoreUnusable

QUIET = timedelta(minutes=15)
"""So long without a save, the shop is taken for idle. A backup that failed is tried again after the same time."""
DAYS_BACK = 8
"""So many days back a closing time is looked for."""
USE_PG_DUMP = (
    "The orders are on a PostgreSQL server: back them up there with pg_dump, and restore them with pg_restore."
)
ONE_IS_MADE = "Another backup is being made at the moment. Look at the list in a minute."


def database_file(database_url: str) -> Path:
    """Returns the SQLite file of the database. Raises StoreUnusable for one on a PostgreSQL server, and ValueError
    for an address that names none."""
    url = parse_url(database_url)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise StoreUnusable(USE_PG_DUMP)
    return Path(url.database)


def back_up_before_migration(database_url: str, chosen_folder: str, now: datetime) -> Backup | None:
    """Makes a backup of a file whose tables are about to be migrated. Returns None if there is nothing to migrate,
    and on PostgreSQL. Raises StoreUnusable when it cannot be made."""
    url = parse_url(database_url)
    file = Path(url.database or "")
    if url.get_backend_name() != "sqlite" or not file.exists():
        return None
    if current(database_url) is None or is_current(database_url):
        return None
    return make_backup(file, backup_folder(file, chosen_folder), now)


def is_backup_due(now: datetime, last_write: datetime, newest: datetime | None, opening: Opening) -> bool:
    """Returns whether a backup is to be made by itself: something was saved since the newest one, and since then
    the shop has closed, or nothing has been saved for QUIET.

    While the shop is open, the second makes one backup a day. newest: None if there is none.
    """
    if newest and newest > last_write:
        return False
    closed_at = _last_closing(now, opening)
    if closed_at and (newest is None or newest < closed_at):
        return True
    of_today = newest is not None and opening.day_of(newest) == opening.day_of(now)
    return now - last_write >= QUIET and not (of_today and opening.is_open(now))


def _last_closing(now: datetime, opening: Opening) -> datetime | None:
    """Returns the last closing time that has passed; None if there was none in the last DAYS_BACK days."""
    today = opening.day_of(now)
    spans = (opening.span(today - timedelta(days=days)) for days in range(DAYS_BACK))
    return next((span.end for span in spans if span and span.end <= now), None)


class BackupKeeper:
    """Makes the backups of one shop's file while it is served, and remembers why the last one failed.

    failure: the sentence of the last try if it failed, else empty. unavailable: why there are no backups at all,
    else empty. is_invented: whether the shop is one that nobody would miss.
    """

    def __init__(self, database_url: str, chosen_folder: str, *, is_invented: bool = False) -> None:
        self._is_invented = is_invented
        self.failure = self.unavailable = ""
        self._failed_at: datetime | None = None
        self._one_at_a_time = threading.Lock()
        try:
            self._file = database_file(database_url)
            self.folder = backup_folder(self._file, chosen_folder)
        except StoreUnusable as exc:
            self.unavailable = exc.sentence

    def make(self, now: datetime, report: Callable[[int, int], None] | None = None) -> Backup:
        """Makes a backup and returns it. Raises StoreUnusable, with a sentence, when it cannot be made. report: as
        `make_backup` calls it."""
        if self.unavailable:
            raise StoreUnusable(self.unavailable)
        if not self._one_at_a_time.acquire(blocking=False):
            raise StoreUnusable(ONE_IS_MADE)
        try:
            made = make_backup(self._file, self.folder, now, report)
            self.failure, self._failed_at = "", None
            return made
        except StoreUnusable as exc:
            self.failure, self._failed_at = str(exc), now
            raise
        finally:
            self._one_at_a_time.release()

    def make_if_due(self, now: datetime, last_write: datetime, opening: Opening) -> Backup | None:
        """Makes a backup if one is due, and returns it. Raises StoreUnusable when it cannot be made; it is then due
        again after QUIET."""
        failed_at = self._failed_at
        if self.unavailable or (failed_at and timedelta() <= now - failed_at < QUIET):
            return None
        # One that a wrong clock dated ahead must not put off all others.
        newest = next((backup.made_at for backup in self.listed() if backup.made_at <= now), None)
        return self.make(now) if is_backup_due(now, last_write, newest, opening) else None

    def is_on_same_disk(self) -> bool:
        """Returns whether the backups of a real shop die with the disk that its file is on."""
        return not (self.unavailable or self._is_invented) and is_same_disk(self._file, self.folder)

    def listed(self) -> list[Backup]:
        """Returns the backups in the folder, the newest first; none if it cannot be read, and then `failure` says
        why."""
        if self.unavailable:
            return []
        try:
            return list_backups(self.folder)
        except OSError as exc:
            self.failure = NOT_MADE.format(folder=self.folder, why=describe_os_error(exc))
            return []
