"""This module looks after the database's file: which file it is, and that nobody but its owner can read it."""

import os
from contextlib import suppress
from pathlib import Path

from sqlalchemy import URL

from app.store.private_files import COMPANIONS, PRIVATE, create_private
from app.store.sentences import FILE_REMOVED, FILE_REPLACED, StoreUnusable

ENDINGS = ("", *COMPANIONS)
"""The endings of the files that belong together: without its -wal, a file would lack the latest orders."""
LOCK_ENDING = ".lock"


def file_of(url: URL) -> Path | None:
    """Returns the path of an SQLite file; None for a database that is not a file."""
    return Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None


def create_private_if_missing(path: Path) -> None:
    """Creates an empty file that only its owner can read and write, if there is none. SQLite gives the files that
    it adds the same rights. Leaves it to SQLite to say why a file cannot be created."""
    with suppress(OSError):
        create_private(path)


def make_private(path: Path) -> None:
    """Takes away the rights of others to the database's files and its lock. Files of another user, and those of a
    system without such rights, stay as they are."""
    if os.name != "posix":
        return
    for ending in (*ENDINGS, LOCK_ENDING):
        file = Path(f"{path}{ending}")
        try:
            status = file.stat()
            if status.st_uid == os.geteuid() and status.st_mode & 0o077:
                file.chmod(status.st_mode & PRIVATE)
        except FileNotFoundError:
            continue


class ServedFile:
    """The database file as it was first opened, in order to notice when another file takes its place."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._first: tuple[int, int] | None = None

    def remember(self, *_connecting: object) -> None:
        """Remembers which file it is, the first time that it is called."""
        self._first = self._first or self._identity()

    def verify(self, *_connecting: object) -> None:
        """Raises StoreUnusable when the file is not the one that was first opened."""
        found = self._identity()
        if self._first is None or found == self._first:
            return
        raise StoreUnusable(FILE_REPLACED if found else FILE_REMOVED)

    def _identity(self) -> tuple[int, int] | None:
        """Returns device and inode of the file; None when it does not exist."""
        try:
            status = self._path.stat()
        except FileNotFoundError:
            return None
        return status.st_dev, status.st_ino
