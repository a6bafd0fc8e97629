"""An order in words for its history, the same words for all orders, so that two descriptions can be compared."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from math import floor
from zoneinfo import ZoneInfo

from app.actions.records.rebuild_request import tax_of
from app.craft.money import Percent, typed_amount, typed_percent
from app.physics.light import Surroundings
from app.quoting.bill import read_discount
from app.quoting.policy import TaxMode
from app.quoting.request import HandOver
from app.quoting.shop import Shop
from app.quoting.states import OrderPart
from app.store.models import Order, OrderExtra, OrderLine

Changes = list[tuple[str, str, str]]
"""What, before, after."""

HAND_OVER_WORDS = {
    HandOver.COLLECT: "collection",
    HandOver.DELIVER: "delivery",
    HandOver.VENUE: "filled at the venue",
}


@dataclass(frozen=True, slots=True)
class HistoryFormats:
    """How the history writes times and amounts: by the settings of the shop at the moment of writing. An entry is
    stored as text and keeps its clock when the setting changes later. decimals: of the currency."""

    zone: ZoneInfo
    decimals: int
    twelve_hours: bool

    @classmethod
    def of(cls, shop: Shop) -> "HistoryFormats":
        """Returns the formats of a shop's settings."""
        return cls(shop.zone, shop.decimals, shop.twelve_hours)

    def clock(self, moment: datetime) -> str:
        """Returns the time as “14:30” or “2:30 pm”, in the shop's zone."""
        local = moment.astimezone(self.zone)
        if not self.twelve_hours:
            return f"{local:%H:%M}"
        return f"{local.hour % 12 or 12}:{local:%M} {'am' if local.hour < 12 else 'pm'}"

    def moment(self, moment: datetime) -> str:
        """Returns day and time as “Sat 21 Nov 2026 14:30”."""
        local = moment.astimezone(self.zone)
        return f"{local:%a} {local.day} {local:%b %Y} {self.clock(moment)}"


def describe_order(order: Order, formats: HistoryFormats) -> dict[str, str]:
    """Returns what a person would want to know of the order, by name; lines and extras by their place."""
    decimals = formats.decimals

    def at(moment: datetime | None) -> str:
        return "–" if moment is None else formats.moment(moment)

    described = {
        "state": order.state,
        "reason for cancelling": order.cancel_reason,
        "cancellation fee": typed_amount(order.cancel_fee_minor, decimals) if order.cancel_fee_minor else "",
        "customer": order.customer,
        "phone": order.phone,
        "event starts": at(order.event_start),
        "must float until": at(order.lasts_until),
        "venue": f"{order.surroundings}{_temperature(order)}{_altitude(order)}{_wind(order)}",
        "ready by": at(None if order.hand_over == HandOver.VENUE else order.ready_by),
        "collection or delivery": HAND_OVER_WORDS[HandOver(order.hand_over)],
        "arrives at": at(order.arrives_at),
        "travel time": f"{order.travel_minutes} min",
        "later part ready by": at(order.later_at),
        "crew": _describe_crew(order),
        "address": order.address,
        "notes": order.notes,
        "latex allergy": "yes" if order.latex_allergy else "no",
        "place in the holding area": order.holding_place or "",
        "place in the holding area (later part)": order.later_holding_place or "",
        "customer accepted": order.accepted_risk,
        "reason for accepting it anyway (bench)": order.bench_override,
        "reason for accepting it anyway (stock)": order.stock_override,
        "discount": _describe_discount(order, decimals),
        "tax": _describe_tax(order),
        "rentals back by": at(order.return_by),
        "take-down": at(order.take_down_at),
    }
    described |= {f"line {line.position + 1}": _describe_line(line) for line in order.lines}
    return described | {f"extra {one.position + 1}": _describe_extra(one, decimals) for one in order.extras}


def _describe_crew(order: Order) -> str:
    if not order.crew:
        return "–"
    people = "1 person" if order.crew == 1 else f"{order.crew} people"
    return f"{people}, {order.set_up_minutes} min to set up, {order.hanging_minutes} min to hang"


def _temperature(order: Order) -> str:
    return "" if order.venue_celsius is None else f", {order.venue_celsius:g}\u00a0°C"


def _altitude(order: Order) -> str:
    return "" if order.venue_elevation_m is None else f", altitude {order.venue_elevation_m:g}\u00a0m"


def _wind(order: Order) -> str:
    is_known = order.wind_m_s is not None and Surroundings(order.surroundings).outdoors
    return f", wind {order.wind_m_s:g}\u00a0m/s" if is_known else ""


def _describe_line(line: OrderLine) -> str:
    how = ", treated" if line.treated else ""
    colours = f" in {line.colours}" if line.colours else ""
    later = ", later part" if line.part is OrderPart.LATER else ""
    hung = f", {line.hung_g:g}\u00a0g on each" if line.hung_g else ""
    return f"{line.quantity} × {line.title}{colours}, {line.gas}{how}{hung}{later}"


def _describe_extra(extra: OrderExtra, decimals: int) -> str:
    sold = f"{extra.quantity} × {extra.title} at {typed_amount(extra.unit_minor, decimals)}"
    if not extra.deposit_minor:
        return sold
    return f"{sold}, security deposit {typed_amount(extra.deposit_minor, decimals)} each"


def _describe_discount(order: Order, decimals: int) -> str:
    discount = read_discount(order.discount)
    if isinstance(discount, Percent):
        return typed_percent(discount.percent)
    return typed_amount(discount.minor, decimals) if discount.minor else "–"


def _describe_tax(order: Order) -> str:
    rule = tax_of(order)
    how = {TaxMode.NONE: "–", TaxMode.INCLUSIVE: "included in the prices", TaxMode.ON_TOP: "added to the prices"}[
        rule.mode
    ]
    return how if rule.mode is TaxMode.NONE else f"{rule.percent:g}% {how}"


def describe_changes(before: Mapping[str, str], after: Mapping[str, str]) -> Changes:
    """Returns what differs between two descriptions of an order."""
    names = list(dict.fromkeys([*before, *after]))
    pairs = [(name, before.get(name, "–"), after.get(name, "–")) for name in names]
    return [(name, was, now) for name, was, now in pairs if was != now]


def percent(chance: float) -> str:
    """Returns the chance in whole percent, rounded down, so that nothing promises more than was calculated."""
    return f"{floor(chance * 100 + 1e-9)}%"
