"""This module words how long the helium lasts, what a cylinder is and holds, and what its gauge shows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from app.actions.gas.balance import CylinderNow
from app.actions.gas.outlook import GasOutlook
from app.actions.gas.readings import full_gauge
from app.actions.gas.reconciliation import GasFinding
from app.craft.gas import BAR_PER_PSI, PressureReading, share_left
from app.physics.leak import float_hours
from app.quoting.shop import Shop
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.web.formats import Formats

ELEVEN_IN, ELEVEN_G = 11.0, 3.0
ALIKE_PERCENT = 0.5
"""A cylinder's purity that differs by no more than this counts as the one with which hours are calculated."""
ALMOST_FULL = 0.97
FINDINGS: Mapping[GasFinding, str] = {
    GasFinding.MATCHES: "Matches.",
    GasFinding.MORE_USED: "More used than filled. Check for a leak, an open valve, or fills that nobody tapped.",
    GasFinding.LESS_USED: "Less used than filled. Check the gauge, and for fills that were tapped by mistake.",
}
NONE_IN_USE = "No cylinder is in use. Choose the one that the bench fills from, and put it in use with its reading."
FULL, PART_USED, AT_VENUE = "full", "part used", "at venue"
STATE_WORDS: Mapping[str, str] = {
    FULL: "full",
    PART_USED: "put away, part used",
    CylinderState.IN_USE: "in use",
    CylinderState.EMPTY: "empty",
    CylinderState.GONE_BACK: "returned to the supplier",
}


@dataclass(frozen=True, slots=True)
class GasNote:
    """A sentence about helium for the counter. headline: how much is short, “4,210 L helium”; empty if there is
    enough. is_short: whether the order makes the helium run out, or run out sooner."""

    sentence: str
    headline: str
    is_short: bool


def gas_note(outlook: GasOutlook | None, formats: Formats) -> GasNote | None:
    """Returns the sentence for the counter; None when no cylinder was entered, or when the order takes no
    helium."""
    if outlook is None or not outlook.order_litres:
        return None
    headline = f"{litres(outlook.short_by, formats)} helium" if outlook.short else ""
    return GasNote(describe_outlook(outlook, formats), headline, outlook.is_worse)


def describe_outlook(outlook: GasOutlook, formats: Formats) -> str:
    """Returns a sentence that says whether the helium is enough for all orders."""
    if outlook.short:
        day = short_date(outlook.short.day, formats)
        return f"The helium runs out on {day}: {litres(outlook.short_by, formats)} short. Order a cylinder."
    if outlook.days:
        return f"{litres(outlook.spare, formats)} of helium left after all orders."
    return f"{litres(outlook.left, formats)} of helium left. No order needs any."


def short_date(day: date, formats: Formats) -> str:
    """Returns a day as “Sat 21 Nov”."""
    return formats.short_day(datetime.combine(day, time(12), formats.zone))


def litres(amount: float, formats: Formats) -> str:
    """Returns the whole litres with their unit."""
    return f"{formats.number(amount)} L".replace("-", "−")


def pressure(bar: float, formats: Formats) -> str:
    """Returns the pressure in bar, with psi in brackets."""
    return f"{formats.number(bar)} bar ({formats.number(bar / BAR_PER_PSI)} psi)"


@dataclass(frozen=True, slots=True)
class ShownCylinder:
    """A cylinder as the pages show it. state: as it is stored. condition: what it is, as one word for programs.
    gauge: its last reading, and when it was. filled: what was filled since then; empty when nothing was."""

    id: int
    name: str
    state: str
    condition: str
    state_word: str
    bar: float
    is_read: bool
    gauge: str
    litres_left: float
    left: str
    litres_filled: float
    filled: str
    order_number: int | None
    purity: str


def show_cylinder(one: CylinderNow, shop: Shop, formats: Formats) -> ShownCylinder:
    read = f"read {formats.moment(one.read_at)}" if one.read_at else "not read, assumed full"
    return ShownCylinder(
        id=one.row.id,
        name=one.row.name,
        state=one.row.state,
        condition=condition_of(one),
        state_word=f"with order {one.order_number}" if one.order_number else STATE_WORDS[condition_of(one)],
        bar=one.gauge.bar,
        is_read=one.read_at is not None,
        gauge=f"{pressure(one.gauge.bar, formats)} at {formats.temperature(one.gauge.celsius)}, {read}",
        litres_left=one.left,
        left=litres(one.left, formats),
        litres_filled=one.filled,
        filled=litres(one.filled, formats) if one.filled >= 0.5 else "",
        order_number=one.order_number,
        purity=describe_purity(one.row, shop, formats),
    )


def condition_of(one: CylinderNow) -> str:
    """Returns the state of a cylinder; one that is put away is full or part used, one with a crew is at a venue."""
    if one.order_number:
        return AT_VENUE
    if one.row.state != CylinderState.FULL:
        return str(one.row.state)
    return FULL if is_full(one.row, one.gauge) else PART_USED


def is_full(row: Cylinder, gauge: PressureReading) -> bool:
    """Returns whether a cylinder with this reading still counts as full."""
    return share_left(full_gauge(row, gauge.celsius), gauge) >= ALMOST_FULL


def describe_purity(row: Cylinder, shop: Shop, formats: Formats) -> str:
    """Returns a sentence about a cylinder's purity if it differs from the one with which hours are calculated,
    else ''."""
    assumed = shop.float_defaults.purity
    if abs(row.purity_percent - assumed * 100) <= ALIKE_PERCENT:
        return ""
    hours = float_hours(ELEVEN_IN, ELEVEN_G, purity=row.purity_percent / 100, rubber=shop.float_defaults.rubber)
    return (
        f"{formats.percent(row.purity_percent / 100)} helium: a balloon of {formats.size(ELEVEN_IN)} floats about"
        f" {formats.hours(hours)}. Float times assume {formats.percent(assumed)}; change that in Settings."
    )


def describe_unread(names: Sequence[str]) -> str:
    """Returns the sentence where used and filled gas cannot be compared yet. names: the cylinders to read."""
    return f"Read {' and '.join(names)} to compare."
