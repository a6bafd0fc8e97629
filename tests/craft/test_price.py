"""What the customer pays, beside published examples and beside the same sums in decimal."""

from dataclasses import replace
from decimal import Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.money import Amount, Percent
from app.craft.price import Bill, BillItem, PaymentState, Refundable, Tax
from tests.craft.test_money import by_decimal, minor, percents

items = st.lists(
    st.builds(BillItem, st.just("balloon"), st.integers(1, 50), st.integers(0, 20_000), st.booleans()), max_size=6
).map(tuple)
discounts = st.builds(Percent, percents) | st.builds(Amount, st.integers(0, 100_000))
taxes = st.builds(Tax, percents, st.booleans())
refundables = st.lists(
    st.builds(Refundable, st.just("stand"), st.integers(2, 5), st.integers(0, 5_000), st.integers(0, 2)), max_size=3
).map(tuple)
payments = st.lists(st.integers(-50_000, 50_000), max_size=5).map(tuple)
bills = st.builds(Bill, items, discounts, taxes, discounts, refundables, payments)

ARCH = BillItem("arch", 1, 12_000)
BOUQUETS = BillItem("bouquet", 3, 1_995)
CARDS = BillItem("card", 2, 250, taxed=False)


def test_the_example_of_new_zealands_inland_revenue():
    """Source: Inland Revenue, “Calculating GST” (Tax changes – Budget 2010, 16 Aug 2010), read as stored from
    ird.govt.nz/changes-2010/gst/businesses/calculating: $1,500.00 at 15 % is $225.00, together $1,725.00; and back,
    $1,725.00 × 3 ÷ 23 is $225.00.
    """
    on_top = Bill((BillItem("goods", 1, 150_000),), tax=Tax(Decimal(15), contained=False))
    assert (on_top.tax_minor, on_top.total_minor) == (22_500, 172_500)
    contained = Bill((BillItem("goods", 1, 172_500),), tax=Tax(Decimal(15)))
    assert (contained.tax_minor, contained.net_minor, contained.total_minor) == (22_500, 150_000, 172_500)


@pytest.mark.parametrize(("percent", "tax"), [(20, 2_000), (5, 500)])
def test_the_examples_of_the_united_kingdoms_revenue(percent, tax):
    """Source: HM Revenue & Customs, “Calculating VAT for VAT-inclusive and VAT-exclusive prices”, read as stored
    from hmrc.gov.uk/vat/forms-rates/rates/calculating.htm: £100 and 20 % is £120, £100 and 5 % is £105. The way
    back is the same example turned round.
    """
    assert Tax(Decimal(percent), contained=False).of(10_000) == tax
    assert Tax(Decimal(percent)).of(10_000 + tax) == tax


@pytest.mark.parametrize(("price", "tax"), [(4, 0), (5, 1), (14, 1), (15, 2), (25, 3)])
def test_half_a_cent_of_tax_goes_up(price, tax):
    """Source: A New Tax System (Goods and Services Tax) Act 1999 (Australia), s 9-90(1), read as stored from
    ato.gov.au: “rounded to the nearest cent (rounding 0.5 cents upwards)”; its rate is 10 %.
    """
    assert Tax(Decimal(10), contained=False).of(price) == tax


@pytest.mark.parametrize(("price", "tax"), [(2, 0), (3, 1), (9, 2), (15, 3)])
def test_half_a_cent_of_contained_tax_goes_up_too(price, tax):
    """By hand: a sixth of 3, 9 and 15 is 0.5, 1.5 and 2.5."""
    assert Tax(Decimal(20)).of(price) == tax


def test_a_bill_by_hand():
    """20 % contained, 10 % off 18,485: 1,849 (of 1,848.5), shared 1,200.3 : 598.7 : 50.01 as 1,200, 599 and 50."""
    bill = Bill((ARCH, BOUQUETS, CARDS), Percent(Decimal(10)), Tax(Decimal(20)))
    assert (bill.items_minor, bill.discount_minor, bill.subtotal_minor) == (18_485, 1_849, 16_636)
    assert [line.off_minor for line in bill.lines] == [1_200, 599, 50]
    assert [line.tax_minor for line in bill.lines] == [1_800, 898, 0]
    assert (bill.net_minor, bill.tax_minor, bill.total_minor) == (13_938, 2_698, 16_636)


def test_the_same_bill_with_its_tax_on_top():
    bill = Bill((ARCH, BOUQUETS, CARDS), Percent(Decimal(10)), Tax(Decimal("8.875"), contained=False))
    assert [line.tax_minor for line in bill.lines] == [959, 478, 0]
    assert (bill.net_minor, bill.tax_minor, bill.total_minor) == (16_636, 1_437, 18_073)


def test_tax_is_the_sum_of_the_lines_taxes_and_not_the_tax_of_the_sum():
    tax = Tax(Decimal(10), contained=False)
    assert Bill((BillItem("a", 1, 5), BillItem("b", 1, 5)), tax=tax).tax_minor == 2
    assert tax.of(10) == 1


@given(minor, percents, st.booleans())
def test_the_tax_of_a_line_agrees_with_decimal(price, percent, contained):
    with localcontext(prec=60):
        expected = price * percent / (100 + percent) if contained else price * percent / 100
        assert Tax(percent, contained).of(price) == by_decimal(expected)


@given(minor, percents)
def test_a_tax_put_on_top_is_found_again_in_the_price(net, percent):
    tax = Tax(percent, contained=False).of(net)
    assert Tax(percent, contained=True).of(net + tax) == tax


@given(minor, minor, taxes)
def test_a_higher_price_never_has_a_lower_tax(one, other, tax):
    low, high = sorted((one, other))
    assert tax.of(low) <= tax.of(high)
    assert low - tax.of(low) <= high - tax.of(high)


@given(items.filter(len), taxes, st.integers(0, 5_000))
def test_a_dearer_item_never_lowers_the_tax_or_the_net_of_a_bill_without_discount(items, tax, more):
    dearer = (replace(items[0], unit_minor=items[0].unit_minor + more), *items[1:])
    before, after = Bill(items, tax=tax), Bill(dearer, tax=tax)
    assert before.tax_minor <= after.tax_minor
    assert before.net_minor <= after.net_minor


@given(bills)
def test_every_total_is_the_sum_of_what_is_printed(bill):
    lines = bill.lines
    assert sum(line.off_minor for line in lines) == bill.discount_minor <= bill.items_minor
    assert sum(line.item.amount_minor - line.off_minor for line in lines) == bill.subtotal_minor
    assert sum(line.tax_minor for line in lines) == bill.tax_minor
    assert sum(line.net_minor for line in lines) == bill.net_minor
    assert sum(line.gross_minor for line in lines) == bill.total_minor == bill.net_minor + bill.tax_minor
    assert bill.total_minor == bill.subtotal_minor + (0 if bill.tax.contained else bill.tax_minor)


@given(bills)
def test_no_line_is_negative_and_untaxed_items_bear_no_tax(bill):
    for line in bill.lines:
        assert min(line.off_minor, line.tax_minor, line.net_minor) >= 0
        assert line.item.taxed or line.tax_minor == 0
        assert line.off_minor <= line.item.amount_minor


@given(bills)
def test_the_bill_agrees_with_decimal(bill):
    """All but the sharing out of the discount, which has its own test."""
    rate, tax, printed = bill.tax.percent, 0, 0
    with localcontext(prec=60):
        for line in bill.lines:
            left = Decimal(line.item.quantity) * line.item.unit_minor - line.off_minor
            printed += left
            if line.item.taxed:
                tax += by_decimal(left * rate / (100 + rate if bill.tax.contained else 100))
    assert bill.tax_minor == tax
    assert bill.total_minor == printed + (0 if bill.tax.contained else tax)


@given(bills)
def test_a_discount_of_everything_leaves_nothing_to_pay(bill):
    free = replace(bill, discount=Percent(Decimal(100)))
    assert (free.total_minor, free.tax_minor, free.deposit_minor) == (0, 0, 0)


@given(bills)
def test_who_pays_everything_and_gets_everything_back_owes_it_all_again(bill):
    paid = replace(bill, payments=(*bill.payments, bill.due_minor))
    assert (paid.due_minor, paid.owing) == (0, PaymentState.PAID)
    back = replace(paid, payments=(*paid.payments, -paid.paid_minor))
    assert back.due_minor == back.to_pay_minor == bill.total_minor + bill.refundable_minor


@given(bills)
def test_the_words_say_which_way_the_money_goes(bill):
    sign = (bill.due_minor > 0) - (bill.due_minor < 0)
    to_pay = PaymentState.PART_PAID if bill.paid_minor > 0 else PaymentState.TO_PAY
    assert bill.owing == {1: to_pay, 0: PaymentState.PAID, -1: PaymentState.TO_REFUND}[sign]


@pytest.mark.parametrize(
    ("deposit", "asked"), [(Percent(Decimal(50)), 3_993), (Amount(2_000), 2_000), (Amount(9_000), 7_985)]
)
def test_a_deposit_is_asked_of_the_total_and_is_never_more(deposit, asked):
    """Half of 7,985 is 3,992.5."""
    bill = Bill(
        (BOUQUETS, BillItem("foil", 1, 2_000)), deposit=deposit, refundables=(Refundable("stand", 1, 4_000),)
    )
    assert (bill.total_minor, bill.deposit_minor, bill.deposit_due_minor) == (7_985, asked, asked)
    part_paid = replace(bill, payments=(1_500, -500))
    assert part_paid.deposit_due_minor == asked - 1_000
    assert replace(bill, payments=(9_999,)).deposit_due_minor == 0


def test_what_hired_goods_hold_is_neither_taxed_nor_price_and_goes_back_with_them():
    stands = Refundable("stand", 2, 4_000)
    bill = Bill((ARCH,), tax=Tax(Decimal(20)), refundables=(stands,), payments=(20_000,))
    assert (bill.total_minor, bill.tax_minor, bill.net_minor) == (12_000, 2_000, 10_000)
    assert (bill.refundable_minor, bill.to_pay_minor, bill.due_minor) == (8_000, 20_000, 0)
    one_back = replace(bill, refundables=(replace(stands, returned=1),))
    assert (one_back.due_minor, one_back.owing) == (-4_000, PaymentState.TO_REFUND)
    assert replace(one_back, payments=(20_000, -4_000)).owing is PaymentState.PAID


@given(st.integers(0, 1_000_000), taxes)
def test_what_is_asked_for_a_net_price_leaves_it(net, tax):
    """To within the rounding of the price to whole minor units."""
    price = round(tax.printed_price(Fraction(net)))
    assert abs(Bill((BillItem("design", 1, price),), tax=tax).net_minor - net) <= 1


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: BillItem("arch", 0, 100),
        lambda: BillItem("arch", -1, 100),
        lambda: BillItem("arch", 1, -1),
        lambda: Refundable("stand", 0, 100),
        lambda: Refundable("stand", 1, -100),
        lambda: Refundable("stand", 1, 100, returned=2),
        lambda: Refundable("stand", 1, 100, returned=-1),
        lambda: Tax(Decimal(-1)),
        lambda: Tax(Decimal(8_875)),
    ],
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError):
        wrong()


def test_an_empty_bill_is_paid():
    assert (Bill(()).total_minor, Bill(()).lines, Bill(()).owing) == (0, (), PaymentState.PAID)
