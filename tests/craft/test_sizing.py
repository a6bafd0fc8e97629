"""What the sizer is set to, against the gas law worked out on its own and the trade's rules of thumb."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.constants import zero_Celsius

from app.craft.sizing import AirSizes, FillSize, fill_size, filled_litres
from app.physics.air import Air
from app.physics.balloon import BalloonType, Gas
from app.physics.light import Surroundings
from app.physics.material import Material
from tests.later import fluids
from tests.numbers_in import numbers_in
from tests.physics.kinds import FOIL_18, FOIL_22, FOIL_JUMBO, LATEX_GRAMS, SPHERE_20, STUFFING_18, latex

INDOORS, SHADE, SUN = Surroundings.INDOORS, Surroundings.SHADE, Surroundings.SUN
LATEX = [latex(inches) for inches in LATEX_GRAMS]
FILM = [FOIL_18, FOIL_22, FOIL_JUMBO, SPHERE_20]
EDGE = 1 + 1e-9  # rounding of floats only
PRESSURES = 5e-4  # each of the two pressures is off by at most 0.02 %, with a little for 3000 to 4000 m

_airs = st.builds(Air, st.floats(-10, 45), st.floats(0, 4000))
_moves = st.lists(_airs, max_size=4)
_places = st.sampled_from(Surroundings)


def _fill(balloon_type, gas=Gas.HELIUM, shop=None, later=(), surroundings=INDOORS, air_sizes=None) -> FillSize:
    return fill_size(balloon_type, gas, shop or Air(), later, surroundings, air_sizes or AirSizes())


def _swell(start: Air, end: Air) -> float:
    """Boyle and Charles, with the pressures of the US Standard Atmosphere 1976 as `fluids` has them."""
    pressures = [fluids.ATMOSPHERE_1976(air.elevation_m).P for air in (start, end)]
    kelvins = [air.celsius + zero_Celsius for air in (start, end)]
    return kelvins[1] / kelvins[0] * pressures[0] / pressures[1]


def _diameter_after(size: FillSize, start: Air, end: Air) -> float:
    return size.diameter_in * _swell(start, end) ** (1 / 3)


def test_helium_latex_goes_to_its_rated_diameter():
    """Common practice, no source."""
    size = _fill(latex(11))
    assert (size.diameter_in, size.share, size.why) == (11, 1.0, ())
    assert size.litres == pytest.approx(11.42, abs=0.005)


def test_for_a_hot_garden_an_eleven_inch_is_filled_a_little_smaller():
    """21 to 33 °C: 10.85 in, computed by Charles's law."""
    size = _fill(latex(11), shop=Air(21), later=[Air(33)], surroundings=SHADE)
    assert size.diameter_in == 10.85
    assert size.litres == pytest.approx(8.580e-3 * 10.85**3, rel=1e-3)
    assert numbers_in(size.why[0])[0] == 11


def test_latex_made_for_another_diameter_goes_by_that():
    """11 in made for 12: 12 in full, 0.82 of it with air rounded down to a quarter inch, 12 · (294.15/306.15)^⅓ for
    a hot garden (Charles's law)."""
    balloon_type = replace(latex(11), rated_in=12)
    assert (_fill(balloon_type).diameter_in, _fill(balloon_type).share) == (12, 1.0)
    assert _fill(balloon_type, Gas.AIR).diameter_in == 9.75
    hot = _fill(balloon_type, shop=Air(21), later=[Air(33)], surroundings=SHADE)
    assert hot.diameter_in == 11.8
    assert numbers_in(hot.why[0])[0] == 12


def test_foil_for_a_mile_up_is_filled_to_82_percent():
    """Computed by Boyle's law; foil cannot stretch."""
    size = _fill(FOIL_18, later=[Air(20, 1609)])
    assert round(size.share, 2) == 0.82
    assert size.litres == pytest.approx(0.82 * 14, rel=0.005)
    assert "82%" in size.why[0]


@given(st.sampled_from(LATEX + FILM), st.sampled_from(Gas), _airs, _moves, _places)
def test_the_litres_can_be_told_again_from_size_and_share(balloon_type, gas, shop, later, surroundings):
    """A batch keeps only these two."""
    size = _fill(balloon_type, gas, shop, later, surroundings)
    assert filled_litres(balloon_type, size.diameter_in, size.share) == pytest.approx(size.litres)


@given(st.sampled_from(FILM), _airs, _moves)
def test_film_leaves_the_headroom_of_the_gas_law(balloon_type, shop, later):
    size = _fill(balloon_type, shop=shop, later=later)
    headroom = 1 / max([1.0, *(_swell(shop, place) for place in later)])
    assert size.share == pytest.approx(headroom, rel=PRESSURES)
    assert size.litres == pytest.approx(balloon_type.helium_l * size.share)
    assert size.diameter_in == balloon_type.nominal_in


@given(st.sampled_from(FILM), _airs, _moves)
def test_film_is_never_more_than_full_after_a_move(balloon_type, shop, later):
    size = _fill(balloon_type, shop=shop, later=later)
    for place in (shop, *later):
        assert size.litres * place.litres_per_reference_litre / shop.litres_per_reference_litre <= (
            balloon_type.helium_l * EDGE
        )


@given(st.sampled_from(LATEX), _airs, _moves)
def test_latex_never_exceeds_its_rated_diameter_after_a_move(balloon_type, shop, later):
    size = _fill(balloon_type, shop=shop, later=later)
    for place in (shop, *later):
        swell = place.litres_per_reference_litre / shop.litres_per_reference_litre
        assert size.diameter_in * swell ** (1 / 3) <= balloon_type.nominal_in * EDGE


@given(st.sampled_from(LATEX), _airs, _moves)
def test_latex_gives_away_less_than_a_step_of_the_sizer(balloon_type, shop, later):
    size = _fill(balloon_type, shop=shop, later=later)
    fullest = max(_diameter_after(size, shop, place) for place in (shop, *later))
    step = 0.05 * fullest / size.diameter_in
    assert fullest * (1 + PRESSURES / 3) > balloon_type.nominal_in - step


@given(st.sampled_from(LATEX), _places, st.floats(0.3, 1.2), _moves)
def test_air_filled_latex_is_at_most_90_percent(balloon_type, surroundings, wanted, later):
    """Common practice, no source; whatever the shop sets."""
    sizes = AirSizes(indoors=wanted, outdoors=wanted, hot_or_sun=wanted)
    assert (
        _fill(balloon_type, Gas.AIR, later=later, surroundings=surroundings, air_sizes=sizes).diameter_in
        <= 0.9 * balloon_type.nominal_in
    )


def test_an_air_filled_eleven_inch_is_usually_nine():
    """Usual setting 9 in, never over 9.5: common practice, no source."""
    size = _fill(latex(11), Gas.AIR)
    assert size.diameter_in == 9.0
    assert Gas.AIR in size.why[0]


@given(_places, _airs, _moves)
def test_an_air_filled_eleven_inch_never_goes_over_nine_and_a_half(surroundings, shop, later):
    assert _fill(latex(11), Gas.AIR, shop, later, surroundings).diameter_in <= 9.5


@given(st.sampled_from(LATEX), st.floats(0, 30), _moves)
def test_air_filled_outdoors_is_at_most_75_percent(balloon_type, celsius, later):
    """Common practice, no source."""
    size = _fill(balloon_type, Gas.AIR, Air(celsius), later, SHADE)
    assert size.diameter_in <= 0.75 * balloon_type.nominal_in


@given(st.sampled_from(LATEX), st.floats(30.1, 45), _places)
def test_air_filled_in_heat_is_at_most_70_percent(balloon_type, celsius, surroundings):
    """Common practice, no source."""
    assert (
        _fill(balloon_type, Gas.AIR, later=[Air(celsius)], surroundings=surroundings).diameter_in
        <= 0.70 * balloon_type.nominal_in
    )


@pytest.mark.parametrize(("celsius", "surroundings"), [(15, SUN), (30.1, INDOORS), (35, SHADE)])
def test_sun_or_heat_makes_an_eleven_inch_seven_and_a_half(celsius, surroundings):
    assert _fill(latex(11), Gas.AIR, later=[Air(celsius)], surroundings=surroundings).diameter_in == 7.5


def test_thirty_degrees_is_not_yet_heat():
    assert _fill(latex(11), Gas.AIR, later=[Air(30)], surroundings=SHADE).diameter_in == 8.25


@given(st.sampled_from(LATEX), _places, st.floats(0.3, 1.2), _airs, _moves)
def test_air_filled_latex_is_at_most_90_percent_after_every_move(balloon_type, surroundings, wanted, shop, later):
    sizes = AirSizes(indoors=wanted, outdoors=wanted, hot_or_sun=wanted)
    size = _fill(balloon_type, Gas.AIR, shop, later, surroundings, sizes)
    for place in later:
        swell = place.litres_per_reference_litre / shop.litres_per_reference_litre
        assert size.diameter_in * swell ** (1 / 3) <= 0.9 * balloon_type.nominal_in * EDGE


def test_a_size_between_two_steps_of_the_sizer_is_filled_to_its_rating_when_nothing_swells():
    odd = BalloonType("latex 13 cm", Material.LATEX, 5.12, 0.8)
    size = _fill(odd)
    assert (size.diameter_in, size.why) == (5.12, ())


def test_a_shop_hotter_than_the_venue_fills_to_the_rating():
    assert _fill(latex(11), shop=Air(28), later=[Air(10)]).diameter_in == 11
    assert _fill(FOIL_18, shop=Air(28), later=[Air(10)]).share == 1.0


def test_what_the_stuffing_machine_fills_needs_no_reason_for_its_size():
    """It goes through no sizer: common practice, no source."""
    assert _fill(STUFFING_18, Gas.AIR).why == ()
