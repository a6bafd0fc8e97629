"""The shop, the hours and the balloons that the planning tests share."""

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from hypothesis import settings

from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas, sphere_litres
from app.physics.endurance import Endurance, Filling, FloatDefaults, endurance
from app.physics.promise import promise_of
from app.planning.opening import Opening
from tests.amounts import amount

DEFAULTS = FloatDefaults()
BERLIN = ZoneInfo("Europe/Berlin")
HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)
EVERY_DAY = {weekday: (time(8), time(18)) for weekday in range(7)}

many = settings(deadline=None, max_examples=amount(20, deep=60))


def daily(zone: ZoneInfo = BERLIN, opens: time = time(8), closes: time = time(18)) -> Opening:
    return Opening(zone, {weekday: (opens, closes) for weekday in range(7)})


def local(moment: datetime, zone: ZoneInfo = BERLIN) -> str:
    """As a person reads it: 'Sat 14:04'."""
    return f"{moment.astimezone(zone):%a %H:%M}"


def berlin(*parts: int) -> datetime:
    """A moment by the clocks of Berlin, as UTC; only for times that the clocks show once."""
    return datetime(*parts, tzinfo=BERLIN).astimezone(UTC)


def owns(
    balloon_type: BalloonType,
    shop: Air | None = None,
    inches: float | None = None,
    treated: bool = False,
    count: int = 1,
) -> Endurance:
    """What a batch of so many of that kind owns when filled with helium to so many inches (or full)."""
    litres = sphere_litres(inches) if inches else balloon_type.full_litres
    filling = Filling(balloon_type, Gas.HELIUM, litres, shop or Air(), treated)
    return endurance(filling, DEFAULTS, promise_of(count))


def open_minutes(opening: Opening, first: datetime, until: datetime) -> bytes:
    """A byte for each minute from a half hour on, 1 where the clock on the wall is within the day's hours, or
    within those of the day before that go on past midnight.

    Read off the wall every half hour: the clocks of the zones in these tests change on one.
    """
    minutes = (until - first) // MINUTE
    halves = []
    for n in range(0, minutes, 30):
        local = (first + n * MINUTE).astimezone(opening.zone)
        wall = local.hour * 60 + local.minute
        own, before = stated(opening, local.date()), stated(opening, local.date() - DAY)
        halves.append(_day(own, before)[wall : wall + 30])
    return b"".join(halves)[:minutes]


def stated(opening: Opening, day: date) -> tuple[time, time] | None:
    """The hours of a date as they were entered."""
    return opening.exceptions.get(day, opening.week.get(day.weekday()))


@cache
def _day(own: tuple[time, time] | None, before: tuple[time, time] | None) -> bytes:
    def is_open(minute: int) -> bool:
        at = time(*divmod(minute, 60))
        if before and before[1] <= before[0] and at < before[1]:
            return True
        return own is not None and own[0] <= at and (at < own[1] or own[1] <= own[0])

    return bytes(map(is_open, range(24 * 60)))
