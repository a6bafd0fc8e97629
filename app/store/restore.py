"""This module tries a backup on a copy, finds what would be lost with it, and puts it in place of the database."""

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import count
from pathlib import Path
from typing import Any

from app.store.backup import STAMP
from app.store.engine import sqlite_module
from app.store.files import (
    COMPANIONS,
    PRIVATE,
    copy_private,
    describe_os_error,
    remove_with_companions,
    sync,
)
from app.store.foreign import refuse_foreign, refuse_other_tables
from app.store.inspection import Unsound, answer_board, connect, refuse_damage
from app.store.migrate import upgrade
from app.store.sentences import StoreUnusable

TRIAL = ".trial"
"""The ending of the copy on which a backup is tried."""
NO_SUCH_FILE = "There is no file {file}. Name the file of a backup."
NO_FILE = "{file} is a folder, a link or a device. Name the file of the backup itself."
SAME_FILE = "{file} is the database itself. Name the file of a backup."
NOT_CLOSED = "Beside {file} lies {journal}: its program ended in the middle of a save. Name another backup."
FAILED_CHECK = "{file} cannot be restored, because {why}. Name another backup."
NOT_MIGRATED = "{file} cannot be restored, because its tables could not be brought up to date ({why})."
NOT_RESTORED = "Nothing was restored, because in {folder} {why}."
IN_USE = "{file} is in use. Stop the program that serves it, then restore again."


@dataclass(frozen=True, slots=True)
class Losses:
    """What the present database has and the backup lacks. new, changed: numbers of orders; taps: how many.

    highest: the highest number that the present database gave to an order.
    """

    new: tuple[int, ...]
    changed: tuple[int, ...]
    taps: int
    highest: int


@contextmanager
def tried_copy(source: Path, target: Path, now: datetime) -> Iterator[Path]:
    """Yields a copy of the backup beside the target, checked and with current tables; what is not put in place is
    removed when the block ends.

    Raises StoreUnusable when the backup is missing, foreign, damaged, incomplete or of a newer version. The backup
    itself is never changed.
    """
    _refuse_unusual_file(source, target)
    trial = Path(f"{target}{TRIAL}")
    try:
        with _disk_errors_as_sentences(target.parent):
            remove_with_companions(trial)  # a crash may have left one
            copy_private(source, trial)
            if Path(f"{source}-wal").is_file():
                copy_private(Path(f"{source}-wal"), Path(f"{trial}-wal"))
            refuse_foreign(trial, str(source))
            _migrate_and_check(trial, str(source), now)
        yield trial
    finally:
        remove_with_companions(trial)


def find_losses(trial: Path, target: Path) -> Losses | None:
    """Returns what would be lost if the tried copy took the place of the target; None if the target cannot be
    read."""
    try:
        with closing(connect(target)) as present, closing(connect(trial)) as restored:
            present.execute("PRAGMA query_only=ON")
            orders, saved = _orders_in(present), _orders_in(restored)
            taps = _tap_keys_in(present) - _tap_keys_in(restored)
            (highest,) = present.execute("SELECT value FROM counter WHERE name = 'order'").fetchone()
    except (sqlite_module().Error, TypeError, ValueError):
        return None
    new = sorted(orders.keys() - saved.keys())
    changed = sorted(number for number in orders.keys() & saved.keys() if orders[number] != saved[number])
    return Losses(new=tuple(new), changed=tuple(changed), taps=len(taps), highest=highest)


def refuse_open_database(target: Path) -> None:
    """Raises StoreUnusable while another program has the database open. What was in its -wal is then in the file.

    A file that is too damaged to be opened counts as not open.
    """
    try:
        with closing(connect(target)) as database:
            database.execute("PRAGMA busy_timeout=0")
            database.execute("PRAGMA locking_mode=EXCLUSIVE")
            # Only the single connection of a file can leave WAL mode.
            database.execute("PRAGMA journal_mode=DELETE")
            database.execute("BEGIN EXCLUSIVE")
            database.execute("ROLLBACK")
    except sqlite_module().DatabaseError as exc:
        if getattr(exc, "sqlite_errorname", "").startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            raise StoreUnusable(IN_USE.format(file=target)) from exc


def put_in_place(trial: Path, target: Path, losses: Losses | None, now: datetime) -> Path | None:
    """Puts the tried copy in the place of the target, at once and as a whole.

    Returns where the old file is now; None if there was none. No number of a lost order is given again. Raises
    StoreUnusable when the disk refuses.
    """
    if losses:
        with closing(connect(trial)) as restored:
            raised = "UPDATE counter SET value = max(value, ?) WHERE name = 'order'"
            restored.execute(raised, (losses.highest,))
    with _disk_errors_as_sentences(target.parent):
        sync(trial)
        kept = _keep_old(target, now) if target.exists() else None
        for ending in COMPANIONS:  # those of a damaged file must not be read as the new one's
            companion = Path(f"{target}{ending}")
            if companion.exists():
                companion.rename(f"{kept or trial}{ending}")
        trial.replace(target)
        sync(target.parent)
    return kept


def _refuse_unusual_file(source: Path, target: Path) -> None:
    """Raises StoreUnusable unless the source is a plain closed file and not the target."""
    if not os.path.lexists(source):
        raise StoreUnusable(NO_SUCH_FILE.format(file=source))
    if source.is_symlink() or not source.is_file() or Path(f"{source}-wal").is_symlink():
        raise StoreUnusable(NO_FILE.format(file=source))
    if target.exists() and source.samefile(target):
        raise StoreUnusable(SAME_FILE.format(file=source))
    journal = Path(f"{source}-journal")
    if journal.exists() and journal.stat().st_size:
        raise StoreUnusable(NOT_CLOSED.format(file=source, journal=journal.name))


def _migrate_and_check(trial: Path, name: str, now: datetime) -> None:
    """Brings the copy's tables up to date. Raises StoreUnusable if it is damaged, before or afterwards."""
    try:
        with closing(connect(trial)) as opened:
            refuse_damage(opened)
        upgrade(f"sqlite:///{trial}")
        refuse_other_tables(trial, name)
        with closing(connect(trial)) as opened:
            opened.execute("PRAGMA locking_mode=EXCLUSIVE")
            opened.execute("PRAGMA journal_mode=DELETE")  # all of it is now in the one file
            refuse_damage(opened)
        answer_board(trial, now)
    except Unsound as exc:
        raise StoreUnusable(FAILED_CHECK.format(file=name, why=exc)) from exc
    except StoreUnusable:
        raise
    except Exception as exc:  # rows that this program did not write can make a migration raise anything
        raise StoreUnusable(NOT_MIGRATED.format(file=name, why=getattr(exc, "orig", exc))) from exc


def _orders_in(database: Any) -> dict[int, int]:
    """Returns the version of each order by its number."""
    return dict(database.execute("SELECT number, version FROM orders").fetchall())


def _tap_keys_in(database: Any) -> set[str]:
    return {key for (key,) in database.execute("SELECT client_key FROM tap")}


def _keep_old(target: Path, now: datetime) -> Path:
    """Gives the old file a second name with the moment, so that no moment is without a database. Returns that
    name."""
    beginning = f"{target}.before-restore-{now.strftime(STAMP)}"
    names = (Path(f"{beginning}{f'-{number}' if number else ''}") for number in count())
    kept = next(name for name in names if not os.path.lexists(name))
    try:
        os.link(target, kept)
    except (OSError, NotImplementedError):  # a disk that knows no second names
        copy_private(target, kept)
    kept.chmod(PRIVATE)
    return kept


@contextmanager
def _disk_errors_as_sentences(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as exc:
        raise StoreUnusable(NOT_RESTORED.format(folder=folder, why=describe_os_error(exc))) from exc
