"""This module shows a bill row by row, so that every sum is the sum of the amounts above it."""

from dataclasses import dataclass
from enum import StrEnum

from app.craft.money import Amount, Percent, typed_percent
from app.craft.price import Bill, BillItem, PaymentState, Refundable, payment_state_of
from app.web.formats import Formats


class BillRowRole(StrEnum):
    """What an amount is on a bill: it counts in the sum below it, it is that sum, or it is only information."""

    ADDEND = "counts"
    SUM = "sum"
    INFO = "aside"


@dataclass(frozen=True, slots=True)
class BillRow:
    """A row of a bill."""

    title: str
    amount: str
    role: BillRowRole
    note: str = ""


@dataclass(frozen=True, slots=True)
class ShownBill:
    """A bill as the pages show it. capped: a sentence when the discount is more than the items cost."""

    rows: tuple[BillRow, ...]
    total: str
    capped: str


def show_bill(bill: Bill, formats: Formats) -> ShownBill:
    """Returns the rows of a bill, its total, and what is wrong with its discount."""
    items = tuple(_item(item, formats) for item in bill.items)
    rows = (*items, *rows_below(bill, formats), *_deposit_beforehand(bill, formats))
    return ShownBill(rows, formats.money(bill.total_minor), _discount_too_large(bill, formats))


def rows_below(bill: Bill, formats: Formats) -> tuple[BillRow, ...]:
    """Returns the rows below the items, from the discount to all that is to be paid."""
    return (*_discount(bill, formats), *_total(bill, formats), *_rental_deposits(bill, formats))


def _item(item: BillItem, formats: Formats) -> BillRow:
    each = f"at {formats.money(item.unit_minor)}" if item.quantity > 1 else ""
    return BillRow(f"{item.quantity} × {item.title}", formats.money(item.amount_minor), BillRowRole.ADDEND, each)


def _discount(bill: Bill, formats: Formats) -> list[BillRow]:
    if not bill.discount_minor:
        return []
    share = typed_percent(bill.discount.percent) if isinstance(bill.discount, Percent) else ""
    return [BillRow("Discount", formats.money(-bill.discount_minor), BillRowRole.ADDEND, share)]


def _total(bill: Bill, formats: Formats) -> list[BillRow]:
    total = BillRow("Total", formats.money(bill.total_minor), BillRowRole.SUM)
    if not bill.tax.percent:
        return [total]
    rate, tax = typed_percent(bill.tax.percent), formats.money(bill.tax_minor)
    if bill.tax.contained:
        return [total, BillRow(f"of which tax {rate}", tax, BillRowRole.INFO)]
    before = BillRow("Without tax", formats.money(bill.subtotal_minor), BillRowRole.SUM)
    return [before, BillRow(f"+ tax {rate}", tax, BillRowRole.ADDEND), total]


def _rental_deposits(bill: Bill, formats: Formats) -> list[BillRow]:
    rentals = [_rented(one, formats) for one in bill.refundables]
    in_all = BillRow("To pay in all", formats.money(bill.to_pay_minor), BillRowRole.SUM)
    return [*rentals, in_all] if rentals else []


def _deposit_beforehand(bill: Bill, formats: Formats) -> list[BillRow]:
    """Returns the row of the deposit that is to be paid beforehand, if there is one."""
    asked = BillRow("Deposit asked now, of the total", formats.money(bill.deposit_minor), BillRowRole.INFO)
    return [asked] if bill.deposit_minor else []


def _rented(one: Refundable, formats: Formats) -> BillRow:
    title = f"Deposit on {one.quantity} × {one.title}"
    return BillRow(title, formats.money(one.held_minor), BillRowRole.ADDEND, "to be given back")


def _discount_too_large(bill: Bill, formats: Formats) -> str:
    """Returns a sentence when the discount is more than the items cost, else ''."""
    wanted = bill.discount
    if not isinstance(wanted, Amount) or wanted.minor <= bill.items_minor:
        return ""
    return (
        f"A discount of {formats.money(wanted.minor)} is more than all there is:"
        f" it takes off {formats.money(bill.discount_minor)}."
    )


def describe_balance(due_minor: int, formats: Formats) -> str:
    """Returns “to pay £26.40”, “paid”, or “to pay back £5.00”."""
    owing = payment_state_of(due_minor)
    return str(owing) if owing is PaymentState.PAID else f"{owing} {formats.money(abs(due_minor))}"
