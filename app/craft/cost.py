"""What an order costs the shop, what it leaves, and what it should be sold for. For the owner only."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.craft.money import exact, half_up, hundredths
from app.craft.price import UNTAXED, Bill, Tax


@dataclass(frozen=True, slots=True)
class PackPrice:
    """A price, and how much one gets for it: minor units for so many pieces, litres, metres, minutes or hires.

    Raises ValueError for a negative price, or for nothing bought.
    """

    minor: int
    size: float = 1

    def __post_init__(self) -> None:
        if self.minor < 0 or not self.size > 0 or not math.isfinite(self.size):
            raise ValueError(f"{self.minor} for {self.size} is no price")

    def of(self, used: float) -> Fraction:
        """What so much of it costs, unrounded. Raises ValueError for a negative number."""
        if not used >= 0:
            raise ValueError(f"{used} cannot have been used")
        return self.minor * Fraction(exact(used)) / Fraction(exact(self.size))


def per_cubic_metre(minor: int) -> PackPrice:
    """Gas at so much a cubic metre, used in litres. A cylinder is Bought(its price, its litres of gas)."""
    return PackPrice(minor, 1000)


def per_hour(minor: int) -> PackPrice:
    """Hands at so much an hour, used in minutes."""
    return PackPrice(minor, 60)


@dataclass(frozen=True, slots=True)
class CostLine:
    title: str
    minor: int


def cost_line(title: str, used: float, bought: PackPrice) -> CostLine:
    """One line of an order's cost, rounded here and nowhere else, half up.

    Balloons, bags and treatment are used by the piece, ribbon by the metre, gas by the litre, hands by the minute;
    the wear of what is hired out is Bought(what a new one costs, how many hires it lasts). Raises ValueError for a
    negative number.
    """
    return CostLine(title, half_up(bought.of(used)))


def spares(count: int, percent: Decimal) -> int:
    """Whole balloons to have beyond so many, rounded up. Raises ValueError for a negative count or percent."""
    if count < 0:
        raise ValueError(f"{count}: nothing less than no balloons")
    return math.ceil(count * hundredths(percent, most=None))


def cost_minor(lines: Iterable[CostLine]) -> int:
    return sum(line.minor for line in lines)


@dataclass(frozen=True, slots=True)
class Margin:
    """What an order leaves. net_minor: its price without tax and refundable deposits, `Bill.net_minor`."""

    net_minor: int
    cost_minor: int

    @property
    def minor(self) -> int:
        return self.net_minor - self.cost_minor

    @property
    def percent(self) -> Fraction | None:
        """Of the net price, exact; negative at a loss, None when nothing is charged."""
        return Fraction(100 * self.minor, self.net_minor) if self.net_minor else None

    def below(self, floor: Decimal) -> bool:
        """Whether it leaves less than so many percent; what costs something and is given away does."""
        return self.net_minor < floor_minor(self.cost_minor, floor)


def floor_minor(cost: int, floor: Decimal) -> int:
    """The least net price, minor units, that leaves at least so many percent of itself; 0 when it costs nothing.

    Raises ValueError for a negative cost, or a floor outside 0 to below 100 percent, which no price would leave.
    """
    if cost < 0 or floor == 100:
        raise ValueError(f"no price leaves {floor} % over a cost of {cost}")
    return math.ceil(cost / (1 - hundredths(floor)))


def least_total(bill: Bill, cost: int, floor: Decimal) -> int | None:
    """The least total, minor units, that leaves so many percent of the net over a cost; None where the bill does.

    It is the bill's total and what is wanting of the net, with its tax, rounded up: asked for in the price of any
    one item, it is enough. Raises ValueError as floor_minor does.
    """
    wanting = floor_minor(cost, floor) - bill.net_minor
    if wanting <= 0:
        return None
    return bill.total_minor + math.ceil(wanting * (1 + hundredths(bill.tax.percent)))


def design_price(cost: int, markup: Decimal, step_minor: int, tax: Tax = UNTAXED) -> int:
    """The price to print for what costs so much, minor units: with the markup, then with a tax that prices contain,
    then rounded up to a whole number of steps.

    Raises ValueError for a negative cost or markup, or a step below one minor unit.
    """
    if cost < 0 or step_minor < 1:
        raise ValueError(f"no price from a cost of {cost} in steps of {step_minor}")
    asked = tax.asked(cost * (1 + hundredths(markup, most=None)))
    return math.ceil(asked / step_minor) * step_minor
