"""How long a balloon of a type lasts indoors: until it sinks, or until light has aged it."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.air import Air
from app.physics.balloon import BalloonType
from app.physics.endurance import FloatDefaults
from app.physics.float_time import FloatTime, float_time
from app.physics.light import LightLimits
from app.physics.material import Material

ROOM = Air(20.0, 0.0)
DEFAULTS = FloatDefaults()
ELEVEN = BalloonType("11 in latex", Material.LATEX, 11, 3.0)
LARGE = {
    24: BalloonType("24 in latex", Material.LATEX, 24, 22.0, size_factor=0.75),
    36: BalloonType("36 in latex", Material.LATEX, 36, 60.0, size_factor=0.55),
}
FOIL = BalloonType("18 in foil", Material.FOIL, 18, 10.0, 14.0, 240.0)
FORTNIGHT = 14 * 24.0


def test_an_eleven_inch_lasts_as_long_as_it_floats():
    """15 h and 150 h treated: common practice, no source. Half of that may be promised to one balloon treated."""
    assert float_time(ELEVEN, ROOM, DEFAULTS) == FloatTime(pytest.approx(15.0, abs=0.05))
    treated = float_time(ELEVEN, ROOM, DEFAULTS, treated=True)
    assert treated == FloatTime(pytest.approx(150, abs=1.5))
    assert float_time(ELEVEN, ROOM, DEFAULTS, certainty=0.95).hours == pytest.approx(15.0 * 0.6628, abs=0.05)


@pytest.mark.parametrize("size", LARGE)
def test_large_treated_latex_is_bounded_by_light_not_by_its_helium(size):
    """14 days indoors with helium (from memory), though the helium alone would last longer, by the closed form."""
    untreated = float_time(LARGE[size], ROOM, DEFAULTS).hours
    assert untreated < FORTNIGHT < untreated * 13.8
    for certainty in (None, 0.95):
        shown = float_time(LARGE[size], ROOM, DEFAULTS, treated=True, certainty=certainty)
        assert shown == FloatTime(FORTNIGHT, by_light=True)


def test_the_limit_is_the_shops_own():
    short = replace(DEFAULTS, light=LightLimits(helium_indoors=10.0))
    assert float_time(ELEVEN, ROOM, short) == FloatTime(10.0, by_light=True)
    assert not float_time(FOIL, ROOM, short).by_light
    assert float_time(FOIL, ROOM, short).hours == pytest.approx(240)


def test_what_does_not_rise_has_no_hours():
    assert float_time(replace(ELEVEN, mass_g=50.0), ROOM, DEFAULTS) == FloatTime(0.0)
    assert float_time(replace(ELEVEN, air_only=True), ROOM, DEFAULTS) == FloatTime(0.0)


@given(st.sampled_from([ELEVEN, *LARGE.values(), FOIL]), st.floats(0, 35), st.floats(0, 2500), st.floats(1, 2000))
def test_it_never_claims_more_than_light_allows(balloon_type, celsius, elevation, limit):
    defaults = replace(DEFAULTS, light=LightLimits(helium_indoors=limit))
    air, endless = Air(celsius, elevation), replace(DEFAULTS, light=LightLimits(helium_indoors=math.inf))
    shown = float_time(balloon_type, air, defaults)
    floats = float_time(balloon_type, air, endless)
    assert not floats.by_light
    ages = balloon_type.material.traits.ages_in_light
    assert shown.hours == pytest.approx(min(floats.hours, limit) if ages else floats.hours)
    assert shown.by_light == (ages and limit < floats.hours)
