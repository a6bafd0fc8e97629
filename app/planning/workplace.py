"""Where work is done: at the bench within opening hours, or at a venue from the moment the crew is let in."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol


class Workplace(Protocol):
    """Moments are aware UTC. None: there is no such moment for two months."""

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime | None:
        """The latest start of work that ends by the deadline."""

    def first_end(self, earliest: datetime, work: timedelta) -> datetime | None:
        """When work that starts no earlier than this would end."""

    def first_open(self, moment: datetime) -> datetime:
        """The first moment, not before this one, at which work can begin."""


@dataclass(frozen=True, slots=True)
class AtVenue:
    """A crew at the venue fills from `begins` on, let in and set up, for as long as it takes."""

    begins: datetime

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime:
        return deadline - work

    def first_end(self, earliest: datetime, work: timedelta) -> datetime:
        return self.first_open(earliest) + work

    def first_open(self, moment: datetime) -> datetime:
        return max(self.begins, moment)


@dataclass(frozen=True, slots=True)
class Trip:
    """A crew's way to a venue and back, with one helium point and its cylinders.

    access: when the venue lets it in. hung_by: when all must hang. Before filling it sets up, after it hangs.
    """

    access: datetime
    hung_by: datetime
    travel: timedelta
    set_up: timedelta
    hanging: timedelta

    @property
    def leaves_by(self) -> datetime:
        return self.access - self.travel

    @property
    def fills_from(self) -> datetime:
        return self.access + self.set_up

    @property
    def filled_by(self) -> datetime:
        return self.hung_by - self.hanging

    @property
    def back_at(self) -> datetime:
        return self.hung_by + self.travel
