"""This module shows a bill row by row, so that every sum is the sum of the amounts above it."""

from dataclasses import dataclass
from enum import StrEnum

from app.craft.money import Amount, Percent, typed_percent
from app.craft.price import Bill, BillItem, Refundable
from app.web.formats import Formats


class BillRowRole(StrEnum):
    """What an amount is on a bill: it counts in the sum below it, it is that sum, or it is only information."""

    ADDEND = "counts"
    SUM = "sum"
    INFO = "aside"


@dataclass(frozen=True, slots=True)
class BillRow:
    """A row of a bill. key: what the row is, the same in every language."""

    key: str
    title: str
    minor: int
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
    rows = (*items, *rows_below(bill, formats), *_deposit(bill, formats))
    return ShownBill(rows, formats.money(bill.total_minor), _discount_too_large(bill, formats))


def rows_below(bill: Bill, formats: Formats) -> tuple[BillRow, ...]:
    """Returns the rows below the items, from the discount to all that is to be paid."""
    return (*_discount(bill, formats), *_total(bill, formats), *_security_deposits(bill, formats))


def _item(item: BillItem, formats: Formats) -> BillRow:
    each = f"at {formats.money(item.unit_minor)}" if item.quantity > 1 else ""
    title = f"{item.quantity} × {item.title}"
    return _row("item", title, item.amount_minor, BillRowRole.ADDEND, formats, each)


def _row(key: str, title: str, minor: int, role: BillRowRole, formats: Formats, note: str = "") -> BillRow:
    return BillRow(key, title, minor, formats.money(minor), role, note)


def _discount(bill: Bill, formats: Formats) -> list[BillRow]:
    if not bill.discount_minor:
        return []
    share = typed_percent(bill.discount.percent) if isinstance(bill.discount, Percent) else ""
    return [_row("discount", "Discount", -bill.discount_minor, BillRowRole.ADDEND, formats, share)]


def _total(bill: Bill, formats: Formats) -> list[BillRow]:
    total = _row("total", "Total", bill.total_minor, BillRowRole.SUM, formats)
    if not bill.tax.percent:
        return [total]
    rate = typed_percent(bill.tax.percent)
    if bill.tax.contained:
        return [total, _row("tax", f"Tax {rate}, included", bill.tax_minor, BillRowRole.INFO, formats)]
    before = _row("before-tax", "Total before tax", bill.subtotal_minor, BillRowRole.SUM, formats)
    return [before, _row("tax", f"Tax {rate}", bill.tax_minor, BillRowRole.ADDEND, formats), total]


def _security_deposits(bill: Bill, formats: Formats) -> list[BillRow]:
    rentals = [_rented(one, formats) for one in bill.refundables]
    with_deposits = _row("to-pay", "Total with security deposits", bill.to_pay_minor, BillRowRole.SUM, formats)
    return [*rentals, with_deposits] if rentals else []


def _deposit(bill: Bill, formats: Formats) -> list[BillRow]:
    """Returns the row of the deposit, which is to be paid beforehand, if there is one."""
    title = "Deposit to pay now, part of the total"
    return [_row("deposit", title, bill.deposit_minor, BillRowRole.INFO, formats)] if bill.deposit_minor else []


def _rented(one: Refundable, formats: Formats) -> BillRow:
    title = f"Security deposit on {one.quantity} × {one.title}"
    return _row("security-deposit", title, one.held_minor, BillRowRole.ADDEND, formats, "refundable")


def _discount_too_large(bill: Bill, formats: Formats) -> str:
    """Returns a sentence when the discount is more than the items cost, else ''."""
    discount = bill.discount
    if not isinstance(discount, Amount) or discount.minor <= bill.items_minor:
        return ""
    return (
        f"The discount of {formats.money(discount.minor)} is more than the items cost."
        f" Only {formats.money(bill.discount_minor)} is taken off."
    )
