"""This module calculates what a customer pays: items, a discount, tax line by line, the deposit, security
deposits and payments."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from app.craft.money import ZERO_AMOUNT, Portion, half_up, percent_as_fraction, split_in_proportion


class PaymentState(StrEnum):
    """How the money of an order stands, in words. FEE_TO_PAY, FEE_KEPT, SETTLED: of an order that owes only its
    fee, which is still to pay, was paid, or is 0 with nothing to refund either."""

    TO_PAY = "to pay"
    PART_PAID = "part paid"
    PAID = "paid"
    TO_REFUND = "to refund"
    FEE_TO_PAY = "fee to pay"
    FEE_KEPT = "fee kept"
    SETTLED = "settled"


@dataclass(frozen=True, slots=True)
class Balance:
    """How the money of an order stands. due_minor: still to pay, below 0 to be refunded. paid_minor: what was paid
    less what was refunded. fee_minor: what the shop keeps of a cancelled order. is_not_made: whether it was not
    made and nothing of it was handed over."""

    due_minor: int
    paid_minor: int
    is_cancelled: bool = False
    fee_minor: int = 0
    is_not_made: bool = False

    @property
    def owes_only_fee(self) -> bool:
        """Whether the price is not asked for, but at most a fee: of what was cancelled or not made."""
        return self.is_cancelled or self.is_not_made

    @property
    def state(self) -> PaymentState:
        """Whether something is to pay or to refund, or how it was settled."""
        if self.due_minor < 0:
            return PaymentState.TO_REFUND
        if self.owes_only_fee:
            return self._state_of_fee()
        if not self.due_minor:
            return PaymentState.PAID
        return PaymentState.PART_PAID if self.paid_minor > 0 else PaymentState.TO_PAY

    def _state_of_fee(self) -> PaymentState:
        """Returns the state of an order that owes only its fee and from which nothing is to be refunded."""
        if self.due_minor:
            return PaymentState.FEE_TO_PAY
        return PaymentState.FEE_KEPT if self.fee_minor else PaymentState.SETTLED


@dataclass(frozen=True, slots=True)
class BillItem:
    """A line or an add-on on a bill. Creating one raises ValueError unless the quantity is at least 1 and the price
    at least 0."""

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
    """A security deposit that the shop holds for rented items and pays back as they are returned; it is no price
    and never taxed.

    Creating one raises ValueError unless the quantity is at least 1, the amount at least 0, and no more were
    returned than rented.
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
        """The security deposit for the items that were not returned yet."""
        return (self.quantity - self.returned) * self.unit_minor


@dataclass(frozen=True, slots=True)
class Tax:
    """A tax rate in percent, 0 to 100, either contained in the prices or on top of them. Creating one raises
    ValueError outside."""

    percent: Decimal
    contained: bool = True

    def __post_init__(self) -> None:
        percent_as_fraction(self.percent)

    def of(self, minor: int) -> int:
        """Returns the tax of one line with this printed amount m, rounded half up: m·r/(100+r) if the price
        contains it, else m·r/100."""
        rate = percent_as_fraction(self.percent)
        return half_up(minor * rate / (1 + rate) if self.contained else minor * rate)

    def printed_price(self, net_minor: Fraction) -> Fraction:
        """Returns the price to print, unrounded, for a net price: with the tax if prices contain it."""
        return net_minor * (1 + percent_as_fraction(self.percent)) if self.contained else net_minor


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
        """The amount with tax."""
        return self.net_minor + self.tax_minor


@dataclass(frozen=True)
class Bill:
    """A customer's bill.

    discount: off the sum of the items. deposit: the part of the total to pay beforehand; as a percent it is rounded
    half up, like everything else. payments: minor units as saved; a refund is below 0.

    Tax is rounded once per line, and the bill's tax is the sum of the lines' taxes, so that every total is the sum
    of what is printed above it. It may therefore differ by a few minor units from the tax of the total.
    """

    items: tuple[BillItem, ...]
    discount: Portion = ZERO_AMOUNT
    tax: Tax = UNTAXED
    deposit: Portion = ZERO_AMOUNT
    refundables: tuple[Refundable, ...] = ()
    payments: tuple[int, ...] = ()

    @property
    def items_minor(self) -> int:
        """The sum of the items, before the discount."""
        return sum(item.amount_minor for item in self.items)

    @property
    def discount_minor(self) -> int:
        """The discount off the sum of the items."""
        return self.discount.of(self.items_minor)

    @property
    def subtotal_minor(self) -> int:
        """The items less the discount; it includes a tax that the prices contain, but not a tax on top."""
        return self.items_minor - self.discount_minor

    @cached_property
    def lines(self) -> tuple[BillLine, ...]:
        """The items, each with its share of the discount and its own tax."""
        offs = split_in_proportion(self.discount_minor, [item.amount_minor for item in self.items])
        return tuple(self._line(item, off) for item, off in zip(self.items, offs, strict=True))

    def _line(self, item: BillItem, off_minor: int) -> BillLine:
        """Returns the line of an item with this share of the discount."""
        printed = item.amount_minor - off_minor
        tax = self.tax.of(printed) if item.taxed else 0
        return BillLine(item, off_minor, tax, printed - tax if self.tax.contained else printed)

    @property
    def tax_minor(self) -> int:
        """The tax of all items."""
        return sum(line.tax_minor for line in self.lines)

    @property
    def net_minor(self) -> int:
        """What the shop earns: without tax and without security deposits."""
        return self.subtotal_minor - self.tax_minor if self.tax.contained else self.subtotal_minor

    @property
    def total_minor(self) -> int:
        """The price with tax, without security deposits."""
        return self.net_minor + self.tax_minor

    @property
    def refundable_minor(self) -> int:
        """The security deposits held for rented items that were not returned yet."""
        return sum(refundable.held_minor for refundable in self.refundables)

    @property
    def to_pay_minor(self) -> int:
        """All that the customer pays: the price, and the security deposits for rented items that were not
        returned yet."""
        return self.total_minor + self.refundable_minor

    @property
    def paid_minor(self) -> int:
        """What was paid so far, less what was refunded."""
        return sum(self.payments)

    @property
    def due_minor(self) -> int:
        """What is still to pay; below 0, it is to be refunded."""
        return self.to_pay_minor - self.paid_minor

    @property
    def balance(self) -> Balance:
        """What is due and what was paid."""
        return Balance(self.due_minor, self.paid_minor)

    @property
    def owing(self) -> PaymentState:
        return self.balance.state

    @property
    def deposit_minor(self) -> int:
        """The part of the total to pay beforehand."""
        return self.deposit.of(self.total_minor)

    @property
    def deposit_due_minor(self) -> int:
        """The part of the deposit that was not paid yet, 0 or more."""
        return max(self.deposit_minor - self.paid_minor, 0)


def _check(title: str, quantity: int, unit_minor: int) -> None:
    """Raises ValueError for a quantity below 1 or a price below 0."""
    if quantity < 1:
        raise ValueError(f"{title}: {quantity} is not at least one")
    if unit_minor < 0:
        raise ValueError(f"{title}: {unit_minor} is negative; give less by a discount")
