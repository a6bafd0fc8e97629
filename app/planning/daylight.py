"""This module says when it is light outdoors."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.planning.shoptime import local_day, opening_to_utc


@dataclass(frozen=True, slots=True)
class Daylight:
    """The hours of daylight by the shop's clock, the same all year. Each is a setting; the defaults are from
    memory."""

    zone: ZoneInfo
    begins: time = time(7)
    ends: time = time(20)

    def split(self, start: datetime, end: datetime) -> Iterator[tuple[datetime, bool]]:
        """Yields the end of each stretch of day or night from start to end, and whether it is a day."""
        day = local_day(start, self.zone)
        while start < end:
            for turn, was_light in ((self.begins, False), (self.ends, True)):
                stretch_end = min(opening_to_utc(day, turn, self.zone), end)
                if stretch_end > start:
                    yield stretch_end, was_light
                    start = stretch_end
            day += timedelta(days=1)
