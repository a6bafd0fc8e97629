"""Fours by their coordinates: spheres that touch and none that overlap; columns and bases made of them."""

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.clusters import (
    BalloonBase,
    Column,
    ColumnDefaults,
    Pattern,
    colour_counts,
    colour_indexes,
    columns,
    reach_in,
    rise_in,
    stack,
    thickest_pole_in,
)

sizes = st.floats(3.0, 40.0)
heights = st.floats(0.05, 20.0)


def _gaps(spheres):
    """What lies between each two spheres, given as (centre, diameter)."""
    return [math.dist(a, b) - (da + db) / 2 for (a, da), (b, db) in combinations(spheres, 2)]


def _flat(fours, diameters):
    return [(centre, size) for four, size in zip(fours, diameters, strict=True) for centre in four]


def test_the_closed_forms():
    """Source: geometry, worked out by hand; 9 in rises by 7.57 in."""
    assert rise_in(9) == pytest.approx(9 * math.sqrt(math.sqrt(2) / 2), abs=1e-12)
    assert rise_in(9) == pytest.approx(7.57, abs=0.005)
    assert rise_in(3) / 3 == pytest.approx(0.8409, abs=5e-5)


@given(sizes, st.integers(2, 12))
def test_no_two_balloons_of_a_column_overlap_and_neighbours_touch(size, layers):
    fours = stack(layers, size)
    assert min(_gaps(_flat(fours, [size] * layers))) > -1e-9
    for four in fours:
        assert [math.dist(four[n], four[(n + 1) % 4]) for n in range(4)] == pytest.approx([size] * 4)
    for low, high in pairwise(fours):
        touching = [sum(abs(math.dist(a, b) - size) < 1e-9 for b in low) for a in high]
        assert touching == [2, 2, 2, 2]
        assert [math.dist(a, b) for a, b in zip(low, high, strict=True)] == pytest.approx([size] * 4)


@given(sizes, st.integers(1, 12))
def test_height_width_and_pole_are_those_of_the_coordinates(size, layers):
    column, centres = Column(layers, size), [centre for four in stack(layers, size) for centre in four]
    assert min(z for _, _, z in centres) == pytest.approx(size / 2)
    assert column.height_m == pytest.approx((max(z for _, _, z in centres) + size / 2) * 0.0254)
    from_axis = [math.hypot(x, y) for x, y, _ in centres]
    assert from_axis == pytest.approx([size / math.sqrt(2)] * len(centres))
    assert column.width_m == pytest.approx(2 * (max(from_axis) + size / 2) * 0.0254)
    assert thickest_pole_in(size) == pytest.approx(2 * (min(from_axis) - size / 2))


def test_two_metres_of_eleven_inch_balloons_at_nine():
    """Worked case 6, computed independently: both are offered."""
    low, high = columns(2.0, 9)
    assert (low.layers, low.balloons, low.pairs, round(low.height_m, 2)) == (10, 40, 20, 1.96)
    assert (high.layers, high.balloons, high.pairs, round(high.height_m, 2)) == (11, 44, 22, 2.15)


def test_a_height_within_the_tolerance_is_one_offer():
    assert [column.layers for column in columns(1.96, 9)] == [10]
    assert [column.layers for column in columns(1.95, 9)] == [10]
    assert [column.layers for column in columns(1.94, 9)] == [9, 10]
    assert [column.layers for column in columns(2.0, 9, ColumnDefaults(tolerance_m=0.05))] == [10]
    assert [column.layers for column in columns(0.1, 9)] == [1]


@given(heights, sizes)
def test_what_is_offered_surrounds_the_wanted_height_or_meets_it(height, size):
    offers = columns(height, size)
    if len(offers) == 2:
        low, high = offers
        assert high.layers == low.layers + 1
        assert low.height_m < height < high.height_m
    else:
        (only,) = offers
        assert abs(only.height_m - height) <= 0.01 or (only.layers == 1 and only.height_m >= height)


@given(heights, heights, sizes)
def test_a_higher_column_never_needs_fewer(one, other, size):
    low, high = (columns(height, size)[-1].balloons for height in sorted([one, other]))
    assert low <= high


@given(st.integers(1, 200), st.integers(1, 4), st.sampled_from(Pattern))
def test_colours_add_up_to_the_balloons(layers, colours, pattern):
    counts = colour_counts(layers, colours, pattern)
    assert len(counts) == colours
    assert sum(counts) == Column(layers, 9).balloons


def test_a_spiral_winds_and_layers_lie():
    assert colour_indexes(2, 4) == ((0, 1, 2, 3), (0, 1, 2, 3))
    assert colour_counts(10, 3) == (20, 10, 10)
    assert colour_counts(10, 2) == (20, 20)
    assert colour_indexes(3, 2, Pattern.LAYERS) == ((0,) * 4, (1,) * 4, (0,) * 4)
    assert colour_counts(10, 3, Pattern.LAYERS) == (16, 12, 12)
    assert colour_counts(1, 2, Pattern.LAYERS) == (4, 0)


@given(sizes, st.floats(0.25, 1.0))
def test_the_fours_of_a_base_rest_on_each_other(low, share):
    up = max(low * share, 3.0)
    base = BalloonBase((low, up))
    spheres = _flat(base.fours, base.diameters_in)
    assert min(_gaps(spheres)) > -1e-9
    assert [math.dist(a, b) for a, b in zip(*base.fours, strict=True)] == pytest.approx([(low + up) / 2] * 4)
    assert base.height_m == pytest.approx(max(z + size / 2 for (_, _, z), size in spheres) * 0.0254)
    assert min(z - size / 2 for (_, _, z), size in spheres) > -1e-9
    assert (base.balloons, base.pairs) == (8, 4)


def test_a_base_of_one_four():
    base = BalloonBase((11.0,))
    assert (base.balloons, base.pairs) == (4, 2)
    assert base.height_m == pytest.approx(11 * 0.0254)
    assert base.width_m == pytest.approx(11 * (1 + math.sqrt(2)) * 0.0254)
    assert reach_in(11) == pytest.approx(base.width_m / 2 / 0.0254)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: rise_in(2.9), "2.9\u00a0in is outside 3\u00a0in to 40\u00a0in"),
        (lambda: rise_in(40, 5), "40\u00a0in and 5\u00a0in"),
        (lambda: rise_in(math.nan), "nan"),
        (lambda: stack(0, 9), "outside 1 to 1000"),
        (lambda: Column(1001, 9), "outside 1 to 1000"),
        (lambda: columns(21, 9), "outside 0.05\u00a0m to 20\u00a0m"),
        (lambda: colour_indexes(5, 5), "spiral of 5"),
        (lambda: colour_indexes(5, 25, Pattern.LAYERS), "outside 1 to 24"),
        (lambda: BalloonBase(()), "outside 1 to 2"),
        (lambda: BalloonBase((9, 11)), "upper four"),
    ],
)
def test_what_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
