"""What a customer wants, as the form understood it: the input of quote, take_order and change_order."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from app.craft.money import NOTHING, Portion
from app.physics.balloon import Gas
from app.physics.endurance import Surroundings


class Occasion(StrEnum):
    """EVENT has a start and an end, UNTIL only a time until which the balloons last, NOW is sold over the
    counter."""

    EVENT = "event"
    UNTIL = "until"
    NOW = "now"


OVER_THE_COUNTER = "Over the counter"
"""The name of an order without a customer."""


class HandOver(StrEnum):
    """VENUE: a crew takes gas and balloons along and fills them at the venue."""

    COLLECT = "collect"
    DELIVER = "deliver"
    VENUE = "venue"


class Service(StrEnum):
    """SOLD: the shop's own. OWN: the customer's own foil or sphere, filled with the shop's helium. TOP_UP: a foil
    or sphere that came back soft. The last two only for a balloon type."""

    SOLD = "sold"
    OWN = "own"
    TOP_UP = "top-up"


class ExtraSort(StrEnum):
    """An add-on: a supply that is sold, one that is rented, a visit, or something in the counter's own words."""

    SUPPLY = "supply"
    RENTAL = "rental"
    DELIVERY = "delivery"
    SET_UP = "set-up"
    TAKE_DOWN = "take-down"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class ExtraRequest:
    """supply_id: of a supply, sold or rented. title: of what is not a supply. unit_minor: None is the shop's own
    price."""

    sort: ExtraSort
    quantity: int
    supply_id: int | None = None
    title: str = ""
    unit_minor: int | None = None


@dataclass(frozen=True, slots=True)
class LineRequest:
    """One line: so many of a balloon type or of a design. later: its latex with helium is handed over later than
    the rest; if it has none, all of it is."""

    balloon_type_id: int | None
    design_id: int | None
    quantity: int
    colours: str = ""
    gas: Gas = Gas.HELIUM
    treated: bool = False
    later: bool = False
    service: Service = Service.SOLD


@dataclass(frozen=True, slots=True)
class OrderRequest:
    """Moments are aware UTC. ready_by: when the order, or the crew, leaves the shop; None means as soon as the
    bench can. arrives_at: when it is delivered, or the crew let in. later_at: when the later part leaves. venue_*:
    None means the shop's own figure. wind_m_s: None means that no wind was typed; it counts outdoors only.
    set_up_minutes, hanging_minutes, crew: minutes and people at the venue, if it is filled there.

    bench_override: why it is accepted although the bench cannot make it in time; stock_override: although goods or
    gas are short. customer_id: the customer who was chosen, if one was. return_by: when the customer brings rented
    items back. take_down_at: when a crew is let in to fetch them.
    """

    customer: str
    phone: str
    occasion: Occasion
    lines: tuple[LineRequest, ...]
    ready_by: datetime | None
    event_start: datetime | None = None
    lasts_until: datetime | None = None
    surroundings: Surroundings = Surroundings.INDOORS
    venue_celsius: float | None = None
    venue_elevation_m: float | None = None
    wind_m_s: float | None = None
    hand_over: HandOver = HandOver.COLLECT
    arrives_at: datetime | None = None
    travel_minutes: int = 0
    later_at: datetime | None = None
    set_up_minutes: int = 0
    hanging_minutes: int = 0
    crew: int = 0
    address: str = ""
    notes: str = ""
    accepted_risk: str = ""
    bench_override: str = ""
    stock_override: str = ""
    customer_id: int | None = None
    extras: tuple[ExtraRequest, ...] = ()
    discount: Portion = NOTHING
    return_by: datetime | None = None
    take_down_at: datetime | None = None
