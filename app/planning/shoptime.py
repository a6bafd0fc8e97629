"""The one place where the shop's local time becomes UTC, and back.

A local time that the clocks skip, or that they show twice, is an error to be asked about, never a guess.
"""

from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo


class Fold(StrEnum):
    """Which of the two, when the clocks show a time twice."""

    FIRST = "first"
    SECOND = "second"


class TimeSkipped(ValueError):
    """The clocks jump over this local time; `after` is what they show at that moment."""

    def __init__(self, local: datetime, after: datetime) -> None:
        super().__init__(f"the clocks jump over {local:%H:%M} on {local:%Y-%m-%d}")
        self.after = after


class TimeShownTwice(ValueError):
    """The clocks show this local time twice, and nobody said which turn is meant."""

    def __init__(self, local: datetime) -> None:
        super().__init__(f"the clocks show {local:%H:%M} twice on {local:%Y-%m-%d}")


def to_utc(local: datetime, zone: ZoneInfo, turn: Fold | None = None) -> datetime:
    """A naive local time as aware UTC.

    Raises TimeSkipped, TimeShownTwice (unless turn says which), and ValueError for an aware time.
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
    if turn is None:
        raise TimeShownTwice(local)
    return first if turn is Fold.FIRST else second


def opening_to_utc(day: date, at: time, zone: ZoneInfo) -> datetime:
    """The first moment that the clocks show the time; one that they jump over counts as what they show instead."""
    local = datetime.combine(day, at)
    try:
        return to_utc(local, zone, Fold.FIRST)
    except TimeSkipped as skipped:
        return to_utc(skipped.after, zone, Fold.FIRST)


def day_bounds(day: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The first moment of a day in the shop's zone and of the next: 23, 24 or 25 hours apart."""
    return opening_to_utc(day, time.min, zone), opening_to_utc(day + timedelta(days=1), time.min, zone)


def local_day(moment: datetime, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()


def minute_down(moment: datetime) -> datetime:
    return moment.replace(second=0, microsecond=0)


def minute_up(moment: datetime) -> datetime:
    down = minute_down(moment)
    return down if down == moment else down + timedelta(minutes=1)


def step_up(moment: datetime, step_minutes: int, zone: ZoneInfo) -> datetime:
    """The first moment, not before this one, on the shop's step of the local clock."""
    at = minute_up(moment)
    while _minute_of_day(at.astimezone(zone)) % step_minutes:
        at += timedelta(minutes=1)
    return at


def step_down(moment: datetime, step_minutes: int, zone: ZoneInfo) -> datetime:
    """The last moment, not after this one, on the shop's step of the local clock."""
    at = minute_down(moment)
    while _minute_of_day(at.astimezone(zone)) % step_minutes:
        at -= timedelta(minutes=1)
    return at


def _minute_of_day(local: datetime) -> int:
    return local.hour * 60 + local.minute
