"""What a customer wants, as the form understood it: the input of quote, take_order and change_order."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum, auto
from types import MappingProxyType
from typing import Any

from app.craft.money import ZERO_AMOUNT, Portion
from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.quoting.states import OrderPart


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


FOOT_M = 0.3048
"""The metres in a foot, exactly."""


@dataclass(frozen=True, slots=True)
class ExtraRequest:
    """supply_id: of a supply, sold or rented. title: of what is not a supply. unit_minor: None is the shop's own
    price. of_one: how much of the supply one is, in the unit in which it is counted; FOOT_M of ribbon that is sold
    by the foot."""

    sort: ExtraSort
    quantity: int
    supply_id: int | None = None
    title: str = ""
    unit_minor: int | None = None
    of_one: float = 1.0


MOST_HUNG_G = 500.0
"""The most grams of gift or card on one balloon: more than a 36-inch balloon lifts."""


@dataclass(frozen=True, slots=True)
class PartSwap:
    """What replaces balloons of one type in a design, for one line only.

    was, now: the ids of the two balloon types. gas: of what replaces them. Balloons filled with that gas are
    replaced; if it is air, those with helium are too.
    """

    was: int
    now: int
    gas: Gas


@dataclass(frozen=True, slots=True)
class LineRequest:
    """One line: so many of a balloon type or of a design. later: its latex with helium is handed over later than
    the rest; if it has none, all of it is. hung_g: grams of gift or card on each balloon, 0 to MOST_HUNG_G; only
    for a balloon type, since a design has its own. swaps: what a design has instead of its own balloons."""

    balloon_type_id: int | None
    design_id: int | None
    quantity: int
    colours: str = ""
    gas: Gas = Gas.HELIUM
    treated: bool = False
    later: bool = False
    service: Service = Service.SOLD
    hung_g: float = 0.0
    swaps: tuple[PartSwap, ...] = ()

    @property
    def part(self) -> OrderPart:
        """Returns the part of the order that its latex with helium, or all of it where it has none, belongs to."""
        return OrderPart.LATER if self.later else OrderPart.MAIN


@dataclass(frozen=True, slots=True)
class OrderRequest:
    """Moments are aware UTC. ready_by: when the order leaves the shop for the agreed hour, or its crew may leave at
    the earliest; None means as soon as the bench can. A crew that sets up before the event may leave before it.
    arrives_at: when it is delivered, or the crew let in, as agreed. later_at: when the later part leaves. venue_*:
    None means the shop's own figure. wind_m_s: None means that no wind was typed; it counts outdoors only.
    set_up_minutes, hanging_minutes, crew: minutes and people at the venue, if it is filled there.

    bench_override: why it is accepted although the bench cannot make it in time; stock_override: although goods or
    gas are short. latex_allergy: whether the customer, or somebody at the venue, is allergic to latex. customer_id:
    the customer who was chosen, if one was. return_by: when the customer brings rented items back. take_down_at:
    when a crew is let in to fetch them.
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
    latex_allergy: bool = False
    accepted_risk: str = ""
    bench_override: str = ""
    stock_override: str = ""
    customer_id: int | None = None
    extras: tuple[ExtraRequest, ...] = ()
    discount: Portion = ZERO_AMOUNT
    return_by: datetime | None = None
    take_down_at: datetime | None = None


class RepeatRule(StrEnum):
    """What a repeat of an earlier order does with a field. COPY: as in the earlier order. COPY_TIME_ONLY: only its
    hour is; the date is asked for. LEAVE_EMPTY: left open. FROM_FORM: as the form had it. EITHER: it is said when
    the earlier order or the form says it."""

    COPY = auto()
    COPY_TIME_ONLY = auto()
    LEAVE_EMPTY = auto()
    FROM_FORM = auto()
    EITHER = auto()


@dataclass(frozen=True, slots=True)
class NotShown:
    """The reason why a field is not shown."""

    reason: str


@dataclass(frozen=True, slots=True)
class FieldPlaces:
    """Where a field of OrderRequest goes. history: what it is called there. changes_bench: whether the bench is
    asked again when it changes. confirmation: None where it is shown, or where a time that is shown follows from
    it, such as the arrival of a crew."""

    repeat: RepeatRule
    history: str | NotShown
    changes_bench: bool = True
    confirmation: NotShown | None = None


_INSIDE = NotShown("It is for the shop, not for the customer.")
_EVENT = NotShown("The customer knows their own event.")

FIELD_PLACES: Mapping[str, FieldPlaces] = MappingProxyType(
    {
        "customer": FieldPlaces(RepeatRule.FROM_FORM, "customer", changes_bench=False),
        "phone": FieldPlaces(RepeatRule.FROM_FORM, "phone", False, NotShown("The customer knows their own phone.")),
        "occasion": FieldPlaces(RepeatRule.COPY, NotShown("The hours of the event say it."), confirmation=_EVENT),
        "lines": FieldPlaces(RepeatRule.COPY, "line 1"),
        "ready_by": FieldPlaces(RepeatRule.COPY_TIME_ONLY, "ready by"),
        "event_start": FieldPlaces(RepeatRule.COPY_TIME_ONLY, "event starts"),
        "lasts_until": FieldPlaces(RepeatRule.COPY_TIME_ONLY, "must float until"),
        "surroundings": FieldPlaces(RepeatRule.COPY, "venue", confirmation=_EVENT),
        "venue_celsius": FieldPlaces(RepeatRule.LEAVE_EMPTY, "venue", confirmation=_EVENT),
        "venue_elevation_m": FieldPlaces(RepeatRule.COPY, "venue", confirmation=_EVENT),
        "wind_m_s": FieldPlaces(RepeatRule.LEAVE_EMPTY, "venue", confirmation=_EVENT),
        "hand_over": FieldPlaces(RepeatRule.COPY, "collection or delivery"),
        "arrives_at": FieldPlaces(RepeatRule.COPY_TIME_ONLY, "arrives at"),
        "travel_minutes": FieldPlaces(RepeatRule.COPY, "travel time"),
        "later_at": FieldPlaces(RepeatRule.COPY_TIME_ONLY, "later part ready by"),
        "set_up_minutes": FieldPlaces(RepeatRule.COPY, "crew"),
        "hanging_minutes": FieldPlaces(RepeatRule.COPY, "crew"),
        "crew": FieldPlaces(RepeatRule.COPY, "crew", confirmation=_INSIDE),
        "address": FieldPlaces(RepeatRule.COPY, "address", changes_bench=False),
        "notes": FieldPlaces(RepeatRule.COPY, "notes", False, _INSIDE),
        "latex_allergy": FieldPlaces(RepeatRule.EITHER, "latex allergy", changes_bench=False),
        "accepted_risk": FieldPlaces(RepeatRule.LEAVE_EMPTY, "customer accepted", False, _INSIDE),
        "bench_override": FieldPlaces(
            RepeatRule.LEAVE_EMPTY, "reason for accepting it anyway (bench)", False, _INSIDE
        ),
        "stock_override": FieldPlaces(
            RepeatRule.LEAVE_EMPTY, "reason for accepting it anyway (stock)", False, _INSIDE
        ),
        "customer_id": FieldPlaces(
            RepeatRule.FROM_FORM,
            NotShown("The customer's name says it."),
            False,
            NotShown("It is a number of the store."),
        ),
        "extras": FieldPlaces(RepeatRule.COPY, "extra 1"),
        "discount": FieldPlaces(RepeatRule.LEAVE_EMPTY, "discount"),
        "return_by": FieldPlaces(RepeatRule.LEAVE_EMPTY, "rentals back by"),
        "take_down_at": FieldPlaces(RepeatRule.LEAVE_EMPTY, "take-down"),
    }
)
"""Every field of OrderRequest once; a test compares each place with what the app does."""

NOT_QUOTED: Mapping[str, Any] = MappingProxyType(
    {"customer": "", "phone": "", "address": "", "notes": "", "customer_id": None}
    | {"accepted_risk": "", "bench_override": "", "stock_override": ""}
)
"""The fields of a request that make no difference to its quote, each emptied."""
