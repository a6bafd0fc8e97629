"""This module is the one place where the shop's local time becomes UTC, and back.

A local time that the clocks skip, or that they show twice, raises an error so that somebody is asked; it is never
guessed.
"""

from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache
from zoneinfo import ZoneInfo

DAY_MINUTES = 24 * 60
SECOND = timedelta(seconds=1)


class Fold(StrEnum):
    """Which of the two moments is meant when the clocks show a local time twice."""

    FIRST = "first"
    SECOND = "second"


class TimeSkipped(ValueError):
    """Raised when the clocks jump over a local time; `after` is what they show at that moment instead."""

    def __init__(self, local: datetime, after: datetime) -> None:
        super().__init__(f"the clocks jump over {local:%H:%M} on {local:%Y-%m-%d}")
        self.after = after


class TimeShownTwice(ValueError):
    """Raised when the clocks show a local time twice and nobody said which of the two moments is meant."""

    def __init__(self, local: datetime) -> None:
        super().__init__(f"the clocks show {local:%H:%M} twice on {local:%Y-%m-%d}")


def to_utc(local: datetime, zone: ZoneInfo, fold: Fold | None = None) -> datetime:
    """Returns a local time, given without a zone, as an aware moment in UTC.

    Raises TimeSkipped when the clocks jump over it, TimeShownTwice when they show it twice and fold is None, and
    ValueError when the time has a zone already.
    """
    if local.tzinfo is not None:
        raise ValueError("a local time comes without a zone")
    first = local.replace(tzinfo=zone).astimezone(UTC)
    second = local.replace(tzinfo=zone, fold=1).astimezone(UTC)
    back = first.astimezone(zone).replace(tzinfo=None)
    if back != local:
        raise TimeSkipped(local, back)
    if first == second:
        return first
    if fold is None:
        raise TimeShownTwice(local)
    return first if fold is Fold.FIRST else second


def opening_to_utc(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Returns the first moment, in UTC, at which the clocks show this time, or a later one, on this day.

    For a time that the clocks jump over, that is the moment of the jump: what lies wholly within the hour that is
    skipped has no length.
    """
    local = datetime.combine(day, at)
    try:
        return to_utc(local, zone, Fold.FIRST)
    except TimeSkipped:
        return _jump(local, zone)


@lru_cache(maxsize=4096)
def minute_to_utc(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """Returns, in UTC, so many minutes by the clocks after the midnight with which a day begins; from 1440 on they
    are of the next day. Results are cached, because every batch asks for the same few."""
    days, minute = divmod(minute, DAY_MINUTES)
    return opening_to_utc(day + timedelta(days=days), time(*divmod(minute, 60)), zone)


def length_of(day: date, minutes: tuple[int, int], zone: ZoneInfo) -> timedelta:
    """Returns how much time really passes on a day from one minute after its midnight to another; 0 if the clocks
    jump over all of it."""
    start, end = (minute_to_utc(day, minute, zone) for minute in minutes)
    return end - start


def minutes_from_to(start: time, end: time) -> tuple[int, int]:
    """Returns both times in minutes after midnight; an end that is not after the start is on the next day."""
    starts, ends = (at.hour * 60 + at.minute for at in (start, end))
    return starts, ends if ends > starts else ends + DAY_MINUTES


def time_of_minute(minute: int) -> time:
    """Returns the time of day, so many minutes after a midnight; 1440 is midnight again."""
    return time(*divmod(minute % DAY_MINUTES, 60))


def _jump(skipped: datetime, zone: ZoneInfo) -> datetime:
    """Returns the moment, in UTC, at which the clocks jump over a local time."""
    early, late = (skipped.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (1, 0))
    before = early.astimezone(zone).utcoffset()
    while late - early > SECOND:
        middle = (early + (late - early) / 2).replace(microsecond=0)
        early, late = (middle, late) if middle.astimezone(zone).utcoffset() == before else (early, middle)
    return late


def day_bounds(day: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Returns the first moments, in UTC, of a day in the shop's zone and of the next day.

    They lie 23, 24 or 25 hours apart.
    """
    return opening_to_utc(day, time.min, zone), opening_to_utc(day + timedelta(days=1), time.min, zone)


def local_day(moment: datetime, zone: ZoneInfo) -> date:
    """Returns the date that the shop's calendar shows at this moment."""
    return moment.astimezone(zone).date()


def minute_down(moment: datetime) -> datetime:
    """Returns the moment rounded down to the whole minute."""
    return moment.replace(second=0, microsecond=0)


def minute_up(moment: datetime) -> datetime:
    """Returns the moment rounded up to the whole minute."""
    down = minute_down(moment)
    return down if down == moment else down + timedelta(minutes=1)


def step_up(moment: datetime, step_minutes: int, zone: ZoneInfo) -> datetime:
    """Returns the first moment, not before this one, whose local time is a multiple of step_minutes after
    midnight."""
    at = minute_up(moment)
    while _minute_of_day(at.astimezone(zone)) % step_minutes:
        at += timedelta(minutes=1)
    return at


def step_down(moment: datetime, step_minutes: int, zone: ZoneInfo) -> datetime:
    """Returns the last moment, not after this one, whose local time is a multiple of step_minutes after
    midnight."""
    at = minute_down(moment)
    while _minute_of_day(at.astimezone(zone)) % step_minutes:
        at -= timedelta(minutes=1)
    return at


def _minute_of_day(local: datetime) -> int:
    return local.hour * 60 + local.minute
