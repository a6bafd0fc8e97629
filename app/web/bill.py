"""A bill as pages and slips show it: what stands below its lines, and what is due in words."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.actions.till import TaxMode, TaxRule
from app.craft.money import Percent
from app.craft.price import Bill, Owing, owing_of
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class ShownRow:
    """sort: less, tax, total or beside, for the style. unit: the amount of one, where there may be several."""

    title: str
    amount: str
    sort: str = "beside"
    unit: str = ""


def rows_below(bill: Bill, rule: TaxRule, formats: Formats) -> tuple[ShownRow, ...]:
    """From the discount to all that is to pay: each total is the sum of what stands above it."""
    return (*_less(bill, formats), *_taxed(bill, rule, formats), *_held(bill, formats))


def _less(bill: Bill, formats: Formats) -> Iterator[ShownRow]:
    if bill.discount_minor:
        share = f" {bill.discount.percent.normalize():f} %" if isinstance(bill.discount, Percent) else ""
        yield ShownRow(f"Discount{share}", formats.money(-bill.discount_minor), "less")


def _taxed(bill: Bill, rule: TaxRule, formats: Formats) -> Iterator[ShownRow]:
    rate = f"{rule.percent:g} %"
    if rule.mode is TaxMode.ON_TOP:
        yield ShownRow("Without tax", formats.money(bill.net_minor), "tax")
        yield ShownRow(f"Tax, {rate}", formats.money(bill.tax_minor), "tax")
    yield ShownRow("Total", formats.money(bill.total_minor), "total")
    if rule.mode is TaxMode.INCLUSIVE:
        yield ShownRow(f"of that tax, {rate}", formats.money(bill.tax_minor), "tax")


def _held(bill: Bill, formats: Formats) -> Iterator[ShownRow]:
    for held in bill.refundables:
        title = f"{held.quantity} × deposit on {held.title}, given back with it"
        yield ShownRow(title, formats.money(held.quantity * held.unit_minor), unit=formats.money(held.unit_minor))
    if bill.refundables:
        yield ShownRow("To pay with deposits", formats.money(bill.to_pay_minor), "total")


def owing_words(due_minor: int, formats: Formats) -> str:
    """“to pay £26.40”, “paid”, “to pay back £5.00”."""
    owing = owing_of(due_minor)
    return str(owing) if owing is Owing.PAID else f"{owing} {formats.money(abs(due_minor))}"
