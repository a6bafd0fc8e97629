"""The words of a bill and of a balance."""

from decimal import Decimal

from app.craft.money import Amount, Percent
from app.craft.price import Bill, BillItem, Refundable, Tax
from app.web.bill import describe_balance, show_bill
from app.web.formats import Formats

FORMATS = Formats(None, False, False, False, "£", 2)
FULL = Bill(
    (BillItem("11 in latex", 24, 110),),
    Percent(Decimal(10)),
    Tax(Decimal(20), contained=False),
    Percent(Decimal(50)),
    (Refundable("Arch stand", 2, 3000),),
)


def test_a_balance_is_to_pay_paid_or_to_refund():
    balances = [describe_balance(minor, FORMATS) for minor in (2640, 0, -500)]
    assert balances == ["to pay £26.40", "paid", "to refund £5.00"]


def test_the_titles_and_notes_of_a_bill():
    assert [(row.title, row.note) for row in show_bill(FULL, FORMATS).rows] == [
        ("24 × 11 in latex", "at £1.10"),
        ("Discount", "10%"),
        ("Total before tax", ""),
        ("Tax 20%", ""),
        ("Total", ""),
        ("Security deposit on 2 × Arch stand", "refundable"),
        ("Total with security deposits", ""),
        ("Deposit to pay now, part of the total", ""),
    ]


def test_a_discount_larger_than_the_items_is_said():
    shown = show_bill(Bill((BillItem("Delivery", 1, 1500),), Amount(2000)), FORMATS)
    assert shown.capped == "The discount of £20.00 is more than the items cost. Only £15.00 is taken off."
