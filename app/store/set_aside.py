"""This module sets a database file aside: it renames the file with all that belongs to it, and never deletes it."""

from itertools import count
from pathlib import Path

from app.store.engine import parse_url
from app.store.sentences import StoreUnusable

ENDINGS = ("", "-wal", "-shm", "-journal")
"""The endings of the files that are moved together: without its -wal, a file would lack the latest orders."""


def set_aside(database_url: str, ending: str) -> Path | None:
    """Renames an SQLite file to its name plus `.ending`, or plus the next number that is free.

    Returns its new path, or None if there was no file. Raises StoreUnusable for a database that is not a file.
    """
    url = parse_url(database_url)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise StoreUnusable("Only an SQLite file can be set aside: empty this database by its own means.")
    names = (f"{url.database}.{ending}{f'-{number}' if number else ''}" for number in count())
    free = next(name for name in names if not Path(name).exists())
    for file_ending in ENDINGS:
        file = Path(url.database + file_ending)
        if file.exists():
            file.replace(free + file_ending)
    return Path(free) if Path(free).exists() else None
