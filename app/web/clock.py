"""The one clock."""

from datetime import UTC, datetime


def now() -> datetime:
    """This moment, to the second, as the store keeps it."""
    return datetime.now(UTC).replace(microsecond=0)
