"""This module copies the shop's SQLite file while it is in use, checks the copy, and names it only then."""

import logging
import os
import re
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from app.store.backup_rule import moments_to_keep
from app.store.engine import sqlite_module
from app.store.files import (
    PRIVATE_FOLDER,
    create_private,
    describe_os_error,
    remove_with_companions,
    sync,
)
from app.store.inspection import (
    Unsound,
    answer_board,
    connect,
    count_rows,
    reading_still_file,
    refuse_damage,
    revision_of,
)
from app.store.migrate import known_revisions
from app.store.sentences import StoreUnusable

STAMP = "%Y-%m-%dT%H%M%SZ"
NAME = re.compile(r"stillaloft-(\d{4}-\d\d-\d\dT\d{6}Z)\.sqlite(\.partial)?", re.ASCII)
PARTIAL = ".partial"
"""The ending of a copy that is not checked yet; one that is older than STALE was left by a crash."""
STALE = timedelta(days=1)
STEP_PAGES = 500
"""So many pages are copied before it is said how many there are by now: 2 MB."""
BACKUP_FOLDER = "backups"
NO_SOURCE = "No backup was made: there is no file {file}."
DAMAGED = "The database file is damaged. Stop the program and restore the newest backup."
NOT_MADE = "No backup was made in {folder}: {why}. The earlier backups are still there."
DISK_FULL = "the disk is full: free some space"
NOT_COPIED = "the database could not be copied ({why}): try again later"
NOT_SOUND = "the copy failed its check, because {why}: stop the program and run the command “check”"

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup. made_at: the moment up to which it has what was saved. size: bytes. unchanged: whether it is, by
    its time, still the file that was checked when it was made."""

    file: Path
    made_at: datetime
    size: int
    unchanged: bool


def backup_folder(database_file: Path, chosen: str) -> Path:
    """Returns the folder for backups: the chosen one, or, if that is empty, `backups` beside the database file."""
    return Path(chosen).expanduser().absolute() if chosen else database_file.parent / BACKUP_FOLDER


def list_backups(folder: Path) -> list[Backup]:
    """Returns the backups in a folder, the newest first; none if there is no such folder. Raises OSError."""
    try:
        entries = list(os.scandir(folder))
    except FileNotFoundError:
        return []
    found = []
    for entry in entries:
        made_at = _moment_of(entry.name)
        if made_at and not entry.name.endswith(PARTIAL) and entry.is_file(follow_symlinks=False):
            status = entry.stat(follow_symlinks=False)
            unchanged = int(status.st_mtime) == int(made_at.timestamp())
            found.append(Backup(file=Path(entry.path), made_at=made_at, size=status.st_size, unchanged=unchanged))
    return sorted(found, key=lambda backup: backup.made_at, reverse=True)


def make_backup(
    source: Path, folder: Path, now: datetime, report: Callable[[int, int], None] | None = None
) -> Backup:
    """Copies the database file into the folder and returns the checked copy; the database may be in use.

    Older backups of the same shop go by the rule of `moments_to_keep`. Raises StoreUnusable, with a sentence, when
    no backup could be made; then nothing has changed. report: told how many pages are copied, and of how many; what
    it raises ends the copy, and nothing has changed.
    """
    if not source.is_file():
        raise StoreUnusable(NO_SOURCE.format(file=source))
    with _errors_as_sentences(folder):
        folder.mkdir(mode=PRIVATE_FOLDER, parents=True, exist_ok=True)
        made_at, partial = _claim_name(folder, now)
        file = folder / _name_of(made_at)
        try:
            counts = _copy(source, partial, report)
            _verify(partial, counts, now)
            os.utime(partial, (made_at.timestamp(), made_at.timestamp()))
            sync(partial)
            partial.rename(file)
            sync(folder)
        finally:
            remove_with_companions(partial)
    _remove_old(folder, file, now)
    return Backup(file=file, made_at=made_at, size=file.stat().st_size, unchanged=True)


def _name_of(moment: datetime) -> str:
    return f"stillaloft-{moment.strftime(STAMP)}.sqlite"


def _moment_of(name: str) -> datetime | None:
    """Returns the moment in the name of a backup, finished or partial; None for any other name."""
    found = NAME.fullmatch(name)
    try:
        return datetime.strptime(found[1], STAMP).replace(tzinfo=UTC) if found else None
    except ValueError:
        return None


def _claim_name(folder: Path, now: datetime) -> tuple[datetime, Path]:
    """Creates the empty partial file of a backup, and returns its moment, the first free second from now on."""
    moment = now
    while True:
        partial = folder / (_name_of(moment) + PARTIAL)
        if not (folder / _name_of(moment)).exists():
            try:
                create_private(partial)
            except FileExistsError:
                pass
            else:
                return moment, partial
        moment += timedelta(seconds=1)


def _copy(source: Path, partial: Path, report: Callable[[int, int], None] | None) -> dict[str, int]:
    """Copies the database as it is at one moment, and returns how many rows each table had then."""
    with closing(connect(source)) as opened, closing(connect(partial)) as copy:
        opened.execute("PRAGMA query_only=ON")
        opened.execute("BEGIN")  # the copy is of the very moment that is counted here, in however many steps
        counts = count_rows(opened)
        copy.execute("PRAGMA locking_mode=EXCLUSIVE")
        copy.execute("PRAGMA journal_mode=OFF")
        if report is None:
            opened.backup(copy, pages=-1)
        else:
            opened.backup(copy, pages=STEP_PAGES, progress=lambda _, left, total: report(total - left, total))
        copy.execute("PRAGMA journal_mode=DELETE")  # the copy of a file in WAL mode would want two more files
        opened.execute("ROLLBACK")
    return counts


def _verify(copy: Path, counts: dict[str, int], now: datetime) -> None:
    """Raises Unsound unless the copy is undamaged, has all rows, and, if its tables are current, answers the
    board."""
    with reading_still_file(copy) as opened:
        refuse_damage(opened)
        if count_rows(opened) != counts:
            raise Unsound("it lacks rows")
        revision = revision_of(opened)
    if revision == known_revisions()[0]:
        answer_board(copy, now)


@contextmanager
def _errors_as_sentences(folder: Path) -> Iterator[None]:
    """Raises StoreUnusable, with a sentence for a person, for whatever keeps a backup from being made."""
    try:
        yield
    except OSError as exc:
        raise StoreUnusable(NOT_MADE.format(folder=folder, why=describe_os_error(exc))) from exc
    except Unsound as exc:
        why = NOT_SOUND.format(why=exc)
        raise StoreUnusable(NOT_MADE.format(folder=folder, why=why)) from exc
    except sqlite_module().Error as exc:
        raise _database_error(exc, folder) from exc


def _database_error(exc: Any, folder: Path) -> StoreUnusable:
    """Returns the SQLite library's error as one with a sentence. Of a copy it gives the words only, no code."""
    code = getattr(exc, "sqlite_errorname", "")
    if code.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return StoreUnusable(DAMAGED, code)
    full = code.startswith("SQLITE_FULL") or "disk is full" in str(exc)
    why = DISK_FULL if full else NOT_COPIED.format(why=exc)
    return StoreUnusable(NOT_MADE.format(folder=folder, why=why), code)


def _remove_old(folder: Path, newest: Path, now: datetime) -> None:
    """Removes what the rule lets go, and what crashes left, of the shop whose newest backup this is.

    Backups of another shop, and whatever has another name, stay. What cannot be removed is logged and stays.
    """
    try:
        shop = _shop_of(newest)
        ours = [backup for backup in list_backups(folder) if shop and _shop_of(backup.file) == shop]
        kept = moments_to_keep(backup.made_at for backup in ours)
        for backup in ours:
            if backup.made_at not in kept and backup.file != newest:
                backup.file.unlink()
        for file in folder.glob(f"*{PARTIAL}"):
            made_at = _moment_of(file.name)
            if made_at and made_at < now - STALE:
                remove_with_companions(file)
    except OSError:
        log.exception("An old backup could not be removed.")


def _shop_of(file: Path) -> str | None:
    """Returns what tells one shop's backups from another's; None if the file does not say."""
    try:
        with reading_still_file(file) as opened:
            row = opened.execute("SELECT value FROM setting WHERE key = 'session_secret'").fetchone()
    except sqlite_module().Error:
        return None
    return str(row[0]) if row else None
