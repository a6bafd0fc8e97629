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

    def leaves_by(self, first_fill_by: datetime, margin: timedelta = timedelta()) -> datetime:
        """Returns when the crew must leave the shop: as late as its work allows, and earlier by the margin, but not
        so early that it has to wait at the door.

        first_fill_by: the latest start of its first fill; “must be filled by” means that start. With access at
        15:00, 40 min of travel, 20 min to set up and a first fill by 17:45 the crew leaves by 16:45; 50 min of
        filling and 25 min of hanging follow, until the event starts at 19:00.
        """
        return max(self.access, first_fill_by - self.set_up - margin) - self.travel

    @property
    def fills_from(self) -> datetime:
        """When the crew can start to fill, at the earliest."""
        return self.access + self.set_up

    @property
    def filled_by(self) -> datetime:
        """When the crew must have filled everything."""
        return self.hung_by - self.hanging

    @property
    def back_at(self) -> datetime:
        """When the crew is back at the shop."""
        return self.hung_by + self.travel
