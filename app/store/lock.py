"""This module lets one program at a time serve a database file. The lock stands in a file beside it, and the system
releases it when the program ends, however it ends."""

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from app.store.engine import parse_url
from app.store.files import LOCK_ENDING, PRIVATE, file_of
from app.store.sentences import SQLITE_SENTENCES, StoreUnusable

if sys.platform == "win32":
    import msvcrt

    LOCKED_BYTE = 1 << 20
    """Far behind the holder's description, because nobody else may read a byte that is locked."""

    def _lock(opened: int) -> None:
        os.lseek(opened, LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(opened, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(opened: int) -> None:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)


HOLDER_BYTES = 4096
NO_LOCK = "{file} cannot be locked. Keep the database on a disk of this computer."


@contextmanager
def hold_database(url: str, address: str) -> Iterator[None]:
    """Holds the lock of an SQLite file while the block runs; another database has none.

    address: where this program is reached, or '' if it serves no pages. Raises StoreUnusable, with the process and
    the address of the program that holds the lock, and when the file cannot be locked.
    """
    file = file_of(parse_url(url))
    if file is None:
        yield
        return
    path = Path(f"{file.resolve()}{LOCK_ENDING}")
    opened = _open_and_lock(path)
    try:
        _describe_holder(opened, address)
        yield
    finally:
        with suppress(OSError):  # a system that removes no open file keeps it, which harms nothing
            path.unlink()
        os.close(opened)


def _open_and_lock(path: Path) -> int:
    """Returns the lock's file, open and locked. Raises StoreUnusable when another program holds the lock, or the
    disk knows no locks."""
    while True:
        try:
            opened = os.open(path, os.O_RDWR | os.O_CREAT, PRIVATE)
        except OSError as exc:
            raise StoreUnusable(SQLITE_SENTENCES["SQLITE_CANTOPEN"]) from exc
        try:
            _lock(opened)
            if _is_file_at(path, opened):
                return opened
        except (BlockingIOError, PermissionError) as exc:
            refusal = StoreUnusable(_in_use(path.name.removesuffix(LOCK_ENDING), _holder(opened)))
            os.close(opened)
            raise refusal from exc
        except OSError as exc:
            os.close(opened)
            raise StoreUnusable(NO_LOCK.format(file=path.name)) from exc
        os.close(opened)  # its last holder removed it just now


def _is_file_at(path: Path, opened: int) -> bool:
    """Returns whether an open file still has this path."""
    try:
        return os.path.samestat(path.stat(), os.fstat(opened))
    except FileNotFoundError:
        return False


def _describe_holder(opened: int, address: str) -> None:
    os.ftruncate(opened, 0)
    os.lseek(opened, 0, os.SEEK_SET)
    os.write(opened, json.dumps({"process": os.getpid(), "address": address}).encode())


def _holder(opened: int) -> dict[str, object]:
    """Returns what the holder says of itself; nothing if it has not written it yet."""
    os.lseek(opened, 0, os.SEEK_SET)
    try:
        found = json.loads(os.read(opened, HOLDER_BYTES))
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _in_use(name: str, holder: dict[str, object]) -> str:
    """Returns the sentence for a file that another program holds."""
    process = f" (process {holder['process']})" if holder.get("process") else ""
    if holder.get("address"):
        return f"{name} is served already by another Stillaloft{process}. Open {holder['address']} in a browser."
    return f"{name} is in use by another Stillaloft{process}. Wait until it ends, then try again."
