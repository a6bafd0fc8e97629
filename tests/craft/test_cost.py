"""What an order costs, worked out by hand and in decimal beside the code."""

from bisect import bisect_left
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.craft.cost import (
    CostLine,
    Margin,
    PackPrice,
    cost_line,
    cost_minor,
    design_price,
    floor_minor,
    least_total,
    per_cubic_metre,
    per_hour,
    spare_count,
)
from app.craft.money import to_decimal
from app.craft.price import Bill, BillItem, Refundable, Tax
from tests.craft.test_money import by_decimal

costs = st.integers(0, 1_000_000)
floors = st.decimals(0, Decimal("99.99"), places=2)
markups = st.decimals(0, 500, places=2)


def up(value):
    return int(value.to_integral_value(ROUND_CEILING))


@pytest.mark.parametrize(
    ("used", "bought", "minor"),
    [
        (7, PackPrice(1_250, 100), 88),  # balloons from a pack of 100: 87.5
        (105, PackPrice(1_250, 100), 1_313),  # and with spares: 1,312.5
        (14.2, per_cubic_metre(9_000), 128),  # litres of gas: 127.8
        (14.2, PackPrice(36_000, 4_000), 128),  # the same from a cylinder of 4,000 litres
        (24, PackPrice(2_400, 320), 180),  # treatment, a bottle for 320 balloons
        (1.15, PackPrice(1_000, 10), 115),  # ribbon, metres of a roll of 10
        (1, PackPrice(1_000, 500), 2),  # ribbon, a metre of a roll of 500
        (3, PackPrice(15), 45),  # bags, each
        (50, per_hour(1_800), 1_500),  # minutes
        (1, PackPrice(8_000, 30), 267),  # a stand that lasts 30 hires: 266.67
        (0, PackPrice(8_000, 30), 0),
    ],
)
def test_a_line_costs_so_much(used, bought, minor):
    """By hand."""
    assert cost_line("line", used, bought) == CostLine("line", minor)


@given(st.decimals(0, 10_000, places=3), costs, st.decimals("0.001", 10_000, places=3))
def test_a_line_agrees_with_decimal(used, price, size):
    with localcontext(prec=60):
        assert cost_line("line", float(used), PackPrice(price, float(size))).minor == by_decimal(
            price * used / size
        )


@given(st.lists(st.tuples(st.integers(0, 500), costs, st.integers(1, 500)), max_size=8))
def test_the_total_is_the_sum_of_the_printed_lines(rows):
    lines = [cost_line("line", used, PackPrice(price, size)) for used, price, size in rows]
    assert cost_minor(lines) == sum(by_decimal(Decimal(price) * used / size) for used, price, size in rows)


@pytest.mark.parametrize(
    ("count", "percent", "more"),
    [(100, "5", 5), (101, "5", 6), (1, "5", 1), (0, "5", 0), (100, "0", 0), (3, "100", 3), (200, "0.5", 1)],
)
def test_spares_are_whole_balloons_rounded_up(count, percent, more):
    assert spare_count(count, Decimal(percent)) == more


@given(st.integers(0, 10_000), st.decimals(0, 200, places=3))
def test_spares_agree_with_decimal(count, percent):
    assert spare_count(count, percent) == up(count * percent / 100)


def test_a_percent_that_binary_makes_a_little_larger_asks_no_balloon_more():
    """As binary floats, 1.1 of each hundred of 1000 is more than 11, and would be 12 balloons."""
    assert 1000 * Fraction(1.1) / 100 > 11
    assert spare_count(1000, to_decimal(1.1)) == 11


def test_the_margin_is_of_the_price_without_tax_and_refundable_deposits():
    bill = Bill((BillItem("arch", 1, 12_000),), tax=Tax(Decimal(20)), refundables=(Refundable("stand", 1, 5_000),))
    margin = Margin(bill.net_minor, 6_000)
    assert (margin.minor, margin.percent) == (4_000, 40)


def test_a_margin_of_nothing_has_no_percent_and_a_loss_has_a_negative_one():
    assert Margin(0, 500).percent is None
    assert Margin(400, 500).percent == -25


@pytest.mark.parametrize(
    ("cost", "floor", "net"),
    [(6_000, "40", 10_000), (6_001, "40", 10_002), (500, "0", 500), (0, "40", 0), (1, "99.99", 10_000)],
)
def test_the_floor_by_hand(cost, floor, net):
    assert floor_minor(cost, Decimal(floor)) == net


@given(st.integers(1, 1_000_000), floors)
def test_the_floor_is_the_least_price_that_leaves_enough(cost, floor):
    net = floor_minor(cost, floor)
    assert Margin(net, cost).percent >= Fraction(floor)
    assert not Margin(net, cost).below(floor)
    assert Margin(net - 1, cost).below(floor)
    assert net == 1 or Margin(net - 1, cost).percent < Fraction(floor)


@given(costs, costs, floors)
def test_below_the_floor_is_what_the_percent_says(net, cost, floor):
    assume(net)
    with localcontext(prec=60):
        assert Margin(net, cost).below(floor) == ((Decimal(net) - cost) * 100 < floor * net)


def test_what_is_given_away_is_below_the_floor_only_when_it_costs_something():
    assert Margin(0, 1).below(Decimal(0))
    assert not Margin(0, 0).below(Decimal(40))


@pytest.mark.parametrize(
    ("cost", "markup", "step", "price"),
    [(1_000, "150", 50, 2_500), (1_001, "150", 50, 2_550), (1_000, "150.01", 1, 2_501), (0, "150", 50, 0)],
)
def test_a_design_price_by_hand(cost, markup, step, price):
    """1,001 with 150 % is 2,502.5; 1,000 with 150.01 % is 2,500.1."""
    assert design_price(cost, Decimal(markup), step) == price


def test_a_design_price_has_room_for_the_tax_that_it_contains():
    assert design_price(1_000, Decimal(150), 50, Tax(Decimal(20))) == 3_000
    assert design_price(1_000, Decimal(150), 50, Tax(Decimal(20), contained=False)) == 2_500


@given(costs, markups, st.integers(1, 1_000), st.sampled_from([Decimal(0), Decimal(20), Decimal("8.875")]))
def test_a_design_price_is_the_first_step_that_is_enough(cost, markup, step, percent):
    price = design_price(cost, markup, step, Tax(percent))
    with localcontext(prec=60):
        enough = cost * (100 + markup) * (100 + percent) / 10_000
    assert price % step == 0
    assert price >= enough > price - step or price == enough == 0


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: PackPrice(-1),
        lambda: PackPrice(100, 0),
        lambda: PackPrice(100, float("nan")),
        lambda: PackPrice(100, float("inf")),
        lambda: cost_line("line", -1, PackPrice(100)),
        lambda: cost_line("line", float("nan"), PackPrice(100)),
        lambda: cost_line("line", float("inf"), PackPrice(100)),
        lambda: spare_count(-1, Decimal(5)),
        lambda: spare_count(1, Decimal(-5)),
        lambda: floor_minor(-1, Decimal(5)),
        lambda: floor_minor(100, Decimal(100)),
        lambda: floor_minor(100, Decimal(-1)),
        lambda: design_price(-1, Decimal(5), 50),
        lambda: design_price(100, Decimal(-5), 50),
        lambda: design_price(100, Decimal(5), 0),
    ],
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError):
        wrong()


rates = st.decimals(0, 100, places=3)
arches = st.lists(st.builds(BillItem, st.just("Arch"), st.integers(1, 9), st.integers(0, 9_999)), min_size=1)


def _dearer(bill, by):
    """The same with one item more of an Arch's price."""
    first, *rest = bill.items
    return replace(bill, items=(BillItem(first.title, 1, first.amount_minor + by), *rest))


@given(arches, rates, st.booleans(), costs, floors)
def test_the_least_total_leaves_the_floor_and_not_much_less_does(items, rate, contained, cost, floor):
    """Against the bill itself: one item is made dearer until it comes to the least total. A tax of at most 100 %
    doubles what is wanting, so three minor units less are at least one too few of the net."""
    bill = Bill(tuple(items), tax=Tax(rate, contained))
    least = least_total(bill, cost, floor)
    if least is None:
        assert not Margin(bill.net_minor, cost).below(floor)
        return
    assert Margin(bill.net_minor, cost).below(floor)
    assert least > bill.total_minor
    prices = range(least - bill.total_minor + 1)
    enough = bisect_left(prices, least, key=lambda by: _dearer(bill, by).total_minor)
    dearer = _dearer(bill, enough)
    assert dearer.total_minor >= least
    assert not Margin(dearer.net_minor, cost).below(floor)
    short = bisect_left(prices, least - 2, key=lambda by: _dearer(bill, by).total_minor) - 1
    if short >= 0:
        assert Margin(_dearer(bill, short).net_minor, cost).below(floor)


def test_the_least_total_by_hand():
    """A cost of 60.00 at a floor of 40 % is 100.00 net, so 120.00 with 20 % tax; the bill leaves 80.00 of 96.00."""
    bill = Bill((BillItem("Arch", 1, 9_600),), tax=Tax(Decimal(20)))
    assert least_total(bill, 6_000, Decimal(40)) == 12_000
    assert least_total(replace(bill, tax=Tax(Decimal(20), contained=False)), 6_000, Decimal(40)) == 12_000
    assert least_total(bill, 4_800, Decimal(40)) is None
