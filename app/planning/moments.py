"""Moments as whole seconds since 1970, UTC, and back."""

from datetime import UTC, datetime, timedelta

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
SECOND = timedelta(seconds=1)


def moment_of(seconds: int) -> datetime:
    return EPOCH + int(seconds) * SECOND


def seconds_down(moment: datetime) -> int:
    past = _since(moment)
    return past.days * 86400 + past.seconds


def seconds_up(moment: datetime) -> int:
    past = _since(moment)
    return past.days * 86400 + past.seconds + (past.microseconds > 0)


def _since(moment: datetime) -> timedelta:
    try:
        return moment - EPOCH
    except TypeError:
        raise ValueError(f"{moment} has no time zone") from None
