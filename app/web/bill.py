"""A bill as people read it: every sum is that of the amounts above it."""

from dataclasses import dataclass
from enum import StrEnum

from app.craft.money import Amount, Percent, typed_percent
from app.craft.price import Bill, BillItem, Owing, Refundable, owing_of
from app.web.formats import Formats


class Weighs(StrEnum):
    """What an amount does to the sum below it: it counts, it is that sum, or it only says something."""

    COUNTS = "counts"
    SUM = "sum"
    ASIDE = "aside"


@dataclass(frozen=True, slots=True)
class BillRow:
    title: str
    amount: str
    weighs: Weighs
    note: str = ""


@dataclass(frozen=True, slots=True)
class ShownBill:
    """capped: a sentence where the discount is more than there is to take off."""

    rows: tuple[BillRow, ...]
    total: str
    capped: str


def show_bill(bill: Bill, formats: Formats) -> ShownBill:
    items = tuple(_item(item, formats) for item in bill.items)
    rows = (*items, *rows_below(bill, formats), *_asked(bill, formats))
    return ShownBill(rows, formats.money(bill.total_minor), _capped(bill, formats))


def rows_below(bill: Bill, formats: Formats) -> tuple[BillRow, ...]:
    """From the discount to all that is to pay."""
    return (*_discount(bill, formats), *_total(bill, formats), *_held(bill, formats))


def _item(item: BillItem, formats: Formats) -> BillRow:
    each = f"at {formats.money(item.unit_minor)}" if item.quantity > 1 else ""
    return BillRow(f"{item.quantity} × {item.title}", formats.money(item.amount_minor), Weighs.COUNTS, each)


def _discount(bill: Bill, formats: Formats) -> list[BillRow]:
    if not bill.discount_minor:
        return []
    share = typed_percent(bill.discount.percent) if isinstance(bill.discount, Percent) else ""
    return [BillRow("Discount", formats.money(-bill.discount_minor), Weighs.COUNTS, share)]


def _total(bill: Bill, formats: Formats) -> list[BillRow]:
    total = BillRow("Total", formats.money(bill.total_minor), Weighs.SUM)
    if not bill.tax.percent:
        return [total]
    rate, tax = typed_percent(bill.tax.percent), formats.money(bill.tax_minor)
    if bill.tax.contained:
        return [total, BillRow(f"of which tax {rate}", tax, Weighs.ASIDE)]
    before = BillRow("Without tax", formats.money(bill.subtotal_minor), Weighs.SUM)
    return [before, BillRow(f"+ tax {rate}", tax, Weighs.COUNTS), total]


def _held(bill: Bill, formats: Formats) -> list[BillRow]:
    rentals = [_rented(one, formats) for one in bill.refundables]
    in_all = BillRow("To pay in all", formats.money(bill.to_pay_minor), Weighs.SUM)
    return [*rentals, in_all] if rentals else []


def _asked(bill: Bill, formats: Formats) -> list[BillRow]:
    asked = BillRow("Deposit asked now, of the total", formats.money(bill.deposit_minor), Weighs.ASIDE)
    return [asked] if bill.deposit_minor else []


def _rented(one: Refundable, formats: Formats) -> BillRow:
    title = f"Deposit on {one.quantity} × {one.title}"
    return BillRow(title, formats.money(one.held_minor), Weighs.COUNTS, "to be given back")


def _capped(bill: Bill, formats: Formats) -> str:
    wanted = bill.discount
    if not isinstance(wanted, Amount) or wanted.minor <= bill.items_minor:
        return ""
    return (
        f"A discount of {formats.money(wanted.minor)} is more than all there is:"
        f" it takes off {formats.money(bill.discount_minor)}."
    )


def owing_words(due_minor: int, formats: Formats) -> str:
    """“to pay £26.40”, “paid”, “to pay back £5.00”."""
    owing = owing_of(due_minor)
    return str(owing) if owing is Owing.PAID else f"{owing} {formats.money(abs(due_minor))}"
