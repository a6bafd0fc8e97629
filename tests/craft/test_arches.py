"""Arches: how many fours go on a line, and how tightly it may bend."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.arches import ArchDefaults, arch, least_bend_m, nearest_at_bend_in
from app.craft.clusters import Column, layer, reach_in, rise_in
from app.craft.curves import Shape
from tests.numbers_in import numbers_in

spans = st.floats(1.5, 10.0)
sizes = st.floats(4.0, 14.0)
shapes = st.sampled_from(Shape)


def test_a_half_circle_of_three_metres():
    """Source: by hand: π·1.5 m is 4.712 m; less 0.2286 m, in steps of 0.19223 m: 23.3, so 24 steps, 25 fours."""
    piece = arch(Shape.CIRCLE, 3.0, None, 9)
    assert (piece.fours, piece.balloons, piece.pairs) == (25, 100, 50)
    assert piece.pitch_m == pytest.approx((math.pi * 1.5 - 0.2286) / 24)
    assert piece.opening_width_m == pytest.approx(3.0 - 2 * reach_in(9) * 0.0254)
    assert piece.outer_height_m - piece.opening_height_m == pytest.approx(2 * piece.reach_m)
    assert piece.outer_width_m - piece.opening_width_m == pytest.approx(4 * piece.reach_m)
    assert piece.warnings == ()


@given(shapes, spans, st.floats(0.1, 1.0), sizes)
def test_the_fours_cover_the_line_and_one_fewer_would_not(shape, span, proportion, size):
    piece = arch(shape, span, span * proportion, size)
    assert Column(piece.fours, size).height_m >= piece.line.length_m - 1e-6
    assert Column(piece.fours - 1, size).height_m < piece.line.length_m
    assert piece.pitch_m <= rise_in(size) * 0.0254 + 1e-9


@given(shapes, spans, spans, st.floats(0.1, 1.0), sizes)
def test_a_larger_arch_of_the_same_form_never_needs_fewer(shape, one, other, proportion, size):
    small, large = (arch(shape, span, span * proportion, size).fours for span in sorted([one, other]))
    assert small <= large


@given(st.sampled_from([Shape.ELLIPSE, Shape.CHAIN]), spans, st.floats(0.3, 8.0), st.floats(0.3, 8.0), sizes)
def test_a_higher_arch_of_the_same_span_never_needs_fewer(shape, span, one, other, size):
    low, high = (arch(shape, span, max(height, span / 10), size).fours for height in sorted([one, other]))
    assert low <= high


def _bent(four, radius, turn):
    """A four laid on a circle: x of the layer outwards, y aside, the line onwards by an angle."""
    return [((radius + x) * math.cos(turn), (radius + x) * math.sin(turn), y) for x, y, _ in four]


@given(sizes, st.floats(1.0, 50.0))
def test_the_nearest_at_a_bend_are_those_of_the_coordinates(size, diameters):
    radius, turn = diameters * size, rise_in(size) / (diameters * size)
    low, high = _bent(layer(size, 0, 0), radius, 0), _bent(layer(size, 0, 1), radius, turn)
    nearest = min(math.dist(a, b) for a in low for b in high)
    assert nearest_at_bend_in(radius, size) == pytest.approx(nearest)


def test_a_straight_line_presses_nothing():
    assert nearest_at_bend_in(1e9, 9) == pytest.approx(9.0)


@given(sizes, st.floats(0.01, 0.4))
def test_the_least_bend_squeezes_as_much_as_the_shop_allows(size, squeeze):
    radius = least_bend_m(size, ArchDefaults(squeeze)) / 0.0254
    assert nearest_at_bend_in(radius, size) == pytest.approx((1 - squeeze) * size)


def test_a_bend_too_tight_is_warned_of():
    (warning,) = arch(Shape.ELLIPSE, 1.0, 2.2, 9).warnings
    assert numbers_in(warning) == [0.11, 9, 0.64]
    assert arch(Shape.CIRCLE, 1.2, None, 9).warnings
    assert not arch(Shape.CIRCLE, 1.2, None, 5).warnings
    assert not arch(Shape.CIRCLE, 1.2, None, 9, ArchDefaults(squeeze=0.3)).warnings


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: arch(Shape.CIRCLE, 0.3, 0.1, 20), "20\u00a0in"),
        (lambda: arch(Shape.CIRCLE, 3, 2, 2), "outside 3\u00a0in to 40\u00a0in"),
        (lambda: arch(Shape.CIRCLE, 60, 2, 9), "outside 0.3\u00a0m to 50\u00a0m"),
        (lambda: least_bend_m(50), "outside 3\u00a0in to 40\u00a0in"),
        (lambda: nearest_at_bend_in(2, 9), "a radius of 2\u00a0in"),
        (lambda: ArchDefaults(0.5), "a squeeze of 0.5"),
    ],
)
def test_what_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
