"""Bags: girth, circles beside each other, and how few bags do."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.bagging import Bag, BagDefaults, FitsNoBag, bag_up, pieces_side_by_side, pieces_that_fit
from tests.numbers_in import numbers_in

DEFAULTS = BagDefaults()
# Least width of a circle round n circles of width 1; published: Kravitz, Math. Magazine 40, 65 (1967), from memory
ROUND = {
    1: 1.0,
    2: 2.0,
    3: 1 + 2 / math.sqrt(3),
    4: 1 + math.sqrt(2),
    5: 1 + math.sqrt(2 * (1 + 1 / math.sqrt(5))),
    7: 3.0,
    8: 1 + 1 / math.sin(math.pi / 7),
    9: 1 + math.sqrt(2 * (2 + math.sqrt(2))),
}


@pytest.mark.parametrize("flat", [30.0, 90.0, 160.0])
def test_a_flat_tube_opens_to_a_circle_of_its_girth(flat):
    """Source: geometry. Twice the flat width goes round."""
    assert math.pi * Bag("bag", flat, 100).opens_cm == pytest.approx(2 * flat)


@pytest.mark.parametrize("pieces", ROUND)
def test_so_many_go_beside_each_other(pieces):
    width = 28.0
    assert pieces_side_by_side(ROUND[pieces] * width, width) == pieces
    assert pieces_side_by_side(ROUND[pieces] * width * 0.999, width) < pieces


@given(st.floats(0.2, 40.0))
def test_never_more_than_have_room_by_area(ratio):
    assert pieces_side_by_side(ratio * 28.0, 28.0) <= ratio**2 + 1e-6


@given(st.floats(1.0, 300.0), st.floats(0.0, 100.0), st.floats(1.0, 100.0))
def test_a_wider_bag_never_holds_fewer(opens, more, width):
    assert pieces_side_by_side(opens, width) <= pieces_side_by_side(opens + more, width)


def test_a_bag_is_filled_in_layers_up_to_where_it_is_closed():
    """By hand: a bag 120 cm flat opens to 76.4 cm, 2.7 times 28 cm: five. 160 cm of 180 are left: three layers."""
    bag = Bag("large", 120, 180)
    assert pieces_that_fit(bag, 28, 50, DEFAULTS) == 5 * 3
    assert pieces_that_fit(bag, 28, 54, DEFAULTS) == 5 * 2
    assert pieces_that_fit(bag, 28, 30, BagDefaults(most_layers=1)) == 5
    assert pieces_that_fit(bag, 28, 161, DEFAULTS) == pieces_that_fit(bag, 77, 50, DEFAULTS) == 0


def test_the_fewest_bags_and_then_the_least_film():
    small, large = Bag("small", 90, 120), Bag("large", 120, 180)
    defaults = BagDefaults((large, small), most_layers=1)
    assert (pieces_that_fit(small, 28, 80, defaults), pieces_that_fit(large, 28, 80, defaults)) == (2, 5)
    assert bag_up(2, 28, 80, defaults).bag is small
    assert bag_up(3, 28, 80, defaults).bag is large
    shared = bag_up(12, 28, 80, defaults)
    assert (shared.bag, shared.pieces_by_bag, shared.bags) == (large, (4, 4, 4), 3)
    assert bag_up(13, 28, 80, defaults).pieces_by_bag == (5, 4, 4)


@given(st.integers(1, 300), st.floats(10.0, 55.0), st.floats(10.0, 95.0))
def test_every_piece_has_its_bag_and_no_bag_is_too_many(pieces, width, height):
    bagging = bag_up(pieces, width, height, DEFAULTS)
    most = pieces_that_fit(bagging.bag, width, height, DEFAULTS)
    assert sum(bagging.pieces_by_bag) == pieces
    assert 1 <= min(bagging.pieces_by_bag) <= max(bagging.pieces_by_bag) <= most
    assert max(bagging.pieces_by_bag) - min(bagging.pieces_by_bag) <= 1
    assert all((bagging.bags - 1) * pieces_that_fit(bag, width, height, DEFAULTS) < pieces for bag in DEFAULTS.bags)


def test_what_fits_no_bag_says_so():
    with pytest.raises(FitsNoBag) as wide:
        bag_up(1, 130, 90, DEFAULTS)
    assert numbers_in(str(wide.value)) == [130, 90, 102, 220]
    with pytest.raises(FitsNoBag) as tall:
        bag_up(1, 30, 201, DEFAULTS)
    assert numbers_in(str(tall.value))[:2] == [30, 201]
    with pytest.raises(FitsNoBag) as none:
        bag_up(1, 30, 30, BagDefaults(bags=()))
    assert numbers_in(str(none.value)) == [30, 30]


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_refuses_figures_that_are_none(wrong):
    calls = (
        lambda: pieces_side_by_side(wrong, 28),
        lambda: pieces_side_by_side(76, wrong),
        lambda: pieces_that_fit(DEFAULTS.bags[0], 28, wrong, DEFAULTS),
        lambda: Bag("bag", wrong, 100),
        lambda: Bag("bag", 100, wrong),
    )
    for call in calls:
        with pytest.raises(ValueError):
            call()
    with pytest.raises(ValueError, match="1 or more"):
        bag_up(0, 28, 28, DEFAULTS)
    with pytest.raises(ValueError, match="layers"):
        BagDefaults(most_layers=0)
    with pytest.raises(ValueError, match="closing"):
        BagDefaults(closing_cm=-1.0)
