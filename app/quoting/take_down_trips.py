"""A take-down trip: when its crew leaves, and when it is back at the bench."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from app.quoting.shop import TripDefaults


@dataclass(frozen=True, slots=True)
class TakeDownTrip:
    """When a crew leaves the bench and is back, and how many people it is."""

    leaves_at: datetime
    let_in: datetime
    ends_at: datetime
    back_at: datetime
    staff: int


def take_down_trip_of(let_in: datetime, travel_minutes: int, crew: int, usual: TripDefaults) -> TakeDownTrip:
    """Returns the trip; 0 minutes or people stand for the shop's default."""
    travel = timedelta(minutes=travel_minutes or usual.venue_travel_minutes)
    ends = let_in + timedelta(minutes=usual.take_down_minutes)
    return TakeDownTrip(let_in - travel, let_in, ends, ends + travel, crew or usual.crew)
