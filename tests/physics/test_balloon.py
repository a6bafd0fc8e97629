"""What a balloon holds, weighs and lifts."""

import math
from dataclasses import replace

import pytest
from scipy.constants import foot, inch

from app.physics.air import Air, lift_g_per_l, volume_ratio
from app.physics.balloon import (
    BalloonType,
    coat_g,
    net_lift_g,
    reference_litres,
    ribbon_load_g,
    sphere_diameter_in,
    sphere_litres,
)
from app.physics.material import Material
from tests.physics.kinds import FOIL_9, FOIL_18, FOIL_22, FOIL_JUMBO, SPHERE_20, SPHERE_22, latex

SEA, MILE = Air(20.0), Air(20.0, 1609.0)


@pytest.mark.parametrize("inches", [5, 11, 36])
def test_litres_of_a_sphere(inches):
    """Source: geometry, with the inch of `scipy.constants`."""
    litres = 4 / 3 * math.pi * (inches * inch / 2) ** 3 * 1000
    assert sphere_litres(inches) == pytest.approx(litres, rel=1e-12)
    assert round(sphere_litres(inches) / inches**3 * 1000, 3) == 8.580
    assert sphere_diameter_in(litres) == pytest.approx(inches, rel=1e-12)


def test_an_eleven_inch_holds_less_than_the_charts_say():
    """Source: geometry. 0.403 cu ft, where trade charts round up to 0.5."""
    assert round(sphere_litres(11) / (foot**3 * 1000), 3) == 0.403


def test_coat_goes_with_the_surface():
    """0.6 g in an 11-inch balloon, from memory; surfaces by geometry."""
    assert coat_g(11) == pytest.approx(0.6)
    assert coat_g(22) == pytest.approx(4 * 0.6)
    assert coat_g(16, at_11_in=1.0) == pytest.approx((16 / 11) ** 2)


def test_an_eleven_inch_lifts_eight_grams():
    """Computed: 11.42 L of 1.0383 g/L less 3.0 g of latex and 0.75 g of ribbon."""
    assert round(net_lift_g(sphere_litres(11), SEA, 3.75), 1) == 8.1


@pytest.mark.parametrize("air", [SEA, MILE, Air(0.0, 500.0), Air(35.0, 3000.0)])
@pytest.mark.parametrize("purity", [1.0, 0.92])
def test_net_lift_is_that_of_the_air_around(air, purity):
    """Source: Archimedes, with the lift of the place itself instead of the reference litres."""
    weighed = 11.42 * lift_g_per_l(air.celsius, air.elevation_m, purity) - 3.75
    assert net_lift_g(11.42, air, 3.75, purity) == pytest.approx(weighed, rel=1e-12)


def test_a_move_changes_the_litres_but_not_the_gas():
    """Source: Boyle and Charles."""
    moved = 11.42 * volume_ratio(SEA, MILE)
    assert moved > 13
    assert reference_litres(11.42, SEA) == pytest.approx(11.42, rel=1e-12)
    assert reference_litres(moved, MILE) == pytest.approx(11.42, rel=1e-12)


def test_a_cold_foil_still_lifts_the_same():
    """Source: Charles's law. A foil that looks limp at 5 °C has lost volume, not lift."""
    limp = FOIL_18.helium_l * volume_ratio(SEA, Air(5.0))
    assert net_lift_g(limp, Air(5.0), 10.75) == pytest.approx(net_lift_g(14, SEA, 10.75), rel=1e-12)


@pytest.mark.parametrize("balloon_type", [FOIL_18, FOIL_22, FOIL_JUMBO, SPHERE_20, SPHERE_22])
def test_film_that_floats_rises_at_sea_level(balloon_type):
    """Masses and litres: from memory; that they float with a ribbon: common practice, no source."""
    assert net_lift_g(balloon_type.full_litres, SEA, balloon_type.mass_g + 0.75) > 0


def test_litres_when_full():
    """Latex is the sphere of its diameter; foil says its own."""
    assert latex(11).full_litres == sphere_litres(11)
    assert FOIL_18.full_litres == 14
    assert FOIL_9.full_litres == sphere_litres(9)


def test_what_is_made_for_another_diameter_is_full_there():
    """Source: geometry. A 24-inch with a rated 23: 8.580 mL × 23³."""
    made_for = replace(latex(24), rated_in=23)
    assert (made_for.full_in, latex(24).full_in) == (23, 24)
    assert made_for.full_litres == pytest.approx(104.4, abs=0.05)
    assert replace(FOIL_18, rated_in=17).full_litres == 14


@pytest.mark.parametrize(
    ("ribbon_m", "up_height_m", "grams"),
    [(1.5, 1.5, 0.75), (1.0, 1.5, 0.5), (3.0, 1.5, 0.75), (3.0, 2.0, 1.0), (0.0, 1.5, 0.0)],
)
def test_what_lies_on_the_table_is_not_carried(ribbon_m, up_height_m, grams):
    """Curling ribbon of 5 mm, 0.5 g/m: computed from polypropylene, 0.9 g/cm³. Up from 1.5 m: from memory."""
    assert ribbon_load_g(ribbon_m, 0.5, up_height_m) == pytest.approx(grams)


def test_only_latex_stretches():
    assert [k.stretches for k in (latex(11), FOIL_18, SPHERE_20)] == [True, False, False]


@pytest.mark.parametrize("figure", ["nominal_in", "mass_g", "size_factor", "rated_in"])
@pytest.mark.parametrize("wrong", [0, -11])
def test_refuses_a_kind_without_size_or_mass(figure, wrong):
    good = {"name": "latex 11 in", "material": Material.LATEX, "nominal_in": 11, "mass_g": 3.0}
    assert BalloonType(**good).mass_g == 3.0
    with pytest.raises(ValueError, match="above 0"):
        BalloonType(**(good | {figure: wrong}))


@pytest.mark.parametrize("material", [Material.FOIL, Material.SPHERE])
@pytest.mark.parametrize("known", [{}, {"helium_l": 14}, {"median_hours": 240}])
def test_refuses_film_for_helium_without_litres_and_hours(material, known):
    with pytest.raises(ValueError, match=f"film: {material}"):
        BalloonType("film", material, 18, 10, **known)
    assert BalloonType("film", material, 18, 10, air_only=True, **known).air_only
