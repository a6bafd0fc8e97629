"""This module words how long the helium lasts, what a cylinder is and holds, and what its gauge shows."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.actions.gas.balance import CylinderNow
from app.actions.gas.outlook import GasOutlook, describe_short
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
    GasFinding.MATCHES: "As it should be.",
    GasFinding.MORE_DRAWN: "More drawn than filled: a leak, a valve left open, or fills that nobody tapped.",
    GasFinding.LESS_DRAWN: "Less drawn than filled: a wrong gauge, or fills tapped that were none.",
}
NONE_IN_USE = "No cylinder is in use: what is filled is taken from none. Take one into use, with its gauge."


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
    if outlook.short is None:
        return GasNote(f"{litres(outlook.spare)} helium left after all orders.", "", is_short=False)
    short = f"{litres(outlook.short_by)} helium"
    sentence = f"The helium runs out on {formats.day(outlook.short.day)}, {litres(outlook.short_by)} short."
    return GasNote(f"{sentence} Order a cylinder.", short, outlook.is_worse)


def outlook_words(outlook: GasOutlook) -> str:
    """Returns a sentence that says whether the helium is enough, with the order that is asked about if there is
    one."""
    if outlook.short is None:
        return _enough(outlook)
    if not outlook.order_litres:
        return describe_short(outlook)
    return f"With this one the {describe_short(outlook).removeprefix('The ')}"


def _enough(outlook: GasOutlook) -> str:
    if not outlook.days:
        return f"Helium: {litres(outlook.left)} left, and nothing promised of it."
    last, spare = outlook.days[-1].day, litres(outlook.spare)
    with_it = ", this one too," if outlook.order_litres else ","
    return f"Helium: enough for all orders{with_it} the last on {last:%A} {last.day} {last:%B}; {spare} stay over."


def litres(amount: float) -> str:
    return f"{amount:,.0f} L".replace("-", "−")


def pressure(bar: float) -> str:
    return f"{bar:.0f} bar ({bar / BAR_PER_PSI:,.0f} psi)"


@dataclass(frozen=True, slots=True)
class ShownCylinder:
    """A cylinder as the pages show it. gauge: its last reading, and when it was. filled: what was filled since
    then; empty when nothing was."""

    id: int
    name: str
    state: str
    state_word: str
    gauge: str
    left: str
    filled: str
    order_number: int | None
    purity: str


def show_cylinder(one: CylinderNow, shop: Shop, formats: Formats) -> ShownCylinder:
    read = f"read {formats.moment(one.read_at)}" if one.read_at else "never read, taken for full"
    return ShownCylinder(
        one.row.id,
        one.row.name,
        one.row.state,
        state_word(one),
        f"{pressure(one.gauge.bar)} at {formats.temperature(one.gauge.celsius)}, {read}",
        litres(one.left),
        litres(one.filled) if one.filled >= 0.5 else "",
        one.order_number,
        purity_words(one.row, shop),
    )


def state_word(one: CylinderNow) -> str:
    """Returns the state of a cylinder in words."""
    if one.order_number:
        return f"along with order {one.order_number}"
    if one.row.state != CylinderState.FULL:
        return one.row.state
    return "full" if is_full(one.row, one.gauge) else "stands by, begun"


def is_full(row: Cylinder, gauge: PressureReading) -> bool:
    """Returns whether a cylinder with this reading still counts as full."""
    return share_left(full_gauge(row, gauge.celsius), gauge) >= ALMOST_FULL


def purity_words(row: Cylinder, shop: Shop) -> str:
    """Returns a sentence about a cylinder's purity if it differs from the one with which hours are calculated,
    else ''."""
    reckoned = shop.float_defaults.purity * 100
    if abs(row.purity_percent - reckoned) <= ALIKE_PERCENT:
        return ""
    hours = float_hours(ELEVEN_IN, ELEVEN_G, purity=row.purity_percent / 100, rubber=shop.float_defaults.rubber)
    return (
        f"{row.purity_percent:g} % helium: an 11-inch floats about {hours:.1f} h. The hours that are promised are"
        f" reckoned with {reckoned:g} %: a setting."
    )
