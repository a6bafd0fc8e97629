"""This module looks after files: which one is the database, that nobody but its owner can read what is saved, and
that nothing is half there after a power cut."""

import errno
import os
from contextlib import suppress
from pathlib import Path

from sqlalchemy import URL

from app.store.sentences import FILE_REMOVED, FILE_REPLACED, StoreUnusable

PRIVATE = 0o600
PRIVATE_FOLDER = 0o700
COMPANIONS = ("-wal", "-shm", "-journal")
"""What SQLite adds to the name of a file while it is open, or when its program ended without closing it."""
CHUNK_BYTES = 1 << 20
REASONS = {
    errno.ENOSPC: "the disk is full: free some space",
    errno.EDQUOT: "the disk is full: free some space",
    errno.EROFS: "the disk can only be read: choose another folder",
    errno.EACCES: "the program may not write there: allow it, or choose another folder",
    errno.EPERM: "the program may not write there: allow it, or choose another folder",
    errno.ENOTDIR: "that is a file: choose a folder",
    errno.EEXIST: "that is a file: choose a folder",
    errno.ENOENT: "there is no such folder",
    errno.EIO: "the disk failed: check it, or use another one",
}
ENDINGS = ("", *COMPANIONS)
"""The endings of the files that belong together: without its -wal, a file would lack the latest orders."""
LOCK_ENDING = ".lock"


def describe_os_error(exc: OSError) -> str:
    """Returns why the disk refused, and what helps, as the second half of a sentence without its full stop."""
    return REASONS.get(exc.errno or 0) or f"the computer says “{exc.strerror or exc}”"


def create_private(file: Path) -> None:
    """Creates an empty file that only its owner can read and write. Raises FileExistsError if it is there."""
    os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY | _no_follow(), PRIVATE))


def copy_private(source: Path, target: Path) -> None:
    """Copies a file to a new one that only its owner can read and write.

    Raises OSError if the source is a symbolic link or if the target is there already.
    """
    create_private(target)
    with os.fdopen(os.open(source, os.O_RDONLY | _no_follow()), "rb") as read, target.open("wb") as written:
        while chunk := read.read(CHUNK_BYTES):
            written.write(chunk)
    sync(target)


def sync(path: Path) -> None:
    """Returns once a file, or the names in a folder, would survive a power cut."""
    if path.is_dir() and os.name == "nt":
        return  # Windows opens no folders; there a rename needs no sync of its own
    opened = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def remove_with_companions(file: Path) -> None:
    """Removes a database file, and what SQLite added beside it, as far as they are there."""
    for ending in ("", *COMPANIONS):
        Path(f"{file}{ending}").unlink(missing_ok=True)


def _no_follow() -> int:
    """Returns the flag that refuses to open a symbolic link; 0 on Windows, which has none."""
    return getattr(os, "O_NOFOLLOW", 0)


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


def is_same_disk(one: Path, other: Path) -> bool:
    """Returns whether two paths are on one disk; of one that does not exist yet, the nearest folder above counts.
    A path that cannot be read is taken for another disk."""

    def disk(path: Path) -> int:
        return next(above for above in (path, *path.parents) if above.exists()).stat().st_dev

    try:
        return disk(one) == disk(other)
    except (OSError, StopIteration):
        return False
