"""Where balloons stand, measured by the distances between their centres."""

import math
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.stacking import CannotStack, layer_sizes, stack_column, stack_layers
from tests.later import optimize
from tests.numbers_in import numbers_in

sizes = st.floats(0.5, 100.0)
near = st.lists(st.floats(10.0, 20.0), min_size=1, max_size=14)
few = st.lists(st.floats(10.0, 20.0), max_size=2)


def _apart(one, other):
    """Free air between two spheres, below 0 where they overlap."""
    span = np.linalg.norm(np.subtract((one.x, one.y, one.z), (other.x, other.y, other.z)))
    return span - one.radius - other.radius


def _touching(spheres):
    return {(a, b) for a, b in combinations(range(len(spheres)), 2) if abs(_apart(spheres[a], spheres[b])) < 1e-9}


def _nothing_overlaps(spheres):
    return all(_apart(one, other) > -1e-9 for one, other in combinations(spheres, 2))


@pytest.mark.parametrize(
    ("balloons", "layers"), [(1, (1,)), (2, (2,)), (3, (3,)), (4, (1, 3)), (5, (2, 3)), (9, (3, 3, 3)), (0, ())]
)
def test_the_layer_that_is_not_full_stands_at_the_bottom(balloons, layers):
    assert layer_sizes(balloons) == layers


def test_four_are_a_tetrahedron():
    """Source: height of the regular tetrahedron, d·√(2/3) = 0.8165·d."""
    *three, topper = stack_layers([0.5] * 3, [0.5])
    assert {ball.z for ball in three} == {0.5}
    assert topper.z - 0.5 == pytest.approx(math.sqrt(2 / 3), abs=1e-12)
    assert round(topper.z - 0.5, 4) == 0.8165
    assert len(_touching([*three, topper])) == 6


def test_two_layers_of_three_are_an_octahedron():
    """Source: each corner of a regular octahedron has four neighbours: 12 edges."""
    spheres = stack_layers([7.0] * 6)
    assert len(_touching(spheres)) == 12
    assert _nothing_overlaps(spheres)


@pytest.mark.parametrize(("balloons", "neighbours"), [(1, 0), (2, 1), (4, 6), (5, 8), (7, 15), (9, 21)])
def test_neighbours_touch(balloons, neighbours):
    """By counting: 3 within a full layer, 6 between two, 3 from one alone up to a full layer, 1 + 4 for
    two (the third place below is empty and has the other 2)."""
    assert len(_touching(stack_layers([10.0] * balloons))) == neighbours


@given(sizes, st.integers(1, 15), st.integers(0, 2))
def test_balloons_of_one_size_never_overlap_and_layers_rise_alike(radius, balloons, toppers):
    spheres = stack_layers([radius] * balloons, [radius] * toppers)
    assert _nothing_overlaps(spheres)
    heights = sorted({round(ball.z / radius, 9) for ball in spheres[:balloons]})
    rises = [b - a for a, b in pairwise(heights)]
    assert rises == pytest.approx([2 * math.sqrt(2 / 3)] * len(rises), abs=1e-8)


@given(near, few)
def test_mixed_sizes_never_overlap_and_all_hang_together(radii, toppers):
    spheres = stack_layers(radii, toppers)
    assert [ball.radius for ball in spheres] == [*radii, *toppers]
    assert _nothing_overlaps(spheres)
    reached, pairs = {0}, _touching(spheres)
    for _ in spheres:
        reached |= {n for pair in pairs if reached & set(pair) for n in pair}
    assert reached == set(range(len(spheres)))
    assert min(ball.bottom for ball in spheres) == pytest.approx(0.0, abs=1e-9)


@given(st.lists(st.floats(10.0, 20.0), min_size=3, max_size=3), st.floats(8.0, 40.0))
def test_a_topper_touches_three_of_any_size(radii, topper):
    """Source: the sphere that touches three others, solved anew here by scipy from the distances alone."""
    spheres = stack_layers(radii, [topper])
    top = spheres[-1]

    def off(at):
        return [math.dist(at, (ball.x, ball.y, ball.z)) - topper - ball.radius for ball in spheres[:3]]

    start = (top.x + 0.3, top.y - 0.3, top.z + 2.0)
    assert optimize.fsolve(off, start, xtol=1e-12) == pytest.approx((top.x, top.y, top.z), abs=1e-5)
    assert max(map(abs, off((top.x, top.y, top.z)))) < 1e-9
    assert top.z > spheres[0].z


@given(st.lists(st.floats(10.0, 20.0), min_size=3, max_size=3))
def test_the_axis_is_the_middle_of_three_of_any_size(radii):
    """Source: the circle inside the triangle of three touching circles passes where they touch, so that its centre
    has the same power, distance² − r², to each of them."""
    powers = [ball.x**2 + ball.y**2 - ball.radius**2 for ball in stack_layers(radii)]
    assert powers == pytest.approx([powers[0]] * 3)


def test_a_larger_topper_on_three_of_one_size():
    """Source: √((R + r)² − (2·r/√3)²), by hand for R = 20, r = 14."""
    *three, topper = stack_layers([14.0] * 3, [20.0])
    assert topper.z - three[0].z == pytest.approx(math.sqrt(34**2 - (28 / math.sqrt(3)) ** 2))


def test_a_topper_on_two_and_on_one():
    """Two touching spheres and a third on them: an upright triangle, by Pythagoras for one size."""
    left, right, topper = stack_layers([10.0, 10.0], [10.0])
    assert (left.x, right.x, topper.x) == (-10.0, 10.0, 0.0)
    assert topper.z - left.z == pytest.approx(math.sqrt(20**2 - 10**2))
    uneven = stack_layers([10.0, 16.0], [12.0])
    assert len(_touching(uneven)) == 3
    below, above = stack_layers([10.0], [7.0])
    assert (above.x, above.y, above.bottom) == (0.0, 0.0, below.top)


def test_toppers_alone_stand_one_above_another():
    low, high = stack_layers([], [10.0, 5.0])
    assert (low.bottom, high.bottom, high.top) == (0.0, 20.0, 30.0)


def test_a_balloon_too_small_to_rest_is_refused_with_a_sentence():
    """Source: the hole between three touching circles has the radius r·(2/√3 − 1) = 0.1547·r."""
    assert stack_layers([10.0] * 3, [1.6])[-1].z > 10.0
    with pytest.raises(CannotStack, match=r"\.$") as refused:
        stack_layers([10.0] * 3, [1.5])
    assert numbers_in(str(refused.value)) == [3, 20]
    with pytest.raises(CannotStack):
        stack_layers([1.5, 10.0, 10.0, 10.0])


@given(st.lists(sizes, min_size=1, max_size=9), st.floats(0.0, 40.0))
def test_a_column_keeps_its_gaps(radii, gap):
    spheres = stack_column(radii, gap)
    assert spheres[0].bottom == pytest.approx(0.0, abs=1e-9)
    for below, above in pairwise(spheres):
        assert _apart(below, above) == pytest.approx(gap, abs=1e-9)
        assert (above.x, above.y) == (0.0, 0.0)
    assert spheres[-1].top == pytest.approx(2 * sum(radii) + gap * (len(radii) - 1))


@pytest.mark.parametrize("radius", [0.0, -1.0, math.nan, math.inf])
def test_refuses_a_radius_that_is_none(radius):
    for stack in (lambda: stack_layers([radius]), lambda: stack_layers([10.0], [radius])):
        with pytest.raises(ValueError, match="not above 0"):
            stack()
    with pytest.raises(ValueError, match="not above 0"):
        stack_column([radius])


@pytest.mark.parametrize("gap", [-0.1, math.nan, math.inf])
def test_refuses_a_gap_that_is_none(gap):
    with pytest.raises(ValueError, match="gap"):
        stack_column([10.0], gap)
