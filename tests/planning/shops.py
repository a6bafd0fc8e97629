"""The shop, the hours and the balloons that the planning tests share."""

from datetime import UTC, datetime, time, timedelta
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
EVERY_DAY = {weekday: (time(8), time(18)) for weekday in range(7)}

many = settings(deadline=None, max_examples=amount(30, deep=60))


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
    """A byte for each minute from a half hour on, 1 where the clock on the wall is within the day's hours.

    Read off the wall every half hour: the clocks of the zones in these tests change on one.
    """
    minutes = (until - first) // MINUTE
    halves = []
    for n in range(0, minutes, 30):
        local = (first + n * MINUTE).astimezone(opening.zone)
        hours = opening.exceptions.get(local.date(), opening.week.get(local.weekday()))
        wall = local.hour * 60 + local.minute
        halves.append(_day(hours)[wall : wall + 30])
    return b"".join(halves)[:minutes]


@cache
def _day(hours: tuple[time, time] | None) -> bytes:
    opens, closes = (at.hour * 60 + at.minute for at in hours or (time(), time()))
    return bytes(opens <= minute < closes for minute in range(24 * 60))
