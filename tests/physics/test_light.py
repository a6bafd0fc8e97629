"""Light ages latex, whatever is in it. All four limits are from memory; each is a setting."""

import pytest

from app.physics.balloon import Gas
from app.physics.light import LightLimits, Surroundings, light_rate
from app.physics.material import Material

LIMITS = LightLimits()
IN, SHADE, SUN = Surroundings.INDOORS, Surroundings.SHADE, Surroundings.SUN


@pytest.mark.parametrize(
    ("where", "gas", "hours"),
    [
        (SUN, Gas.HELIUM, 6),
        (SUN, Gas.AIR, 6),
        (SHADE, Gas.HELIUM, 24),
        (SHADE, Gas.AIR, 24),
        (IN, Gas.AIR, 5 * 24),
        (IN, Gas.HELIUM, 14 * 24),
    ],
)
def test_latex_is_good_for_so_long(where, gas, hours):
    assert LIMITS.hours(where, gas) == hours
    assert hours * light_rate(Material.LATEX, gas, where, LIMITS) == pytest.approx(1.0)


@pytest.mark.parametrize("gas", Gas)
def test_shares_of_a_limit_add_up(gas):
    """3 h of sun and 12 h of shade are the whole."""
    assert 3 * light_rate(Material.LATEX, gas, SUN, LIMITS) + 12 * light_rate(
        Material.LATEX, gas, SHADE, LIMITS
    ) == pytest.approx(1.0)


@pytest.mark.parametrize("material", [Material.FOIL, Material.SPHERE])
@pytest.mark.parametrize("where", Surroundings)
def test_film_does_not_age(material, where):
    assert {light_rate(material, gas, where, LIMITS) for gas in Gas} == {0.0}


def test_the_limits_are_the_shops():
    own = LightLimits(sun=2.0, shade=12.0, air_indoors=72.0, helium_indoors=200.0)
    assert [own.hours(where, gas) for where in (SUN, SHADE, IN) for gas in (Gas.AIR, Gas.HELIUM)] == [
        *(2.0, 2.0, 12.0, 12.0),
        *(72.0, 200.0),
    ]
    assert light_rate(Material.LATEX, Gas.AIR, SUN, own) == 0.5


def test_only_the_shade_and_the_sun_are_outdoors():
    assert [where for where in Surroundings if where.outdoors] == [SHADE, SUN]
