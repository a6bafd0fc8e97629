"""Wind on a tethered balloon against the drag of spheres and the density of air as other libraries have them."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.physics.air import Air
from app.physics.balloon import Gas, sphere_diameter_in, sphere_litres
from app.physics.endurance import Filling
from app.physics.wind import SPHERE_DRAG, drag_n, grams_of_force, holding_weight_g, wind_width_in
from tests.amounts import amount
from tests.later import coolprop, fluids
from tests.physics.kinds import FOIL_18, FOIL_JUMBO, SPHERE_20, latex

ROOM = Air()
law = settings(deadline=None, max_examples=amount(30, deep=200))
diameters, winds = st.floats(5.0, 36.0), st.floats(0.0, 60.0)
airs = st.builds(Air, st.floats(-10.0, 45.0), st.floats(0.0, 3000.0))
forces, grips = st.floats(0.0, 5000.0), st.floats(0.05, 1.0)
shares = st.floats(0.0, 1.0)


def _reynolds(diameter_in, wind_m_s):
    """Source: density and viscosity of air at 20 °C, sea level, from CoolProp."""
    at = ("T", 293.15, "P", 101325.0, "Air")
    return coolprop.PropsSI("D", *at) * wind_m_s * diameter_in * 0.0254 / coolprop.PropsSI("V", *at)


def test_an_eleven_inch_in_five_metres_a_second_is_pushed_by_the_weight_of_44_g():
    """Source: computed anew here from CoolProp's density and c = 0.47, the drag of a sphere."""
    density = coolprop.PropsSI("D", "T", 293.15, "P", 101325.0, "Air")
    by_hand = 0.5 * density * 0.47 * math.pi * (11 * 0.0254 / 2) ** 2 * 25
    assert drag_n(11.0, 5.0, ROOM) == pytest.approx(by_hand, rel=0.001)
    assert round(drag_n(11.0, 5.0, ROOM), 2) == 0.43
    assert round(grams_of_force(drag_n(11.0, 5.0, ROOM))) == 44


def test_the_weight_of_that_eleven_inch_is_twelve_times_its_lift():
    """8.1 g of lift and 44.2 g of push at a grip of one half: 8.1 + 2 · 44.2. Source: computed by hand."""
    assert holding_weight_g(8.1, 44.2, 0.5) == pytest.approx(96.5)


@pytest.mark.parametrize("diameter_in", [9, 11, 12, 16, 18])
@pytest.mark.parametrize("wind_m_s", [2, 3, 4, 5])
def test_the_drag_of_a_sphere_is_that_of_the_library_within_five_percent(diameter_in, wind_m_s):
    """Source: the correlations of `fluids` for smooth spheres, at the Reynolds number of the case."""
    assert fluids.drag_sphere(_reynolds(diameter_in, wind_m_s)) == pytest.approx(SPHERE_DRAG, rel=0.05)


@pytest.mark.parametrize("diameter_in", [5, 11, 24, 36])
@pytest.mark.parametrize("wind_m_s", [2, 5, 8, 12, 20, 40])
def test_the_drag_is_nowhere_clearly_below_that_of_a_smooth_sphere(diameter_in, wind_m_s):
    """Beyond the drag crisis a smooth sphere is pushed less; the constant stays on the careful side."""
    assert fluids.drag_sphere(_reynolds(diameter_in, wind_m_s)) <= SPHERE_DRAG * 1.005


@pytest.mark.parametrize("celsius", [-10, 0, 20, 35, 45])
@pytest.mark.parametrize("metres", [0, 1609, 3000])
def test_the_density_of_air_is_that_of_real_dry_air(celsius, metres):
    """Source: CoolProp at the pressure that `fluids` gives for that height."""
    real = coolprop.PropsSI("D", "T", celsius + 273.15, "P", fluids.ATMOSPHERE_1976(metres).P, "Air")
    assert Air(celsius, metres).density_kg_m3 == pytest.approx(real, rel=0.001)


@pytest.mark.parametrize("metres", range(0, 3001, 500))
def test_the_density_of_air_is_that_of_the_standard_atmosphere(metres):
    """Source: US Standard Atmosphere 1976 as computed by `fluids`."""
    standard = fluids.ATMOSPHERE_1976(metres)
    assert Air(standard.T - 273.15, metres).density_kg_m3 == pytest.approx(standard.rho, rel=0.0005)


def test_a_force_of_one_newton_is_the_weight_of_102_g():
    """Source: standard gravity, 9.80665 m/s² (exact by definition, CGPM 1901)."""
    assert grams_of_force(1.0) == pytest.approx(101.97, abs=0.01)


def _filled(balloon_type, litres, air=ROOM):
    return Filling(balloon_type, Gas.HELIUM, litres, air)


def test_latex_meets_the_wind_as_wide_as_it_is_there():
    """Source: Charles's law; an 11-inch grows by a ninetieth of its width from 20 to 30 °C."""
    eleven = _filled(latex(11), sphere_litres(11))
    assert wind_width_in(eleven, ROOM) == pytest.approx(11.0)
    assert wind_width_in(eleven, Air(30.0)) == pytest.approx(11.0 * (303.15 / 293.15) ** (1 / 3))
    assert wind_width_in(eleven, Air(5.0)) < 11.0


@pytest.mark.parametrize("balloon_type", [FOIL_18, FOIL_JUMBO, SPHERE_20])
def test_film_meets_the_wind_at_least_as_wide_as_its_nominal_size_and_as_its_gas(balloon_type):
    for litres in (balloon_type.full_litres, balloon_type.full_litres * 0.8):
        width = wind_width_in(_filled(balloon_type, litres), Air(35.0))
        assert width == balloon_type.nominal_in > sphere_diameter_in(litres)


def test_film_of_more_litres_than_its_name_says_is_as_wide_as_its_gas():
    assert wind_width_in(_filled(FOIL_18, 100.0), ROOM) == sphere_diameter_in(100.0) > 18


# Laws: more wind, more width, denser air, more lift or less grip never need less weight


@law
@given(diameters, winds, shares, airs)
def test_more_wind_never_pushes_less(diameter, wind, share, air):
    assert drag_n(diameter, wind * share, air) <= drag_n(diameter, wind, air)


@law
@given(diameters, shares, winds, airs)
def test_a_wider_balloon_is_never_pushed_less(diameter, share, wind, air):
    narrower = 5.0 + (diameter - 5.0) * share
    assert drag_n(narrower, wind, air) <= drag_n(diameter, wind, air)


@law
@given(diameters, winds, airs, st.floats(0.0, 30.0))
def test_colder_air_never_pushes_less(diameter, wind, air, degrees):
    assert drag_n(diameter, wind, Air(air.celsius - degrees, air.elevation_m)) >= drag_n(diameter, wind, air)


@law
@given(diameters, st.floats(1.0, 30.0), airs)
def test_twice_the_wind_pushes_four_times_as_hard(diameter, wind, air):
    assert drag_n(diameter, 2 * wind, air) == pytest.approx(4 * drag_n(diameter, wind, air))


@law
@given(forces, forces, grips, shares)
def test_less_lift_less_push_or_more_grip_never_needs_more_weight(lift, push, grip, share):
    needed = holding_weight_g(lift, push, grip)
    assert holding_weight_g(lift * share, push, grip) <= needed
    assert holding_weight_g(lift, push * share, grip) <= needed
    assert holding_weight_g(lift, push, grip + share) <= needed


@law
@given(forces, forces, grips)
def test_with_that_weight_it_neither_rises_nor_slides(lift, push, grip):
    """Source: what presses on the ground is the weight less the lift; Coulomb's friction holds grip times that."""
    weight = holding_weight_g(lift, push, grip)
    assert weight >= lift
    assert grip * (weight - lift) == pytest.approx(push, abs=1e-6)


def test_without_wind_the_weight_is_the_lift():
    assert drag_n(11.0, 0.0, ROOM) == 0.0
    assert holding_weight_g(8.1, 0.0, 0.5) == 8.1


@pytest.mark.parametrize("diameter", [0.0, -11.0, math.nan, math.inf])
def test_refuses_a_width_that_is_none(diameter):
    with pytest.raises(ValueError, match="not above 0"):
        drag_n(diameter, 5.0, ROOM)


@pytest.mark.parametrize("wind", [-0.1, 60.1, math.nan])
def test_refuses_a_wind_in_which_nobody_holds_a_party(wind):
    with pytest.raises(ValueError, match="0 to 60 m/s"):
        drag_n(11.0, wind, ROOM)


@pytest.mark.parametrize("force", [-0.1, math.nan])
def test_refuses_a_force_below_nothing(force):
    with pytest.raises(ValueError, match="0 or more"):
        holding_weight_g(force, 44.0, 0.5)
    with pytest.raises(ValueError, match="0 or more"):
        holding_weight_g(8.0, force, 0.5)


@pytest.mark.parametrize("grip", [0.0, -0.5, math.nan])
def test_refuses_a_grip_that_holds_nothing(grip):
    with pytest.raises(ValueError, match="not above 0"):
        holding_weight_g(8.0, 44.0, grip)
