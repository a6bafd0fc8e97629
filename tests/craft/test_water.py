"""Weights of water against the density of water as another library has it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.weights import (
    WATER_G_PER_L,
    TooMuchWater,
    WaterDefaults,
    heaviest_water_weight,
    water_g,
    water_weight_for,
)
from tests.later import coolprop
from tests.numbers_in import numbers_in

DEFAULTS = WaterDefaults()
nominals = st.sampled_from([5, 9, 10, 11, 12])


def test_water_is_as_dense_as_the_tables_say():
    """Source: IAPWS-95 as computed by CoolProp; CRC Handbook 0.9982 g/mL at 20 °C."""
    assert coolprop.PropsSI("D", "T", 293.15, "P", 101325.0, "Water") == pytest.approx(WATER_G_PER_L, rel=5e-5)


@pytest.mark.parametrize("inches", [1.0, 2.5, 3.0, 6.6])
def test_a_ball_of_water_weighs_its_volume(inches):
    """Source: volume of the sphere, density from CoolProp."""
    kilos = coolprop.PropsSI("D", "T", 293.15, "P", 101325.0, "Water") * math.pi / 6 * (inches * 0.0254) ** 3
    assert water_g(inches) == pytest.approx(kilos * 1000, rel=1e-4)


def test_a_five_inch_takes_three_inches_of_water():
    """By hand: π/6 · 7.62³ cm³ · 0.9982 g/cm³ = 231.25 g."""
    most = heaviest_water_weight(5, DEFAULTS)
    assert most.diameter_in == pytest.approx(3.0)
    assert most.grams == pytest.approx(231.25, abs=0.01)


def test_a_hundred_grams_go_into_a_five_inch():
    """By hand: the cube root of 100 / 0.9982 · 6/π cm³ is 5.763 cm or 2.27 in, on the sizer 2.3 in."""
    water = water_weight_for(100, 5, DEFAULTS)
    assert water.diameter_in == 2.3
    assert water.grams == water_g(2.3) > 100


@given(nominals, st.floats(0.01, 1.0))
def test_there_and_back(nominal, share):
    most = heaviest_water_weight(nominal, DEFAULTS)
    grams = most.grams * share
    water = water_weight_for(grams, nominal, DEFAULTS)
    assert water.grams >= grams * (1 - 1e-9)
    assert water.diameter_in <= most.diameter_in
    assert water_g(max(water.diameter_in - DEFAULTS.step_in - 1e-6, 1e-9)) < grams


@given(nominals, st.floats(1.0001, 50.0))
def test_never_past_the_shops_share(nominal, times):
    most = heaviest_water_weight(nominal, DEFAULTS).grams
    with pytest.raises(TooMuchWater) as refusal:
        water_weight_for(most * times, nominal, DEFAULTS)
    told = numbers_in(str(refusal.value))
    assert told == pytest.approx([most * times, nominal, math.floor(most)], rel=1e-5)


def test_the_share_is_the_shops():
    assert heaviest_water_weight(5, WaterDefaults(most=0.3)).grams == pytest.approx(
        heaviest_water_weight(5, DEFAULTS).grams / 8
    )


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_refuses_figures_that_are_none(wrong):
    for call in (
        lambda: water_g(wrong),
        lambda: heaviest_water_weight(wrong, DEFAULTS),
        lambda: water_weight_for(wrong, 5, DEFAULTS),
    ):
        with pytest.raises(ValueError, match="not above 0"):
            call()
    with pytest.raises(ValueError):
        WaterDefaults(step_in=wrong)
    with pytest.raises(ValueError):
        WaterDefaults(most=wrong)
