"""What a customer wants, as the form understood it: the input of quote, take_order and change_order."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.endurance import Surroundings


class Occasion(StrEnum):
    """EVENT has a start and an end, UNTIL only an hour to last to, NOW is sold over the counter."""

    EVENT = "event"
    UNTIL = "until"
    NOW = "now"


OVER_THE_COUNTER = "Over the counter"
"""Who a sale without a name is for."""


class HandOver(StrEnum):
    COLLECT = "collect"
    DELIVER = "deliver"


@dataclass(frozen=True, slots=True)
class LineWish:
    """One line: either a kind or a design, so many of it."""

    kind_id: int | None
    design_id: int | None
    quantity: int
    colours: str = ""
    gas: Gas = Gas.HELIUM
    treated: bool = False


@dataclass(frozen=True, slots=True)
class OrderWish:
    """Moments are aware UTC. ready_by: when it leaves the shop; None means as soon as the bench can.
    venue_*: None means the shop's own figure. customer_id: the customer who was chosen, if one was."""

    customer: str
    phone: str
    occasion: Occasion
    lines: tuple[LineWish, ...]
    ready_by: datetime | None
    event_start: datetime | None = None
    lasts_until: datetime | None = None
    surroundings: Surroundings = Surroundings.INDOORS
    venue_celsius: float | None = None
    venue_elevation_m: float | None = None
    hand_over: HandOver = HandOver.COLLECT
    arrives_at: datetime | None = None
    travel_minutes: int = 0
    address: str = ""
    notes: str = ""
    word: str = ""
    customer_id: int | None = None
