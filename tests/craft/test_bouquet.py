"""Bouquets: ribbons measured again, lift and push from other libraries, and laws of the weight."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.bouquet import BouquetDefaults, BouquetProblem, Cut, Stacking, make_bouquet
from app.craft.piece import BouquetBalloon, bouquet_balloon_of
from app.craft.stacking import CannotStack
from app.physics.air import Air
from app.physics.balloon import Gas, sphere_litres
from app.physics.endurance import Filling, FloatDefaults
from tests.later import coolprop, fluids
from tests.numbers_in import numbers_in
from tests.physics.kinds import FOIL_18, latex

DEFAULTS, ROOM, GRIP = BouquetDefaults(), Air(), 0.5
ELEVEN = Filling(latex(11), Gas.HELIUM, sphere_litres(11), ROOM)
BALLOON = BouquetBalloon(27.94, 8.0)
builds = st.sampled_from(Stacking)
pieces = st.builds(
    BouquetBalloon,
    st.floats(20.0, 40.0),
    st.floats(-20.0, 60.0),
    st.floats(0.0, 200.0),
    st.just(0),
    topper=st.booleans(),
)
bouquets = st.lists(pieces, min_size=1, max_size=12)


def _made(balloons, build=Stacking.LAYERS, **changes):
    return make_bouquet(balloons, build, replace(DEFAULTS, **changes))


def test_it_works():
    bouquet = _made([BALLOON] * 4)
    assert [balloon.ribbon_cm for balloon in bouquet.balloons] == [110, 134, 134, 134]
    assert bouquet.cuts == (Cut(134, 3), Cut(110, 1))
    assert bouquet.ribbon_m == 5.12
    assert bouquet.net_lift_g == pytest.approx(4 * 8 - 5.12 * 0.5)
    assert bouquet.needed_weight_g(GRIP) == 48
    assert bouquet.cautions(GRIP, 48) == ()


def test_the_ribbon_of_the_upper_three_by_hand():
    """By Pythagoras: up 100 cm and a rise of √(2/3)·27.94 cm, 27.94/√3 cm out, 10 cm for tying: 133.87 cm."""
    straight = math.hypot(100 + math.sqrt(2 / 3) * 27.94, 27.94 / math.sqrt(3))
    assert _made([BALLOON] * 4).balloons[1].ribbon_cm == math.ceil(straight + 10) == 134


@given(bouquets, builds, st.floats(1.0, 300.0), st.floats(0.0, 30.0))
def test_each_ribbon_reaches_from_its_neck_to_the_knot(balloons, build, below, end):
    bouquet = _made(balloons, build, knot_below_cm=below, end_cm=end)
    for balloon in bouquet.balloons:
        straight = math.dist((0, 0, 0), (balloon.neck.x, balloon.neck.y, balloon.neck.z))
        assert math.dist(
            (balloon.neck.x, balloon.neck.y, balloon.neck.z), (balloon.centre.x, balloon.centre.y, balloon.centre.z)
        ) == pytest.approx(balloon.piece.width_cm / 2)
        assert -1e-6 <= balloon.ribbon_cm - (straight + end) < 1
    assert min(balloon.neck.z for balloon in bouquet.balloons) == pytest.approx(below)


@given(bouquets, builds)
def test_the_cut_list_adds_up_to_the_total(balloons, build):
    bouquet = _made(balloons, build)
    lengths = [cut.length_cm for cut in bouquet.cuts]
    assert lengths == sorted(set(lengths), reverse=True)
    assert sum(cut.count for cut in bouquet.cuts) == len(balloons)
    assert sum(cut.length_cm * cut.count for cut in bouquet.cuts) == round(bouquet.ribbon_m * 100)
    assert [balloon.piece for balloon in bouquet.balloons] == balloons


def test_a_column_touches_or_leaves_the_shops_gap():
    touching = _made([BALLOON] * 3, Stacking.COLUMN)
    assert [balloon.ribbon_cm for balloon in touching.balloons] == [110, 138, 166]
    assert [balloon.ribbon_cm for balloon in _made([BALLOON] * 3, Stacking.COLUMN, gap_cm=10.0).balloons] == [
        110,
        148,
        186,
    ]


def test_a_topper_given_first_stands_above_all():
    for build in Stacking:
        topper, *others = _made([BouquetBalloon(40.0, 9.0, topper=True), *[BALLOON] * 3], build).balloons
        assert all(topper.neck.z > other.centre.z for other in others)


def test_a_whole_layer_is_as_wide_as_a_circle_round_three():
    """Source: three circles of one size in a circle, 1 + 2/√3 = 2.1547 times as wide (geometry)."""
    bouquet = _made([BALLOON] * 6)
    assert bouquet.width_cm == pytest.approx(27.94 * (1 + 2 / math.sqrt(3)))
    assert bouquet.height_cm == pytest.approx(27.94 * (1 + math.sqrt(2 / 3)))


def test_the_lift_is_that_of_real_gases():
    """Source: densities of dry air and helium from CoolProp; rubber 3 g, ribbon 0.5 g/m."""
    at = ("T", 293.15, "P", 101325.0)
    litres = math.pi / 6 * 2.794**3
    each = litres * (coolprop.PropsSI("D", *at, "Air") - coolprop.PropsSI("D", *at, "Helium")) - 3.0
    bouquet = _made([bouquet_balloon_of(ELEVEN, ROOM, FloatDefaults())] * 7)
    assert bouquet.balloons[0].piece.width_cm == pytest.approx(27.94)
    assert bouquet.net_lift_g == pytest.approx(7 * each - bouquet.ribbon_m * 0.5, rel=0.002)


def test_the_push_is_that_of_spheres_in_the_wind():
    """Source: drag of a smooth sphere by `fluids`, density and viscosity of air from CoolProp, 3 m/s."""
    at = ("T", 293.15, "P", 101325.0, "Air")
    density, wide = coolprop.PropsSI("D", *at), 0.2794
    drag = fluids.drag_sphere(density * 3.0 * wide / coolprop.PropsSI("V", *at))
    grams = 0.5 * density * drag * math.pi / 4 * wide**2 * 9.0 / 9.80665e-3
    bouquet = _made([bouquet_balloon_of(ELEVEN, ROOM, FloatDefaults(), 3.0)] * 7)
    assert bouquet.push_g == pytest.approx(7 * grams, rel=0.05)
    assert bouquet.needed_weight_g(GRIP) == math.ceil(bouquet.pull_g + bouquet.push_g / GRIP)


def test_filled_with_air_it_only_weighs():
    air = bouquet_balloon_of(Filling(latex(11), Gas.AIR, 6.0, ROOM), ROOM, FloatDefaults())
    foil = bouquet_balloon_of(
        Filling(FOIL_18, Gas.HELIUM, 14.0, ROOM), ROOM, FloatDefaults(), colour_index=None, topper=True
    )
    assert air.lift_g == pytest.approx(-3.0)
    assert foil.topper
    assert foil.width_cm == pytest.approx(18 * 2.54)


@given(bouquets, pieces, builds, st.floats(0.05, 2.0))
def test_a_further_balloon_never_asks_for_less_weight(balloons, further, build, grip):
    less = _made(balloons, build).needed_weight_g(grip)
    assert _made([*balloons, further], build).needed_weight_g(grip) >= less


@given(bouquets, st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.data())
def test_more_lift_or_push_never_asks_for_less_weight(balloons, lift, push, data):
    n = data.draw(st.integers(0, len(balloons) - 1))
    more = replace(balloons[n], lift_g=balloons[n].lift_g + lift, push_g=balloons[n].push_g + push)
    grown = [*balloons[:n], more, *balloons[n + 1 :]]
    assert _made(grown).needed_weight_g(GRIP) >= _made(balloons).needed_weight_g(GRIP)


@given(st.integers(1, 9), st.floats(0.0, 60.0), st.floats(0.0, 1.0))
def test_more_wind_never_asks_for_less_weight_and_never_less_than_indoors(balloons, wind, share):
    def needed(m_s):
        return _made([bouquet_balloon_of(ELEVEN, ROOM, FloatDefaults(), m_s)] * balloons).needed_weight_g(GRIP)

    assert needed(0.0) <= needed(wind * share) <= needed(wind)


@given(bouquets, st.floats(0.0, 50.0), st.floats(0.0, 2000.0))
def test_the_weights_warning_never_goes_as_lift_grows(balloons, lift, weight):
    grown = [replace(piece, lift_g=piece.lift_g + lift) for piece in balloons]
    before, after = ({c.problem for c in _made(b).cautions(GRIP, weight)} for b in (balloons, grown))
    assert BouquetProblem.WEIGHT_TOO_LIGHT not in before or BouquetProblem.WEIGHT_TOO_LIGHT in after


@given(bouquets, builds)
def test_the_weight_holds_the_whole(balloons, build):
    bouquet = _made(balloons, build)
    assert bouquet.needed_weight_g(GRIP) >= 1.5 * max(bouquet.net_lift_g, 0.0) - 1e-6
    assert bouquet.cautions(GRIP, bouquet.needed_weight_g(GRIP)) == bouquet.cautions(GRIP)


def test_a_weight_too_light_is_said():
    (caution,) = _made([BALLOON] * 4).cautions(GRIP, 47)
    assert caution.problem is BouquetProblem.WEIGHT_TOO_LIGHT
    assert numbers_in(caution.sentence) == [47, 48]
    assert [c.problem for c in _made([BALLOON]).cautions(GRIP, math.nan)] == [BouquetProblem.WEIGHT_TOO_LIGHT]


def test_balloons_that_hang_down_are_named():
    bouquet = _made([BALLOON, BouquetBalloon(12.0, 0.55), BALLOON], Stacking.COLUMN)
    (caution,) = bouquet.cautions(GRIP)
    assert (caution.problem, caution.indexes) == (BouquetProblem.BALLOON_SINKS, (1,))
    assert numbers_in(caution.sentence) == [1, 3]


def test_a_whole_that_does_not_rise_is_said():
    cautions = _made([BALLOON, BouquetBalloon(40.0, -9.0, topper=True)]).cautions(GRIP)
    assert [c.problem for c in cautions] == [BouquetProblem.BALLOON_SINKS, BouquetProblem.BOUQUET_SINKS]


def test_refuses_what_is_no_bouquet():
    with pytest.raises(ValueError, match="bouquet"):
        _made([])
    with pytest.raises(CannotStack):
        _made([BouquetBalloon(90.0, 50.0)] * 3 + [BouquetBalloon(12.0, 0.1, topper=True)])
    with pytest.raises(ValueError, match="grip"):
        _made([BALLOON]).needed_weight_g(0.0)


@pytest.mark.parametrize(
    "wrong", [{"width_cm": 0.0}, {"width_cm": math.inf}, {"lift_g": math.nan}, {"push_g": -0.1}]
)
def test_refuses_figures_that_no_balloon_has(wrong):
    with pytest.raises(ValueError):
        replace(BALLOON, **wrong)


@pytest.mark.parametrize(
    "wrong",
    [
        {"knot_below_cm": 0.0},
        {"end_cm": -1.0},
        {"gap_cm": math.nan},
        {"ribbon_g_per_m": -0.1},
        {"weight_factor": 0.99},
    ],
)
def test_refuses_habits_that_no_shop_has(wrong):
    with pytest.raises(ValueError):
        replace(DEFAULTS, **wrong)
