"""This module is the only clock of the program."""

from datetime import UTC, datetime


def now() -> datetime:
    """Returns this moment in UTC, to the second, which is how exactly the store keeps moments."""
    return datetime.now(UTC).replace(microsecond=0)
