"""This module says when work can be done: at the bench within opening hours, or at a venue once the crew is let
in."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol


class Workplace(Protocol):
    """A place where an order is filled. Moments are aware UTC; None means that there is no such moment for two
    months."""

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime | None:
        """Returns the latest start of work that ends by the deadline."""

    def first_end(self, earliest: datetime, work: timedelta) -> datetime | None:
        """Returns when work that starts no earlier than this would end."""

    def first_open(self, moment: datetime) -> datetime:
        """Returns the first moment, not before this one, at which work can begin."""


@dataclass(frozen=True, slots=True)
class AtVenue:
    """A crew that fills at the venue: from `begins` on, when it was let in and has set up, without a break."""

    begins: datetime

    def latest_start(self, deadline: datetime, work: timedelta) -> datetime:
        return deadline - work

    def first_end(self, earliest: datetime, work: timedelta) -> datetime:
        return self.first_open(earliest) + work

    def first_open(self, moment: datetime) -> datetime:
        return max(self.begins, moment)


@dataclass(frozen=True, slots=True)
class Trip:
    """The trip of a crew to a venue and back, with one helium filling point and its cylinders.

    access: when the venue lets the crew in; then it sets up and fills. hung_by: when everything must hang.
    travel: the drive one way. set_up: the time before filling. hanging: the time for hanging after filling.
    """

    access: datetime
    hung_by: datetime
    travel: timedelta
    set_up: timedelta
    hanging: timedelta

    @property
    def leaves_by(self) -> datetime:
        """When the crew must leave the shop."""
        return self.access - self.travel

    @property
    def fills_from(self) -> datetime:
        """When the crew can start to fill."""
        return self.access + self.set_up

    @property
    def filled_by(self) -> datetime:
        """When the crew must have filled everything."""
        return self.hung_by - self.hanging

    @property
    def back_at(self) -> datetime:
        """When the crew is back at the shop."""
        return self.hung_by + self.travel
