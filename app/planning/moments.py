"""This module turns moments into whole seconds since 1970 in UTC, and back."""

from datetime import UTC, datetime, timedelta

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
SECOND = timedelta(seconds=1)


def moment_of(seconds: int) -> datetime:
    """Returns the aware UTC moment that lies this many seconds after the start of 1970."""
    return EPOCH + int(seconds) * SECOND


def seconds_down(moment: datetime) -> int:
    """Returns the seconds since 1970, rounded down. Raises ValueError for a moment without a time zone."""
    elapsed = _since_1970(moment)
    return elapsed.days * 86400 + elapsed.seconds


def seconds_up(moment: datetime) -> int:
    """Returns the seconds since 1970, rounded up. Raises ValueError for a moment without a time zone."""
    elapsed = _since_1970(moment)
    return elapsed.days * 86400 + elapsed.seconds + (elapsed.microseconds > 0)


def _since_1970(moment: datetime) -> timedelta:
    try:
        return moment - EPOCH
    except TypeError:
        raise ValueError(f"{moment} has no time zone") from None
