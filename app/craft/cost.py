"""This module calculates what an order costs the shop, what profit it makes, and its price. It is for the owner
only."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.craft.money import half_up, percent_as_fraction, to_decimal
from app.craft.price import UNTAXED, Bill, Tax


@dataclass(frozen=True, slots=True)
class PackPrice:
    """A price and what it buys: minor units for a number of pieces, litres, metres, minutes or rentals.

    Creating one raises ValueError for a price below 0, and for a size that is not above 0.
    """

    minor: int
    size: float = 1

    def __post_init__(self) -> None:
        if self.minor < 0 or not self.size > 0 or not math.isfinite(self.size):
            raise ValueError(f"{self.minor} for {self.size} is no price")

    def of(self, used: float) -> Fraction:
        """Returns what this amount of it costs, in minor units, unrounded. Raises ValueError below 0."""
        if not used >= 0:
            raise ValueError(f"{used} cannot have been used")
        return self.minor * Fraction(to_decimal(used)) / Fraction(to_decimal(self.size))


def per_cubic_metre(minor: int) -> PackPrice:
    """Returns the price of gas per cubic metre, for use in litres.

    The gas of one cylinder is PackPrice(its price, its litres of gas) instead.
    """
    return PackPrice(minor, 1000)


def per_hour(minor: int) -> PackPrice:
    """Returns the price of work per hour, for use in minutes."""
    return PackPrice(minor, 60)


@dataclass(frozen=True, slots=True)
class CostLine:
    title: str
    minor: int


def cost_line(title: str, used: float, bought: PackPrice) -> CostLine:
    """Returns one line of an order's cost, rounded half up; a cost is rounded here and nowhere else.

    Balloons, bags and treatment are used by the piece, ribbon by the metre, gas by the litre, work by the minute;
    the wear of a rental item is PackPrice(the price of a new one, the rentals that it lasts). Raises ValueError
    when used is below 0.
    """
    return CostLine(title, half_up(bought.of(used)))


def spare_count(count: int, percent: Decimal) -> int:
    """Returns how many spare balloons to have for this count, as a percent of it, rounded up to whole balloons.

    Raises ValueError for a count or percent below 0.
    """
    if count < 0:
        raise ValueError(f"{count}: nothing less than no balloons")
    return math.ceil(count * percent_as_fraction(percent, most=None))


def cost_minor(lines: Iterable[CostLine]) -> int:
    """Returns the sum of the lines, in minor units."""
    return sum(line.minor for line in lines)


@dataclass(frozen=True, slots=True)
class Margin:
    """The profit of an order. net_minor: its price without tax and security deposits, `Bill.net_minor`.
    cost_minor: what it costs the shop."""

    net_minor: int
    cost_minor: int

    @property
    def minor(self) -> int:
        """The profit in minor units; below 0, it is a loss."""
        return self.net_minor - self.cost_minor

    @property
    def percent(self) -> Fraction | None:
        """The profit in percent of the net price, exact; below 0 for a loss, None when nothing is charged."""
        return Fraction(100 * self.minor, self.net_minor) if self.net_minor else None

    def below(self, floor: Decimal) -> bool:
        """Returns whether the profit is less than this percent of the net price; it is when something that costs
        money is given away."""
        return self.net_minor < floor_minor(self.cost_minor, floor)


def floor_minor(cost: int, floor: Decimal) -> int:
    """Returns the least net price, in minor units, of which at least this percent is profit; 0 when it costs
    nothing.

    floor: 0 to below 100 percent. Raises ValueError outside, and for a cost below 0.
    """
    if cost < 0 or floor == 100:
        raise ValueError(f"no price gives a profit of {floor}% over a cost of {cost}")
    return math.ceil(cost / (1 - percent_as_fraction(floor)))


def least_total(bill: Bill, cost: int, floor: Decimal) -> int | None:
    """Returns the least total of a bill, in minor units, of whose net price at least this percent is profit; None
    when the bill is high enough.

    It is the bill's total and what its net price is short of, with tax on it, rounded up. It is enough whichever
    item is charged more. Raises ValueError as `floor_minor` does.
    """
    net_short = floor_minor(cost, floor) - bill.net_minor
    if net_short <= 0:
        return None
    return bill.total_minor + math.ceil(net_short * (1 + percent_as_fraction(bill.tax.percent)))


def design_price(cost: int, markup: Decimal, step_minor: int, tax: Tax = UNTAXED) -> int:
    """Returns the price to print for a design of this cost, in minor units.

    It is the cost with the markup in percent, then with a tax that prices contain, then rounded up to a whole
    number of steps. Raises ValueError for a cost or markup below 0, and a step below one minor unit.
    """
    if cost < 0 or step_minor < 1:
        raise ValueError(f"no price from a cost of {cost} in steps of {step_minor}")
    price = tax.printed_price(cost * (1 + percent_as_fraction(markup, most=None)))
    return math.ceil(price / step_minor) * step_minor
