"""The hours that the load picture of a day and the holding area below it share."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.web.formats import Formats

LEFT, RIGHT = 36.0, 948.0
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Mark:
    at: float
    text: str


@dataclass(frozen=True, slots=True)
class HourScale:
    """first: on the hour of the shop's clock."""

    first: datetime
    last: datetime

    def x(self, moment: datetime) -> float:
        return round(LEFT + (moment - self.first) / (self.last - self.first) * (RIGHT - LEFT), 1)

    def each(self, every: int = 1) -> Iterator[datetime]:
        at = self.first
        while at < self.last:
            yield at
            at += every * HOUR

    @property
    def written_every(self) -> int:
        """Hours between two that are written, so that they do not run into each other."""
        return 1 + int((self.last - self.first) / HOUR) // 12


def hour_marks(hours: HourScale, formats: Formats) -> tuple[Mark, ...]:
    return tuple(Mark(hours.x(at), formats.clock(at)) for at in hours.each(hours.written_every))
