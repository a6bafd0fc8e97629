"""This module has the scale of hours that the load chart of a day and the holding area below it share."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.web.formats import Formats

LEFT, RIGHT = 36.0, 948.0
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Mark:
    """A text at one place of a scale."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class HourScale:
    """The hours of a picture. first: a full hour of the shop's clock."""

    first: datetime
    last: datetime

    def x(self, moment: datetime) -> float:
        """Returns the x position of a moment."""
        return round(LEFT + (moment - self.first) / (self.last - self.first) * (RIGHT - LEFT), 1)

    def each(self, every: int = 1) -> Iterator[datetime]:
        """Yields every hour, or every so many hours, from the first on."""
        at = self.first
        while at < self.last:
            yield at
            at += every * HOUR

    @property
    def written_every(self) -> int:
        """How many hours lie between two written ones, so that they do not run into each other."""
        return 1 + int((self.last - self.first) / HOUR) // 12


def hour_marks(hours: HourScale, formats: Formats) -> tuple[Mark, ...]:
    """Returns the written hours with their positions."""
    return tuple(Mark(hours.x(at), formats.clock(at)) for at in hours.each(hours.written_every))
