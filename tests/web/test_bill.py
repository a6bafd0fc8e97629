"""Every sum that is printed is that of the amounts printed above it."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from app.craft.money import Amount, Percent
from app.craft.price import Bill, BillItem, Refundable, Tax
from app.web.bill import BillRowRole, show_bill
from app.web.formats import Formats

amounts = st.integers(0, 100_000)
percents = st.decimals(0, 100, places=3)
portions = st.one_of(st.builds(Amount, amounts), st.builds(Percent, percents))
items = st.lists(st.builds(BillItem, st.just("Bear"), st.integers(1, 50), amounts), min_size=1, max_size=6)
rentals = st.lists(st.builds(Refundable, st.just("Stand"), st.integers(1, 5), amounts), max_size=2)
bills = st.builds(
    Bill, items.map(tuple), portions, st.builds(Tax, percents, st.booleans()), portions, rentals.map(tuple)
)


def _formats(decimals=2):
    return Formats(None, False, False, False, "£", decimals)


def _read(amount):
    return Decimal(amount.replace("£", "").replace(",", "").replace("−", "-"))


@given(bills, st.sampled_from([0, 2, 3]))
def test_every_printed_sum_is_that_of_what_is_printed_above_it(bill, decimals):
    shown, running = show_bill(bill, _formats(decimals)), Decimal(0)
    for row in shown.rows:
        if row.role is BillRowRole.ADDEND:
            running += _read(row.amount)
        elif row.role is BillRowRole.SUM:
            assert _read(row.amount) == running
    sums = [_read(row.amount) for row in shown.rows if row.role is BillRowRole.SUM]
    assert sums[-1] == Decimal(bill.to_pay_minor).scaleb(-decimals)
    assert _read(shown.total) in sums


@given(bills)
def test_a_tax_that_is_contained_counts_in_no_sum(bill):
    infos = [row.key for row in show_bill(bill, _formats()).rows if row.role is BillRowRole.INFO]
    assert ("tax" in infos) is bool(bill.tax.contained and bill.tax.percent)


FULL = Bill(
    (BillItem("11 in latex", 24, 110), BillItem("Delivery", 1, 1500)),
    Percent(Decimal("10")),
    Tax(Decimal("20"), contained=False),
    Percent(Decimal("50")),
    (Refundable("Arch stand", 2, 3000),),
)


def _rows(bill):
    return [(row.key, row.minor) for row in show_bill(bill, _formats()).rows]


def test_a_bill_with_everything_on_it():
    """By hand: 24 × 1.10 = 26.40 and 15.00, less 10%; the 20% of 23.76 and of 13.50 are 4.75 and 2.70."""
    assert _rows(FULL) == [
        ("item", 2640),
        ("item", 1500),
        ("discount", -414),
        ("before-tax", 3726),
        ("tax", 745),
        ("total", 4471),
        ("security-deposit", 6000),
        ("to-pay", 10_471),
        ("deposit", 2236),
    ]


def test_without_tax_discount_or_deposit_there_is_only_the_total():
    assert _rows(Bill(FULL.items[1:])) == [("item", 1500), ("total", 1500)]


def test_a_discount_that_is_more_than_all_there_is_says_so():
    shown = show_bill(Bill(FULL.items[1:], Amount(2000)), _formats())
    assert all(_formats().money(minor) in shown.capped for minor in (2000, 1500))
    assert show_bill(Bill(FULL.items[1:], Amount(1500)), _formats()).capped == ""
