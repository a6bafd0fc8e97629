"""Centre lines against closed forms, the elliptic integral of scipy, and a numeric integration of their own."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.curves import Arc, HalfEllipse, Shape, bisected, chain, curve, spots
from tests.later import integrate, special

spans = st.floats(1.0, 10.0)
proportions = st.floats(0.05, 2.0)
shapes = st.sampled_from(Shape)


@given(spans, st.floats(0.05, 10.0))
def test_half_an_ellipse_is_as_long_as_its_elliptic_integral(span, proportion):
    """Source: scipy.special.ellipe (Cephes); half the perimeter is 2·a·E(1 − b²/a²)."""
    half, height = span / 2, span * proportion
    assert HalfEllipse(span, height).length_m == pytest.approx(
        2 * half * special.ellipe(1 - (height / half) ** 2), rel=1e-9
    )


def _by_quadrature(line):
    """Length by central differences of the points themselves, integrated by scipy."""
    step = 1e-6

    def work_times(share):
        return math.dist(line.point(share - step), line.point(share + step)) / (2 * step)

    return integrate.quad(work_times, 2 * step, 1 - 2 * step, limit=200)[0] / (1 - 4 * step)


@given(shapes, spans, proportions)
def test_each_is_as_long_as_its_points_say(shape, span, proportion):
    line = curve(shape, span, max(span * proportion, 0.1))
    assert line.length_m == pytest.approx(_by_quadrature(line), rel=1e-4)


@given(shapes, spans, proportions)
def test_each_stands_on_its_feet_and_reaches_its_height(shape, span, proportion):
    height = max(span * proportion, 0.1)
    line = curve(shape, span, height)
    assert line.point(0) == pytest.approx((-span / 2, 0), abs=1e-9)
    assert line.point(0.5) == pytest.approx((0, height), abs=1e-9)
    assert line.point(1) == pytest.approx((span / 2, 0), abs=1e-9)
    assert line.height_m == pytest.approx(height)


def test_a_half_circle_is_both_ellipse_and_arc():
    """Source: π·r."""
    for shape in (Shape.ELLIPSE, Shape.CIRCLE):
        line = curve(shape, 3.0)
        assert line.length_m == pytest.approx(math.pi * 1.5)
        assert line.tightest_m == pytest.approx(1.5)


def test_an_arc_higher_than_its_half_span_is_most_of_a_circle():
    """Source: chord 2·r·sin(θ) and height r·(1 − cos θ) with r = 2 and θ = 120°."""
    line = Arc(2 * 2 * math.sin(2 * math.pi / 3), 3.0)
    assert line.tightest_m == pytest.approx(2.0)
    assert line.length_m == pytest.approx(2 * 2 * 2 * math.pi / 3)


@given(spans, proportions)
def test_a_chain_obeys_its_closed_forms(span, proportion):
    """Source: the catenary's s = c·sinh(x/c) and (c + h)² = c² + s²."""
    line = chain(span, max(span * proportion, 0.1))
    c = line.parameter_m
    assert c * (math.cosh(span / (2 * c)) - 1) == pytest.approx(max(span * proportion, 0.1), rel=1e-9)
    assert line.length_m == pytest.approx(2 * c * math.sinh(span / (2 * c)))
    assert (c + line.height_m) ** 2 == pytest.approx(c**2 + (line.length_m / 2) ** 2)


def _smallest_radius(line):
    """Of the circles through each three neighbouring points."""
    points = [line.point(n / 4000) for n in range(4001)]
    radii = []
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        area = abs((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2
        radii.append(math.dist(a, b) * math.dist(b, c) * math.dist(a, c) / (4 * area))
    return min(radii)


@pytest.mark.parametrize("shape", list(Shape))
@pytest.mark.parametrize("height", [0.6, 1.5, 2.7])
def test_the_tightest_bend_is_that_of_its_points(shape, height):
    line = curve(shape, 3.0, height)
    assert line.tightest_m == pytest.approx(_smallest_radius(line), rel=0.01)


@given(shapes, spans, proportions)
def test_spots_lie_where_they_were_asked_for(shape, span, proportion):
    line = curve(shape, span, max(span * proportion, 0.1))
    start, middle, end = spots(line, (0.0, line.length_m / 2, line.length_m))
    assert (start.x, start.y) == pytest.approx((-span / 2, 0), abs=1e-4 * line.length_m)
    assert (middle.x, middle.y) == pytest.approx((0, line.height_m), abs=1e-4 * line.length_m)
    assert (end.x, end.y) == pytest.approx((span / 2, 0), abs=1e-4 * line.length_m)
    assert math.hypot(*start.along) == pytest.approx(1.0)


def test_bisection_finds_a_known_root():
    assert bisected(lambda x: x * x, 2.0) == pytest.approx(math.sqrt(2), rel=1e-15)


@pytest.mark.parametrize(
    ("span", "height"), [(0.2, 1), (51, 3), (3, 0.05), (3, 21), (10, 0.4), (0.5, 6), (math.nan, 1)]
)
@pytest.mark.parametrize("shape", list(Shape))
def test_what_is_refused(shape, span, height):
    with pytest.raises(ValueError, match="outside"):
        curve(shape, span, height)
