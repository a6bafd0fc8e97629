"""Stuffed balloons: what goes in, and what may be inside."""

import math

import pytest

from app.craft.stuffed import (
    AIR_IN_HELIUM,
    HELIUM_IN_AIR,
    Filler,
    Stuffing,
    StuffingDefaults,
    draw_stuffed,
    item_fits,
    largest_item_in,
    reasons_not_to_make,
)
from app.physics.balloon import Gas
from tests.numbers_in import numbers_in
from tests.physics.kinds import SPHERE_22, STUFFING_18, latex

DEFAULTS = StuffingDefaults()
BEAR = Stuffing(STUFFING_18, Gas.AIR, "bear", 4.5, Filler.BALLOONS)


def test_it_works():
    assert reasons_not_to_make(BEAR, DEFAULTS) == ()


def test_five_inches_go_into_an_eighteen():
    """Common practice, no source."""
    assert item_fits(5.0, 18, DEFAULTS)
    assert not item_fits(5.01, 18, DEFAULTS)
    assert item_fits(5.01, 18, StuffingDefaults(largest_in=6.0))


def test_a_larger_balloon_takes_a_larger_item():
    """In proportion: from memory, no source."""
    assert largest_item_in(36, DEFAULTS) == pytest.approx(10.0)


def test_an_item_too_large_is_refused_with_its_measure():
    (sentence,) = reasons_not_to_make(Stuffing(STUFFING_18, Gas.AIR, "bear", 7.0), DEFAULTS)
    assert numbers_in(sentence) == [7, 18, 5]


@pytest.mark.parametrize(
    ("outside", "inside", "sentence"),
    [
        (Gas.HELIUM, Gas.AIR, AIR_IN_HELIUM),
        (Gas.AIR, Gas.HELIUM, HELIUM_IN_AIR),
        (Gas.HELIUM, Gas.HELIUM, None),
        (Gas.AIR, Gas.AIR, None),
    ],
)
@pytest.mark.parametrize("balloon_type", [latex(24), SPHERE_22])
def test_the_same_gas_inside_and_outside(balloon_type, outside, inside, sentence):
    """Common practice, no source: helium seeps into air balloons and they burst."""
    found = reasons_not_to_make(Stuffing(balloon_type, outside, filler=Filler.BALLOONS, inner_gas=inside), DEFAULTS)
    assert found == (() if sentence is None else (sentence,))


@pytest.mark.parametrize("filler", [Filler.CONFETTI, Filler.NOTHING])
def test_without_balloons_inside_their_gas_is_not_asked(filler):
    assert reasons_not_to_make(Stuffing(SPHERE_22, Gas.HELIUM, filler=filler, inner_gas=Gas.AIR), DEFAULTS) == ()


@pytest.mark.parametrize(
    "stuffing",
    [
        Stuffing(STUFFING_18, Gas.HELIUM),
        Stuffing(STUFFING_18, Gas.HELIUM, "bear", 4.0),
        Stuffing(latex(18), Gas.HELIUM, "bear", 4.0),
    ],
)
def test_stuffed_latex_takes_air_only(stuffing):
    (reason,) = reasons_not_to_make(stuffing, DEFAULTS)
    assert "latex" in reason


@pytest.mark.parametrize("filler", Filler)
@pytest.mark.parametrize("item_in", [3.0, 5.0, 30.0])
def test_all_that_is_inside_is_drawn_inside(filler, item_in):
    outer, *inside = draw_stuffed(Stuffing(STUFFING_18, Gas.AIR, "bear", item_in, filler)).balls
    assert outer.radius == pytest.approx(18 * 2.54 / 2)
    assert inside
    for ball in inside:
        assert math.hypot(ball.x - outer.x, ball.y - outer.y) + ball.radius <= outer.radius


def test_the_item_is_drawn_as_large_as_it_is():
    drawing = draw_stuffed(BEAR)
    assert drawing.balls[-1].radius == pytest.approx(4.5 * 2.54 / 2)
    assert [ball.is_item for ball in drawing.balls] == [False] * (len(drawing.balls) - 1) + [True]
    assert drawing.bounds[1] == 0.0
    assert numbers_in(drawing.text) == [18]
    assert "bear" in drawing.text
    assert Filler.BALLOONS in drawing.text
    assert "nothing" in draw_stuffed(Stuffing(STUFFING_18, Gas.AIR)).text


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_refuses_figures_that_are_none(wrong):
    calls = (
        lambda: item_fits(wrong, 18, DEFAULTS),
        lambda: largest_item_in(wrong, DEFAULTS),
        lambda: Stuffing(STUFFING_18, Gas.AIR, "bear", wrong),
        lambda: StuffingDefaults(largest_in=wrong),
    )
    for call in calls:
        with pytest.raises(ValueError, match="above 0"):
            call()
