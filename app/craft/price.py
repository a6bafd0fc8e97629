"""What the customer pays: items, a discount, tax line by line, deposits and payments."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from app.craft.money import NOTHING, Portion, half_up, hundredths, share_out


class Owing(StrEnum):
    """Which way what is due goes, in words."""

    TO_PAY = "to pay"
    PAID = "paid"
    TO_PAY_BACK = "to pay back"


def owing_of(due_minor: int) -> Owing:
    """due_minor: what is still to pay; negative is to be paid back."""
    if due_minor == 0:
        return Owing.PAID
    return Owing.TO_PAY if due_minor > 0 else Owing.TO_PAY_BACK


@dataclass(frozen=True, slots=True)
class BillItem:
    """A line or an add-on. Raises ValueError unless there is at least one of it, at no negative price."""

    title: str
    quantity: int
    unit_minor: int
    taxed: bool = True

    def __post_init__(self) -> None:
        _check(self.title, self.quantity, self.unit_minor)

    @property
    def amount_minor(self) -> int:
        return self.quantity * self.unit_minor


@dataclass(frozen=True, slots=True)
class Refundable:
    """What is left with the shop for hired goods, and goes back with each that comes back; no price, never taxed.

    Raises ValueError unless at least one is hired, at no negative amount, and no more came back than went out.
    """

    title: str
    quantity: int
    unit_minor: int
    returned: int = 0

    def __post_init__(self) -> None:
        _check(self.title, self.quantity, self.unit_minor)
        if not 0 <= self.returned <= self.quantity:
            raise ValueError(f"{self.title}: {self.returned} of {self.quantity} cannot have come back")

    @property
    def held_minor(self) -> int:
        return (self.quantity - self.returned) * self.unit_minor


@dataclass(frozen=True, slots=True)
class Tax:
    """A rate in percent, 0 to 100, either contained in the prices or on top of them. Raises ValueError outside."""

    percent: Decimal
    contained: bool = True

    def __post_init__(self) -> None:
        hundredths(self.percent)

    def of(self, minor: int) -> int:
        """The tax of one line that is printed as so much, half up: m·r/(100+r) if contained, else m·r/100."""
        rate = hundredths(self.percent)
        return half_up(minor * rate / (1 + rate) if self.contained else minor * rate)

    def asked(self, net_minor: Fraction) -> Fraction:
        """The price to print, unrounded, of which so much is left without tax."""
        return net_minor * (1 + hundredths(self.percent)) if self.contained else net_minor


UNTAXED = Tax(Decimal(0))


@dataclass(frozen=True, slots=True)
class BillLine:
    """An item after its share of the discount, with its own tax."""

    item: BillItem
    off_minor: int
    tax_minor: int
    net_minor: int

    @property
    def gross_minor(self) -> int:
        return self.net_minor + self.tax_minor


@dataclass(frozen=True, slots=True)
class Bill:
    """discount: of the sum of the items. deposit: asked beforehand, of the total; a percent is rounded half up like
    all else. payments: minor units as noted, what was paid back negative.

    Tax is rounded once a line, and the bill's tax is the sum of the lines' taxes, so that every total is the sum of
    what is printed above it. It may therefore differ by a few minor units from the tax of the total.
    """

    items: tuple[BillItem, ...]
    discount: Portion = NOTHING
    tax: Tax = UNTAXED
    deposit: Portion = NOTHING
    refundables: tuple[Refundable, ...] = ()
    payments: tuple[int, ...] = ()

    @property
    def items_minor(self) -> int:
        return sum(item.amount_minor for item in self.items)

    @property
    def discount_minor(self) -> int:
        return self.discount.of(self.items_minor)

    @property
    def subtotal_minor(self) -> int:
        """The items less the discount: with the tax that is contained, without a tax on top."""
        return self.items_minor - self.discount_minor

    @property
    def lines(self) -> tuple[BillLine, ...]:
        offs = share_out(self.discount_minor, [item.amount_minor for item in self.items])
        return tuple(self._line(item, off) for item, off in zip(self.items, offs, strict=True))

    def _line(self, item: BillItem, off_minor: int) -> BillLine:
        printed = item.amount_minor - off_minor
        tax = self.tax.of(printed) if item.taxed else 0
        return BillLine(item, off_minor, tax, printed - tax if self.tax.contained else printed)

    @property
    def tax_minor(self) -> int:
        return sum(line.tax_minor for line in self.lines)

    @property
    def net_minor(self) -> int:
        """What the shop keeps: without tax, without refundable deposits."""
        return self.subtotal_minor - self.tax_minor if self.tax.contained else self.subtotal_minor

    @property
    def total_minor(self) -> int:
        """The price: with tax, without refundable deposits."""
        return self.net_minor + self.tax_minor

    @property
    def refundable_minor(self) -> int:
        """What hired goods that are not back hold."""
        return sum(refundable.held_minor for refundable in self.refundables)

    @property
    def to_pay_minor(self) -> int:
        """All that the customer hands over: the price and what hired goods hold."""
        return self.total_minor + self.refundable_minor

    @property
    def paid_minor(self) -> int:
        return sum(self.payments)

    @property
    def due_minor(self) -> int:
        """What is still to pay; negative is to be paid back."""
        return self.to_pay_minor - self.paid_minor

    @property
    def owing(self) -> Owing:
        return owing_of(self.due_minor)

    @property
    def deposit_minor(self) -> int:
        return self.deposit.of(self.total_minor)

    @property
    def deposit_due_minor(self) -> int:
        """What of the deposit was not paid yet, never negative."""
        return max(self.deposit_minor - self.paid_minor, 0)


def _check(title: str, quantity: int, unit_minor: int) -> None:
    if quantity < 1:
        raise ValueError(f"{title}: {quantity} is not at least one")
    if unit_minor < 0:
        raise ValueError(f"{title}: {unit_minor} is negative; give less by a discount")
