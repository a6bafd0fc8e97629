"""Rounding, percents and sharing, each beside another way to work it out."""

import itertools
from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.money import Amount, Percent, half_up, percent_as_fraction, split_in_proportion, to_decimal

minor = st.integers(0, 10_000_000)
percents = st.decimals(0, 100, places=4)
sizes = st.lists(st.integers(0, 100_000), min_size=1, max_size=8)


def by_decimal(value):
    """The library's own half up, which also goes away from zero."""
    return int(value.quantize(Decimal(1), rounding=ROUND_HALF_UP))


@pytest.mark.parametrize(
    ("of", "rounded"), [("0.4999", 0), ("0.5", 1), ("1.5", 2), ("2.5", 3), ("-0.5", -1), ("-2.5", -3), ("-2.4", -2)]
)
def test_a_half_goes_away_from_zero(of, rounded):
    assert half_up(Fraction(of)) == rounded == by_decimal(Decimal(of))


@given(st.decimals(-1_000_000, 1_000_000, places=3))
def test_rounding_agrees_with_decimal_and_mirrors(value):
    assert half_up(Fraction(value)) == by_decimal(value) == -half_up(-Fraction(value))


@pytest.mark.parametrize("written", ["20", "8.875", "8.1875", "0.1", "17.5", "0.0000001"])
def test_a_float_becomes_the_number_that_was_written(written):
    assert to_decimal(float(written)) == Decimal(written)


def test_a_float_that_is_just_below_a_half_in_binary_still_rounds_up():
    """1.15 is less than 115/100 as a binary float: 1.15 % of 1000 would be 11.499…"""
    assert half_up(1000 * Fraction(1.15) / 100) == 11
    assert Percent(to_decimal(1.15)).of(1000) == 12


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_refused(number):
    with pytest.raises(ValueError):
        to_decimal(number)


@pytest.mark.parametrize("percent", [Decimal("-0.01"), Decimal("100.01"), Decimal("NaN"), Decimal("Infinity")])
def test_a_percent_lies_between_none_and_all(percent):
    with pytest.raises(ValueError):
        Percent(percent)


def test_a_float_is_no_percent():
    with pytest.raises(TypeError):
        percent_as_fraction(8.875)


def test_only_a_markup_may_be_more_than_all():
    assert percent_as_fraction(Decimal(250), most=None) == Fraction(5, 2)
    with pytest.raises(ValueError):
        percent_as_fraction(Decimal(250))


@given(minor, percents)
def test_a_percent_agrees_with_decimal(of, percent):
    with localcontext(prec=60):
        assert Percent(percent).of(of) == by_decimal(of * percent / 100)
    assert 0 <= Percent(percent).of(of) <= of


def test_an_amount_is_never_more_than_there_is():
    assert [Amount(500).of(of) for of in (700, 500, 300, 0)] == [500, 500, 300, 0]
    with pytest.raises(ValueError):
        Amount(-1)


@given(sizes, st.data())
def test_shares_add_up_and_none_is_larger_than_its_size(sizes, data):
    shared = data.draw(st.integers(0, sum(sizes)))
    shares = split_in_proportion(shared, sizes)
    assert sum(shares) == shared
    for share, size in zip(shares, sizes, strict=True):
        assert 0 <= share <= size
        assert abs(share * sum(sizes) - shared * size) < max(sum(sizes), 1)


@given(st.lists(st.integers(0, 6), min_size=1, max_size=4), st.data())
def test_no_other_shares_come_nearer_to_the_proportion(sizes, data):
    """Largest remainder is the split with the least squares; found here by trying every one."""
    shared = data.draw(st.integers(0, sum(sizes)))

    def misses(shares):
        return sum((share * sum(sizes) - shared * size) ** 2 for share, size in zip(shares, sizes, strict=True))

    every = itertools.product(*(range(size + 1) for size in sizes))
    assert misses(split_in_proportion(shared, sizes)) == min(
        misses(shares) for shares in every if sum(shares) == shared
    )


def test_a_tie_goes_to_the_earlier():
    assert split_in_proportion(100, [100, 100, 100]) == (34, 33, 33)
    assert split_in_proportion(1, [5, 5]) == (1, 0)
    assert split_in_proportion(0, []) == ()


@pytest.mark.parametrize(("shared", "sizes"), [(-1, [5]), (6, [5]), (1, []), (1, [0, 0]), (1, [5, -1])])
def test_what_cannot_be_shared_out_is_refused(shared, sizes):
    with pytest.raises(ValueError):
        split_in_proportion(shared, sizes)
