"""This module reads how a database keeps what is saved in it."""

from dataclasses import dataclass

from sqlalchemy import Connection

SYNCHRONOUS_NAMES = ("OFF", "NORMAL", "FULL", "EXTRA")


@dataclass(frozen=True)
class StoreFacts:
    """What the health page shows about the database. wal_race_fixed: whether write-ahead logging is safe in it."""

    library: str
    journal_mode: str
    synchronous: str
    wal_race_fixed: bool


def describe_sqlite(connection: Connection, version: tuple[int, int, int], race_fixed: bool) -> StoreFacts:
    """Returns how an SQLite file is kept by the library of this version. race_fixed: whether its WAL is safe."""
    (journal,) = connection.exec_driver_sql("PRAGMA journal_mode").one()
    (synchronous,) = connection.exec_driver_sql("PRAGMA synchronous").one()
    return StoreFacts(
        library="SQLite " + ".".join(map(str, version)),
        journal_mode=journal,
        synchronous=SYNCHRONOUS_NAMES[synchronous],
        wal_race_fixed=race_fixed,
    )


def describe_postgres(connection: Connection) -> StoreFacts:
    """Returns how a PostgreSQL database is kept."""
    (version_text,) = connection.exec_driver_sql("SHOW server_version").one()
    (commit,) = connection.exec_driver_sql("SHOW synchronous_commit").one()
    return StoreFacts(
        library=f"PostgreSQL {version_text}",
        journal_mode="wal",
        synchronous=commit.upper(),
        wal_race_fixed=True,
    )
