"""The weight of one balloon outdoors, worked out beside the code from its lift and its push."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.weights import Outdoors, weight_g
from app.physics.air import Air, lift_g_per_l
from app.physics.balloon import Gas, sphere_litres
from app.physics.endurance import Filling, FloatDefaults
from tests.physics.kinds import FOIL_18, FOIL_JUMBO, LATEX_GRAMS, latex

ROOM = Air()
ELEVEN = Filling(latex(11), Gas.HELIUM, sphere_litres(11), ROOM)
winds = st.floats(0.0, 40.0)
floating = st.sampled_from([latex(inches) for inches in LATEX_GRAMS if inches > 5])


def _weight(filling, wind, air=ROOM, float_defaults=None, outdoors=None):
    return weight_g(filling, wind, air, float_defaults or FloatDefaults(), outdoors or Outdoors())


def _by_hand(litres, carried_g, diameter_in, wind, density):
    lift = litres * lift_g_per_l(20.0) - carried_g
    push_n = 0.5 * density * 0.47 * math.pi / 4 * (diameter_in * 0.0254) ** 2 * wind**2
    return math.ceil(lift + push_n / 9.80665e-3 / 0.5)


@pytest.mark.parametrize(("wind", "grams"), [(0, 9), (3, 40), (5, 97), (8, 235), (10, 362)])
def test_an_eleven_inch_needs_so_much(wind, grams):
    """Source: computed by hand in `_by_hand` with the density of dry air at 20 °C, 1.204 kg/m³."""
    assert _weight(ELEVEN, wind) == grams == _by_hand(ELEVEN.litres, 3.75, 11, wind, 1.2041)


@pytest.mark.parametrize("balloon_type", [FOIL_18, FOIL_JUMBO])
def test_a_foil_is_pushed_on_its_nominal_width(balloon_type):
    foil = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, ROOM)
    assert _weight(foil, 5) == _by_hand(
        balloon_type.full_litres, balloon_type.mass_g + 0.75, balloon_type.nominal_in, 5, 1.2041
    )


def test_cold_air_needs_more_weight_for_a_foil_and_a_height_needs_less():
    foil = Filling(FOIL_18, Gas.HELIUM, FOIL_18.full_litres, ROOM)
    assert _weight(foil, 5, Air(0.0)) > _weight(foil, 5) > _weight(foil, 5, Air(20.0, 1609.0))


def test_the_shops_grip_and_not_its_limit_decides():
    assert _weight(ELEVEN, 5, outdoors=Outdoors(grip=0.25)) > _weight(ELEVEN, 5)
    assert _weight(ELEVEN, 5, outdoors=Outdoors(wind_limit_m_s=9.0)) == _weight(ELEVEN, 5)


def test_filled_with_air_it_needs_none_that_we_could_reckon():
    assert _weight(Filling(latex(11), Gas.AIR, 6.0, ROOM), 5) is None


def test_a_balloon_that_no_longer_rises_still_needs_what_the_wind_asks():
    heavy = FloatDefaults(load_g=50.0)
    assert _weight(ELEVEN, 0, float_defaults=heavy) == 0
    assert _weight(ELEVEN, 5, float_defaults=heavy) == 89


@given(floating, winds, st.floats(0.0, 1.0), st.floats(0.0, 3.0))
def test_less_wind_or_more_load_on_it_never_needs_more_weight(balloon_type, wind, share, load_g):
    filling = Filling(balloon_type, Gas.HELIUM, sphere_litres(balloon_type.nominal_in), ROOM)
    needed = _weight(filling, wind)
    assert _weight(filling, wind * share) <= needed
    assert _weight(filling, wind, float_defaults=FloatDefaults(load_g=0.75 + load_g)) <= needed


@given(floating, winds)
def test_it_is_whole_grams_and_no_less_than_its_lift(balloon_type, wind):
    filling = Filling(balloon_type, Gas.HELIUM, sphere_litres(balloon_type.nominal_in), ROOM)
    weight = _weight(filling, wind)
    assert weight == int(weight) >= filling.litres * lift_g_per_l(20.0) - balloon_type.mass_g - 0.75
