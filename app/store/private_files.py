"""This module creates, syncs and removes files so that nothing is half there and nobody else can read it."""

import errno
import os
from pathlib import Path

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
