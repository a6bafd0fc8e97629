"""A database file out of the way: moved with all that belongs to it, never deleted."""

from itertools import count
from pathlib import Path

from app.store.engine import parse_url
from app.store.sentences import StoreUnusable

BESIDE = ("", "-wal", "-shm", "-journal")
"""A copy without its -wal lacks the latest orders: all of these move together."""


def set_aside(database_url: str, ending: str) -> Path | None:
    """Renames an SQLite file to its name plus `.ending`, or the next free name after that.

    Returns where it lies now, or None if there was no file. Raises StoreUnusable for a database that is no file.
    """
    url = parse_url(database_url)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise StoreUnusable("Only an SQLite file can be set aside: empty this database by its own means.")
    names = (f"{url.database}.{ending}{f'-{number}' if number else ''}" for number in count())
    free = next(name for name in names if not Path(name).exists())
    for beside in BESIDE:
        file = Path(url.database + beside)
        if file.exists():
            file.replace(free + beside)
    return Path(free) if Path(free).exists() else None
