"""The words of a bill and of a balance."""

from decimal import Decimal

import pytest

from app.craft.money import Amount, Percent
from app.craft.price import Balance, Bill, BillItem, Refundable, Tax
from app.web.bill import show_bill
from app.web.formats import Formats
from app.web.wording.bill import balance_words, low_price_words, money_words, surplus_question

FORMATS = Formats(None, False, False, False, "£", 2)
FULL = Bill(
    (BillItem("11 in latex", 24, 110),),
    Percent(Decimal(10)),
    Tax(Decimal(20), contained=False),
    Percent(Decimal(50)),
    (Refundable("Arch stand", 2, 3000),),
)


@pytest.mark.parametrize(
    ("balance", "said"),
    [
        (Balance(2640, 0), "to pay £26.40"),
        (Balance(1640, 1000), "part paid, £16.40 to pay"),
        (Balance(0, 2640), "paid"),
        (Balance(-500, 3140), "to refund £5.00"),
        (Balance(0, 0, True), "cancelled, nothing to pay or refund"),
        (Balance(-1000, 1000, True), "cancelled, to refund £10.00"),
        (Balance(-600, 1000, True, 400), "cancelled, to refund £6.00, fee of £4.00 kept"),
        (Balance(0, 400, True, 400), "cancelled, fee of £4.00 kept"),
        (Balance(400, 0, True, 400), "cancelled, fee of £4.00 to pay"),
        (Balance(300, 100, True, 400), "cancelled, £3.00 of the fee of £4.00 to pay"),
        (Balance(0, 0, is_not_made=True), "not made, nothing to pay or refund"),
        (Balance(-1000, 1000, is_not_made=True), "not made, to refund £10.00"),
    ],
)
def test_a_balance_says_what_was_paid_and_who_owes_whom(balance, said):
    assert balance_words(balance, FORMATS) == said
    assert money_words(balance, FORMATS).lower() == said.removeprefix("cancelled, ").removeprefix("not made, ")


def test_a_list_price_that_is_too_low_says_what_to_charge():
    said = low_price_words(145, FORMATS)
    assert said == "Price too low: charge at least £1.45."


def test_more_than_is_due_is_asked_about():
    said = surplus_question(500_000, 3840, FORMATS)
    assert said == "£5,000.00 is £4,961.60 more than is due. Save it anyway?"
    said = surplus_question(500, 0, FORMATS)
    assert said == "Nothing is due, but £5.00 was entered. Save it anyway?"


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
