"""Lift, pressure and gas volumes against the reference equations and the standard atmosphere."""

import math

import pytest

from app.physics.air import Air, lift_g_per_l, pressure_pa, volume_ratio
from tests.later import coolprop, fluids

ROOM = Air(20.0)
LIFTS = [(0, 1.1146), (15, 1.0563), (20, 1.0383), (25, 1.0208), (30, 1.0039), (35, 0.9876)]


def _real_lift(celsius: float, pascal: float) -> float:
    """g/L from the densities of dry air and helium. Source: CoolProp's reference equations of state."""
    at = ("T", celsius + 273.15, "P", pascal)
    return coolprop.PropsSI("D", *at, "Air") - coolprop.PropsSI("D", *at, "Helium")


@pytest.mark.parametrize(("celsius", "stated"), LIFTS)
def test_lift_is_within_nine_hundredths_of_a_percent_of_real_gases(celsius, stated):
    """Source: CoolProp."""
    real = _real_lift(celsius, 101325.0)
    assert round(real, 4) == stated
    assert lift_g_per_l(celsius) == pytest.approx(real, rel=0.0009)


@pytest.mark.parametrize(
    ("metres", "pascal"), [(0, 101325), (500, 95461), (1000, 89876), (2000, 79501), (3000, 70121)]
)
def test_pressure_is_that_of_the_tables(metres, pascal):
    """Source: US Standard Atmosphere 1976, by geometric altitude."""
    assert pressure_pa(metres) == pytest.approx(pascal, rel=0.0002)


@pytest.mark.parametrize("metres", range(-400, 3001, 100))
def test_pressure_follows_the_standard_atmosphere_between_the_rows(metres):
    """Source: US Standard Atmosphere 1976 as computed by the library `fluids`."""
    assert pressure_pa(metres) == pytest.approx(fluids.ATMOSPHERE_1976(metres).P, rel=0.0002)
    assert Air(15.0, metres).pressure_pa == pressure_pa(metres)


def test_lift_a_mile_up():
    """Source: CoolProp at the pressure that `fluids` gives for 1609 m."""
    real = _real_lift(20.0, fluids.ATMOSPHERE_1976(1609).P)
    assert round(real, 3) == 0.855
    assert lift_g_per_l(20.0, 1609.0) == pytest.approx(real, rel=0.0009)


@pytest.mark.parametrize(("celsius", "ratio"), [(5, 0.949), (30, 1.034), (35, 1.051)])
def test_heat_stretches_a_gas(celsius, ratio):
    """Source: Charles's law; helium's density from CoolProp beside it."""
    density = [coolprop.PropsSI("D", "T", c + 273.15, "P", 101325.0, "Helium") for c in (20, celsius)]
    assert round(volume_ratio(ROOM, Air(celsius)), 3) == ratio
    assert volume_ratio(ROOM, Air(celsius)) == pytest.approx(density[0] / density[1], rel=1e-4)


def test_height_stretches_a_gas():
    """Source: Boyle's law. To 1609 m a balloon grows by 6.7 %; a foil is filled to 82 % to have room for it."""
    grown = volume_ratio(ROOM, Air(20.0, 1609.0))
    assert grown == pytest.approx(101325.0 / fluids.ATMOSPHERE_1976(1609).P, rel=0.0002)
    assert round(math.cbrt(grown), 3) == 1.067
    assert round(1 / grown, 2) == 0.82


def test_size_to_fill_for_a_hot_place():
    """Source: Charles's law. From 21 to 33 °C an 11-inch balloon is filled to 10.85 in."""
    assert round(11 / math.cbrt(volume_ratio(Air(21.0), Air(33.0))), 2) == 10.85


def test_a_cold_foil_looks_limp():
    """Source: Charles's law. 14 L at 20 °C are 13.3 L at 5 °C."""
    assert round(14 * volume_ratio(ROOM, Air(5.0)), 1) == 13.3


def test_air_in_the_helium_takes_its_share_of_the_lift():
    """Source: densities from CoolProp, mixed by volume."""
    air, helium = (coolprop.PropsSI("D", "T", 293.15, "P", 101325.0, gas) for gas in ("Air", "Helium"))
    mixed = 0.92 * helium + 0.08 * air
    assert lift_g_per_l(20.0, purity=0.92) == pytest.approx(air - mixed, rel=0.0009)


@pytest.mark.parametrize("celsius", [-60.1, 80.1, math.nan, math.inf])
def test_refuses_a_temperature_nobody_fills_in(celsius):
    with pytest.raises(ValueError, match="°C"):
        Air(celsius)
    with pytest.raises(ValueError, match="°C"):
        lift_g_per_l(celsius)


@pytest.mark.parametrize("metres", [-451.0, 9001.0, math.nan])
def test_refuses_an_elevation_without_shops(metres):
    with pytest.raises(ValueError, match="outside -450 to 9000 m"):
        Air(20.0, metres)


@pytest.mark.parametrize("purity", [0.0, -0.1, 1.001, 92.0, math.nan])
def test_refuses_a_purity_that_is_no_share(purity):
    with pytest.raises(ValueError, match="purity"):
        lift_g_per_l(20.0, purity=purity)


def test_takes_the_ends_of_its_ranges():
    assert lift_g_per_l(-60.0, -450.0, 1.0) > lift_g_per_l(80.0, 9000.0, 0.01) > 0
