"""This module decides what was ordered for which day and hour of the invented year, and when it was taken."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random

from app.demo.year.people import Crowd, Person
from app.demo.year.records import Lived
from app.planning.shoptime import Fold, to_utc
from app.quoting.shop import Shop

PER_DAY, SALES_PER_DAY = 5.6, 2.4
WEEKDAYS = (0.6, 0.7, 0.8, 1.0, 1.5, 2.1, 0.7)
MONTHS = (0.65, 1.0, 0.9, 0.95, 1.1, 1.3, 1.25, 1.05, 0.95, 0.95, 0.85, 1.3)
RUSH = (("02-10", "02-14", 2.4), ("12-20", "12-31", 1.5))
"""The first and the last day of a rush, and how much busier it is."""
HOURS = (0.6, 1.0, 1.7, 1.6, 1.0, 0.8, 1.1, 1.6, 1.5, 0.8)
"""How often orders are taken in each hour from eight on."""
OPENS, CLOSES = 8, 18
LEADS = (2, 3, 3, 4, 5, 6, 7, 7, 8, 10, 12, 14, 18, 21, 28)
BAD_LOTS = ((300, 262, "gold"), (214, 190, "rose"), (150, 121, "white"), (88, 60, "gold"), (45, 30, "lilac"))
"""From how many days ago until how many the lot of a colour burst often."""
BURST_OFTEN = 9.0
REST_OF_YEAR = 2
"""The days before today that the invented year leaves to the orders around today."""
LAST_TAKEN = 4
"""Before that many days ago all orders of the year were taken, because the first orders around today were then."""


@dataclass(frozen=True, slots=True)
class Planned:
    """An order to be copied. leaves_at: when it is ready by, in its new life."""

    lived: Lived
    taken_at: datetime
    leaves_at: datetime
    customer: Person | None


@dataclass(frozen=True, slots=True)
class _Span:
    """By how many minutes the hours of a life may move. has_night: whether a night lies between its filling and its
    hour."""

    earliest: int
    latest: int
    has_night: bool


class Year:
    """The days before today. days: how many there are."""

    def __init__(
        self, shop: Shop, today: date, days: int, lives: Sequence[Lived], crowd: Crowd, chance: Random
    ) -> None:
        self._shop, self._today, self._chance, self._crowd = shop, today, chance, crowd
        self._first = today - timedelta(days=days)
        self._orders = [life for life in lives if life.typical]
        self._sales = [life for life in lives if not life.typical]
        self._closes = self._at(today - timedelta(days=LAST_TAKEN), 0)
        self._spans = {id(life): self._find_span(life) for life in self._orders}

    def plan(self) -> list[Planned]:
        """Returns all orders of the year in the order in which they were taken."""
        days = (self._today - self._first).days - REST_OF_YEAR + 1
        planned = [one for place in range(days) for one in self._day(self._first + timedelta(days=place))]
        return sorted(planned, key=lambda one: (one.taken_at, one.leaves_at))

    def _day(self, day: date) -> Iterator[Planned]:
        busy = WEEKDAYS[day.weekday()] * MONTHS[day.month - 1] * (0.92 + 0.16 * self._share_of_year(day))
        for first, last, more in RUSH:
            busy *= more if first <= f"{day:%m-%d}" <= last else 1.0
        weights = [self._weight(life, day) for life in self._orders]
        for _ in range(self._count(PER_DAY * busy)):
            planned = self._order(day, self._chance.choices(self._orders, weights)[0])
            if planned:
                yield planned
        if self._at(day, 0) >= self._closes:
            return
        for _ in range(self._count(SALES_PER_DAY * busy)):
            life = self._chance.choices(self._sales, [one.weight for one in self._sales])[0]
            at = self._at(day, self._minute_of_day())
            yield Planned(life, at, at, None)

    def _count(self, mean: float) -> int:
        """Returns a whole number around the mean."""
        return max(0, round(self._chance.gauss(mean, mean**0.5 * 0.8)))

    def _share_of_year(self, day: date) -> float:
        return (day - self._first) / (self._today - self._first)

    def _weight(self, life: Lived, day: date) -> float:
        """Returns how often an order has this life on a day, beside the others."""
        typical, way = life.typical, life.way
        if typical is None or way is None:
            return 0.0
        days_ago = (self._today - day).days
        back = (max(life.moments(), default=life.order["taken_at"]) - life.order["ready_by"]).days + 1
        if not max(way.youngest_days, back) <= days_ago <= way.oldest_days:
            return 0.0
        weight = typical.weight_on(day) * way.weight / sum(one.weight for one in typical.ways)
        bad = any(since >= days_ago >= until and colour in life.colours for since, until, colour in BAD_LOTS)
        return weight * (BURST_OFTEN if bad else 1.0)

    def _order(self, day: date, life: Lived) -> Planned | None:
        """Returns an order that leaves on the day; None if it would have been taken too late."""
        local = life.order["ready_by"].astimezone(self._shop.zone)
        span = self._spans[id(life)]
        shift = self._chance.randrange(span.earliest, span.latest + 1, 15)
        leaves_at = self._at(day, local.hour * 60 + local.minute + shift)
        least = max(LEADS[0], LAST_TAKEN + 1 - (self._today - day).days)
        lead = self._chance.choice([lead for lead in LEADS if lead >= least])
        taken_at = self._at(day - timedelta(days=lead), self._minute_of_day())
        broken = span.has_night and self._clocks_change(day)
        if life.typical is None or taken_at >= self._closes or broken:
            return None
        return Planned(life, taken_at, leaves_at, self._crowd.choose(business=life.typical.by_business))

    def _find_span(self, life: Lived) -> _Span:
        """Returns by how much the hours of the life may move so that nothing is done out of hours."""
        zone = self._shop.zone
        leaves = life.order["ready_by"].astimezone(zone)
        bench = [tap["at"].astimezone(zone) for tap in life.rows["tap"] if tap["batch_id"]]
        rest = [local for at in life.moments() if (local := at.astimezone(zone)).date() == leaves.date()]
        minutes = [local.hour * 60 + local.minute for local in (leaves, *bench, *rest)]
        earliest, latest = max(-120, OPENS * 60 - min(minutes)), min(120, CLOSES * 60 - max(minutes) - 1)
        night_between = any(local.date() != leaves.date() for local in bench)
        return _Span(earliest, max(latest, earliest), night_between)

    def _clocks_change(self, day: date) -> bool:
        """Returns whether the clocks change in the night before the day."""
        return self._at(day, 0) - self._at(day - timedelta(days=1), 0) != timedelta(days=1) or (
            self._at(day + timedelta(days=1), 0) - self._at(day, 0) != timedelta(days=1)
        )

    def _minute_of_day(self) -> int:
        """Returns a minute at which orders are taken."""
        hour = self._chance.choices(range(OPENS, CLOSES), HOURS)[0]
        return hour * 60 + self._chance.randrange(60)

    def _at(self, day: date, minutes: int) -> datetime:
        local = datetime.combine(day, time(minutes // 60, minutes % 60))
        return to_utc(local, self._shop.zone, Fold.FIRST)
