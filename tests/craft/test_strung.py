"""Strung arches: the pull at their ends against the catenary's closed forms and a walk along the line."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.curves import chain
from app.craft.strung import TOO_CLOSE, StrungDefaults, end_pull, strung_arch
from app.craft.weights import Outdoors
from app.physics.air import Air, lift_g_per_l
from app.physics.balloon import Gas, sphere_litres
from app.physics.endurance import Filling, FloatDefaults
from tests.later import integrate
from tests.numbers_in import numbers_in
from tests.physics.kinds import FOIL_9, FOIL_18, latex

ROOM = Air()
ELEVEN = Filling(latex(11), Gas.HELIUM, sphere_litres(11), ROOM)
FIVE = Filling(latex(5), Gas.HELIUM, sphere_litres(5), ROOM)
spans = st.floats(1.0, 10.0)
proportions = st.floats(0.1, 2.0)


def test_an_arch_of_four_metres():
    """Source: by hand from the lift of the sphere, 1.0383 g/L, and 3.0 g of rubber; no ribbon of its own."""
    piece = strung_arch(4, 2.5, ELEVEN)
    assert piece.balloons == math.ceil(piece.line.length_m / 0.35) == 20
    lift = sphere_litres(11) * lift_g_per_l(20) - 3.0
    assert piece.lift_g_m == pytest.approx(20 * lift / piece.line.length_m - 0.5)
    assert piece.up_g == pytest.approx((20 * lift - 0.5 * piece.line.length_m) / 2)
    assert piece.end_weight_g == math.ceil(piece.up_g + piece.level_g / 0.5)
    assert (piece.rises, piece.warnings, piece.crown_m) == (True, (), pytest.approx(2.5))


@given(spans, proportions)
def test_the_tension_obeys_the_catenary(span, proportion):
    """Source: the catenary: T = w·(c + h) at the ends, level part w·c, upright part w·L/2."""
    piece = strung_arch(span, span * proportion, ELEVEN)
    line, lift = piece.line, piece.lift_g_m
    assert piece.tension_g == pytest.approx(lift * (line.parameter_m + line.height_m))
    slope = math.sinh(span / (2 * line.parameter_m))
    assert piece.up_g / piece.level_g == pytest.approx(slope)
    assert end_pull(line, (0, 0, lift)) == pytest.approx((piece.level_g, 0, piece.up_g), rel=1e-6, abs=1e-6)


@given(spans, proportions, st.floats(0, 20), st.floats(0, 2 * math.pi), st.floats(0.1, 10))
def test_a_walk_along_the_line_ends_at_the_other_end(span, proportion, push, turn, lift):
    """Independent of the closed form: the line runs as its tension points, which each metre changes by its load."""
    line, load = chain(span, span * proportion), (push * math.cos(turn), push * math.sin(turn), lift)
    steps = np.linspace(0, 1, 20001) ** 3 * (10 - 15 * np.linspace(0, 1, 20001) + 6 * np.linspace(0, 1, 20001) ** 2)
    along = line.length_m * steps
    tension = np.array(end_pull(line, load))[:, None] - np.array(load)[:, None] * along
    ends = integrate.simpson(tension / np.linalg.norm(tension, axis=0), x=along)
    assert ends == pytest.approx([span, 0, 0], abs=2e-4 * line.length_m)


def test_across_the_wind_the_line_leans_and_keeps_its_form():
    line = chain(4, 2.5)
    along, across, up = end_pull(line, (0, 3, 4))
    assert along == pytest.approx(5 * line.parameter_m)
    assert (across, up) == pytest.approx((3 * line.length_m / 2, 4 * line.length_m / 2))
    piece = strung_arch(4, 2.5, ELEVEN, 3.0)
    assert piece.crown_m == pytest.approx(2.5 * math.cos(math.atan2(piece.push_g_m, piece.lift_g_m)))
    assert [3, round(piece.crown_m, 2)] in [numbers_in(warning) for warning in piece.warnings]


@given(spans, proportions, st.floats(0, 8), st.floats(0, 2 * math.pi))
def test_the_end_weight_holds_in_a_wind_from_any_side(span, proportion, wind, turn):
    piece = strung_arch(span, span * proportion, ELEVEN, wind)
    push = piece.push_g_m
    x, y, up = end_pull(piece.line, (push * math.cos(turn), push * math.sin(turn), piece.lift_g_m))
    presses = piece.end_weight_g - up
    assert presses * Outdoors().grip >= math.hypot(x, y) * 0.995


def test_wind_and_a_slippery_floor_ask_for_more():
    calm = strung_arch(4, 2.5, ELEVEN).end_weight_g
    assert strung_arch(4, 2.5, ELEVEN, 3.0).end_weight_g > calm
    assert strung_arch(4, 2.5, ELEVEN, outdoors=Outdoors(grip=0.25)).end_weight_g > calm
    warnings = strung_arch(4, 2.5, ELEVEN, 6.0).warnings
    assert [6, Outdoors().wind_limit_m_s] in [numbers_in(warning) for warning in warnings]


def test_what_sinks_is_said_and_holds_nothing():
    """A 5-inch does not float with ribbon (common practice); with the line it sinks too."""
    piece = strung_arch(4, 2.5, FIVE, strung=StrungDefaults(line_g_m=2.0))
    assert not piece.rises
    assert (piece.up_g, piece.level_g, piece.crown_m, piece.end_weight_g) == (0, 0, 0, None)
    assert [round(-piece.lift_g_m, 1)] in [numbers_in(warning) for warning in piece.warnings]


def test_balloons_wider_than_their_spacing_are_warned_of():
    assert TOO_CLOSE in strung_arch(4, 2, ELEVEN, strung=StrungDefaults(0.25)).warnings


def test_treatment_ties_and_thin_gas_cost_lift():
    plain = strung_arch(4, 2.5, ELEVEN).lift_g_m
    treated = Filling(latex(11), Gas.HELIUM, sphere_litres(11), ROOM, treated=True)
    assert strung_arch(4, 2.5, treated).lift_g_m < plain
    assert strung_arch(4, 2.5, ELEVEN, strung=StrungDefaults(tie_g=1.0)).lift_g_m < plain
    assert strung_arch(4, 2.5, ELEVEN, float_defaults=FloatDefaults(purity=0.92)).lift_g_m < plain


def test_a_foil_has_its_nominal_width():
    assert strung_arch(4, 2.5, Filling(FOIL_18, Gas.HELIUM, 14.0, ROOM)).diameter_in == 18


@given(spans, spans, proportions)
def test_a_longer_arch_never_needs_fewer(one, other, proportion):
    short, long = (strung_arch(span, span * proportion, ELEVEN) for span in sorted([one, other]))
    assert short.balloons <= long.balloons
    assert short.spacing_m <= 0.35 + 1e-6


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: strung_arch(4, 2.5, Filling(latex(11), Gas.AIR, 6.0, ROOM)), "helium"),
        (lambda: strung_arch(4, 2.5, Filling(FOIL_9, Gas.HELIUM, 3.0, ROOM)), "helium"),
        (lambda: strung_arch(0.1, 2.5, ELEVEN), "outside 0.3\u00a0m to 50\u00a0m"),
        (lambda: strung_arch(4, 2.5, ELEVEN, 70), "outside 0 to 60 m/s"),
        (lambda: StrungDefaults(spacing_m=0.01), "outside 0.05\u00a0m to 5\u00a0m"),
    ],
)
def test_what_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()
