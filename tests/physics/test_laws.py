"""Laws that hold for every balloon, place and journey; hypothesis looks for one that breaks them."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from app.physics.air import Air, lift_g_per_l, volume_ratio
from app.physics.balloon import Gas, net_lift_g, sphere_litres
from app.physics.endurance import Endurance, Filling, FloatDefaults, endurance, filling_loss_rate
from app.physics.leak import float_hours, loss_rate
from app.physics.promise import Promise, Scatter, promise_of
from tests.amounts import amount
from tests.physics.kinds import FOIL_18, LATEX_GRAMS, SPHERE_22, latex

ROUNDING = 1e-12

law = settings(deadline=None, max_examples=amount(30, deep=200))
temperatures = st.floats(-10.0, 45.0)
airs = st.builds(Air, temperatures, st.floats(0.0, 3000.0))
any_airs = st.builds(Air, st.floats(-60.0, 80.0), st.floats(-450.0, 9000.0))
latexes = st.sampled_from([latex(inches) for inches in LATEX_GRAMS])
shares = st.floats(0.0, 1.0)
loads = st.floats(0.0, 3.0)
fill_shares = st.floats(0.8, 1.0)  # of the nominal diameter
legs = st.lists(st.tuples(st.floats(0.0, 12.0), airs), min_size=1, max_size=4)
Leg = tuple[float, Air]


def _tied(balloon_type, fill_share, air, treated=False) -> Filling:
    return Filling(balloon_type, Gas.HELIUM, sphere_litres(balloon_type.nominal_in * fill_share), air, treated)


def _stages(filling, float_defaults, places: list[Leg]) -> list[tuple[float, float]]:
    return [(hours, filling_loss_rate(filling, air, float_defaults)) for hours, air in places]


def _odds(filling, places: list[Leg], load_g=0.75) -> tuple[float, float]:
    """Chance of being up at the end, and how many times what it used it owns (finer where the chance is 0 or 1)."""
    float_defaults = FloatDefaults(load_g=load_g)
    owned, stages = endurance(filling, float_defaults), _stages(filling, float_defaults, places)
    return owned.chance(stages), owned.budget / max(owned.used(stages), 0.01)


def _no_worse(better: tuple[float, float], worse: tuple[float, float]) -> bool:
    return better[0] >= worse[0] - ROUNDING and better[1] >= worse[1] * (1 - ROUNDING) - 1e-9


def _cooler(air: Air, degrees: float) -> Air:
    return Air(air.celsius - degrees, air.elevation_m)


# Filling later, keeping cooler, filling fuller and hanging less on it never lower the chance


@law
@given(latexes, fill_shares, airs, st.floats(0.0, 24.0), shares, legs)
def test_untreated_later_is_never_worse(balloon_type, fill, shop, wait, share, journey):
    tied = _tied(balloon_type, fill, shop)
    early, late = [(wait, shop), *journey], [(wait * share, shop), *journey]
    assert _no_worse(_odds(tied, late), _odds(tied, early))


@law
@given(latexes, fill_shares, airs, st.floats(0.0, 200.0), shares)
def test_treated_later_is_never_worse_at_one_temperature(balloon_type, fill, shop, hours, share):
    tied = _tied(balloon_type, fill, shop, treated=True)
    assert _no_worse(_odds(tied, [(hours * share, shop)]), _odds(tied, [(hours, shop)]))


@law
@given(latexes, fill_shares, airs, st.floats(2.0, 48.0), shares, legs)
def test_treated_later_is_never_worse_once_dry(balloon_type, fill, shop, wait, share, journey):
    """Both dry in the shop: 2 h, from memory."""
    tied = _tied(balloon_type, fill, shop, treated=True)
    early, late = [(wait, shop), *journey], [(2.0 + (wait - 2.0) * share, shop), *journey]
    assert _no_worse(_odds(tied, late), _odds(tied, early))


@law
@given(latexes, fill_shares, airs, legs, st.floats(0.0, 30.0), st.booleans())
def test_cooler_everywhere_is_never_worse(balloon_type, fill, shop, journey, degrees, treated):
    cool_journey = [(hours, _cooler(air, degrees)) for hours, air in journey]
    warm = _odds(_tied(balloon_type, fill, shop, treated), [(2.0, shop), *journey])
    cool_shop = _cooler(shop, degrees)
    assert _no_worse(_odds(_tied(balloon_type, fill, cool_shop, treated), [(2.0, cool_shop), *cool_journey]), warm)


@law
@given(latexes, fill_shares, airs, legs, st.floats(0.0, 30.0), st.data(), st.booleans())
def test_cooler_in_one_place_is_never_worse(balloon_type, fill, shop, journey, degrees, data, treated):
    which = data.draw(st.integers(0, len(journey) - 1))
    hours, air = journey[which]
    cool = [*journey[:which], (hours, _cooler(air, degrees)), *journey[which + 1 :]]
    tied = _tied(balloon_type, fill, shop, treated)
    assert _no_worse(_odds(tied, cool), _odds(tied, journey))


@law
@given(latexes, fill_shares, fill_shares, airs, legs, loads, st.booleans())
def test_fuller_is_never_worse(balloon_type, one, other, shop, journey, load, treated):
    fuller, slacker = max(one, other), min(one, other)
    assert _no_worse(
        _odds(_tied(balloon_type, fuller, shop, treated), journey, load),
        _odds(_tied(balloon_type, slacker, shop, treated), journey, load),
    )


@law
@given(latexes, fill_shares, airs, legs, loads, loads, st.booleans())
def test_less_hanging_is_never_worse(balloon_type, fill, shop, journey, one, other, treated):
    tied = _tied(balloon_type, fill, shop, treated)
    assert _no_worse(_odds(tied, journey, min(one, other)), _odds(tied, journey, max(one, other)))


@law
@given(latexes, fill_shares, airs, legs, st.floats(0.5, 1.0), st.floats(0.5, 1.0))
def test_purer_is_never_worse(balloon_type, fill, shop, journey, one, other):
    tied = _tied(balloon_type, fill, shop)
    pure, poor = (endurance(tied, FloatDefaults(purity=p(one, other))) for p in (max, min))
    stages = _stages(tied, FloatDefaults(), journey)
    assert pure.chance(stages) >= poor.chance(stages) - ROUNDING
    assert pure.budget >= poor.budget * (1 - ROUNDING) - ROUNDING


# Stages compose


@law
@given(latexes, legs, st.data(), shares, st.booleans())
def test_splitting_a_stage_anywhere_changes_nothing(balloon_type, journey, data, share, treated):
    which = data.draw(st.integers(0, len(journey) - 1))
    hours, air = journey[which]
    split = [*journey[:which], (hours * share, air), (hours * (1 - share), air), *journey[which + 1 :]]
    tied = _tied(balloon_type, 1.0, journey[0][1], treated)
    owned = endurance(tied, FloatDefaults())
    whole, parts = (owned.used(_stages(tied, FloatDefaults(), places)) for places in (journey, split))
    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-12)
    assert owned.chance(_stages(tied, FloatDefaults(), split)) == pytest.approx(
        owned.chance(_stages(tied, FloatDefaults(), journey)), rel=1e-6, abs=1e-12
    )


stage_lists = st.lists(st.tuples(st.floats(0.0, 50.0), st.floats(0.1, 5.0)), max_size=5)


@law
@given(stage_lists, stage_lists, st.floats(0.0, 5.0), st.floats(1.0, 20.0))
@example([(1.5, 1.0)], [(2.0, 1.8)], 2.0, 13.8)
def test_what_comes_after_carries_on_from_what_was(before, after, wet, slowed):
    """Used of a and b: used of a, and used of b with the wet hours that a left."""
    whole = Endurance(1.0, Scatter(0.25), wet, slowed)
    wet_left = max(0.0, wet - sum(hours for hours, _ in before))
    rest = replace(whole, wet_hours=wet_left)
    assert whole.used(before + after) == pytest.approx(whole.used(before) + rest.used(after), rel=1e-9, abs=1e-9)


@law
@given(st.permutations([(3.0, 1.0), (0.5, 1.7), (8.0, 0.6), (2.0, 2.2)]))
def test_untreated_the_order_of_places_does_not_matter(stages):
    assert Endurance(15.0, Scatter(0.25)).used(stages) == pytest.approx(3.0 + 0.5 * 1.7 + 8.0 * 0.6 + 2.0 * 2.2)


@law
@given(st.floats(0.01, 400.0), any_airs)
def test_one_place_is_one_stage(hours, air):
    """An hour costs the pace of its place, and the hours of a place are the budget over its pace."""
    filling = _tied(latex(16), 1.0, air)
    owned = endurance(filling, FloatDefaults())
    assert owned.used(_stages(filling, FloatDefaults(), [(hours, air)])) == pytest.approx(
        hours * loss_rate(air), rel=1e-12
    )
    here = float_hours(16, filling.balloon_type.mass_g, celsius=air.celsius, elevation_m=air.elevation_m)
    assert owned.budget / loss_rate(air) == pytest.approx(here, rel=1e-9)


# Moving never sinks


@law
@given(st.floats(0.1, 500.0), any_airs, any_airs, st.floats(0.1, 300.0))
def test_what_rises_somewhere_rises_anywhere(litres, first_air, other_air, carried):
    """The same gas in another air, weighed with the lift of that air."""
    moved = litres * volume_ratio(first_air, other_air)
    weighed_in_first_air = litres * lift_g_per_l(first_air.celsius, first_air.elevation_m) - carried
    weighed_in_other_air = moved * lift_g_per_l(other_air.celsius, other_air.elevation_m) - carried
    assert weighed_in_other_air == pytest.approx(weighed_in_first_air, rel=1e-9, abs=1e-9 * carried)
    assume(abs(weighed_in_first_air) > 1e-9 * carried)
    lifts = net_lift_g(litres, first_air, carried), net_lift_g(moved, other_air, carried)
    assert [lift > 0 for lift in lifts] == [weighed_in_first_air > 0] * 2


@law
@given(latexes, fill_shares, airs, airs, loads)
def test_the_budget_is_of_the_gas_not_of_the_place(balloon_type, fill, first_air, other_air, load):
    """The same untreated gas, measured after the move, owns the same hours."""
    tied, float_defaults = _tied(balloon_type, fill, first_air), FloatDefaults(load_g=load)
    moved = replace(tied, litres=tied.litres * volume_ratio(first_air, other_air), air=other_air)
    assert endurance(moved, float_defaults).budget == pytest.approx(
        endurance(tied, float_defaults).budget, rel=1e-9, abs=1e-9
    )


@law
@given(any_airs, any_airs, any_airs)
def test_moves_compose(start, middle, end):
    by_way = volume_ratio(start, middle) * volume_ratio(middle, end)
    assert by_way == pytest.approx(volume_ratio(start, end), rel=1e-12)
    assert volume_ratio(start, end) * volume_ratio(end, start) == pytest.approx(1.0, rel=1e-12)


films = st.sampled_from([FOIL_18, SPHERE_22])


@law
@given(films, airs, st.floats(0.0, 15.0), st.floats(0.6, 1.0))
def test_film_owns_hours_for_the_lift_that_is_left(balloon_type, air, load, purity):
    """In proportion to the litres above those with which it sinks; its stated hours when filled at sea level."""
    litres = balloon_type.full_litres
    owned = endurance(
        Filling(balloon_type, Gas.HELIUM, litres, air), FloatDefaults(load_g=load, purity=purity)
    ).budget
    per_litre = lift_g_per_l(20.0)
    spare = litres / air.litres_per_reference_litre - (balloon_type.mass_g + load) / (per_litre * purity)
    stated = litres - (balloon_type.mass_g + 0.75) / per_litre
    assert owned == pytest.approx(max(0.0, balloon_type.median_hours * spare / stated), rel=1e-9, abs=1e-9)


@law
@given(films, airs, airs, st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(0.7, 1.0), st.floats(0.7, 1.0))
def test_film_with_less_on_it_and_purer_gas_is_never_worse(balloon_type, shop, venue, one, other, pure, poor):
    tied = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop)
    better = FloatDefaults(load_g=min(one, other), purity=max(pure, poor))
    worse = FloatDefaults(load_g=max(one, other), purity=min(pure, poor))
    stages = _stages(tied, better, [(24.0, shop), (24.0, venue)])
    assert stages == _stages(tied, worse, [(24.0, shop), (24.0, venue)])
    assert endurance(tied, better).budget >= endurance(tied, worse).budget
    assert endurance(tied, better).chance(stages) >= endurance(tied, worse).chance(stages) - ROUNDING


@law
@given(films, airs, legs, st.floats(0.0, 200.0), shares)
def test_film_filled_later_is_never_worse(balloon_type, shop, journey, wait, share):
    tied = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop)
    assert _no_worse(_odds(tied, [(wait * share, shop), *journey]), _odds(tied, [(wait, shop), *journey]))


# Chances of what owns a budget


owned_by_any = st.builds(
    Endurance,
    st.floats(0.1, 1000.0),
    st.builds(Scatter, st.floats(0.01, 1.0), st.floats(0.0, 0.3)),
    st.sampled_from([0.0, 2.0]),
    st.floats(1.0, 20.0),
    st.integers(1, 60).map(promise_of),
)


@law
@given(owned_by_any, st.floats(0.0, 2000.0), st.floats(0.0, 2000.0))
def test_the_chance_only_falls(owned, one, other):
    sooner, later = (owned.chance([(pick(one, other), 1.0)]) for pick in (min, max))
    assert 1.0 >= sooner >= later - ROUNDING
    assert later >= 0.0


@law
@given(owned_by_any, st.floats(0.3, 3.0), st.floats(0.5, 0.999))
def test_sure_hours_are_the_inverse(owned, loss_rate, certainty):
    """Never short of the certainty, and two millionths of the budget more would be."""
    sure = owned.spendable(certainty)
    assert owned.chance([(owned.hours_after(sure, loss_rate), loss_rate)]) >= certainty - 1e-9
    assert owned.chance([(owned.hours_after(sure + 2e-6 * owned.budget, loss_rate), loss_rate)]) < certainty


@law
@given(owned_by_any, stage_lists, st.integers(1, 60), st.integers(1, 60))
def test_promising_fewer_is_never_worse(owned, stages, one, other):
    fewer, more = (replace(owned, promise=Promise(pick(one, other), 60)) for pick in (min, max))
    assert fewer.chance(stages) >= more.chance(stages) - 1e-6


# Nothing out of range passes


def _outside(least: float, most: float) -> st.SearchStrategy[float]:
    below, above = st.floats(max_value=least, exclude_max=True), st.floats(min_value=most, exclude_min=True)
    near = st.floats(0.001, 50.0).flatmap(lambda by: st.sampled_from([least - by, most + by]))
    return st.one_of(near, below, above, st.just(math.nan))


@law
@given(_outside(-60.0, 80.0), st.floats(-450.0, 9000.0))
def test_refuses_every_temperature_out_of_range(celsius, metres):
    with pytest.raises(ValueError, match="°C is outside"):
        Air(celsius, metres)


@law
@given(st.floats(-60.0, 80.0), _outside(-450.0, 9000.0))
def test_refuses_every_elevation_out_of_range(celsius, metres):
    with pytest.raises(ValueError, match="m is outside"):
        Air(celsius, metres)


@law
@given(_outside(0.0, 1.0) | st.just(0.0))
def test_refuses_every_purity_out_of_range(purity):
    with pytest.raises(ValueError, match="purity"):
        lift_g_per_l(20.0, purity=purity)
