"""What a wait in the shop does to filled balloons, against the published hours and a scan of every minute."""

import math
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Endurance, Filling, endurance, filling_loss_rate
from app.physics.material import Material
from app.physics.promise import promise_of
from app.planning.late_collection import Remedy, kept_until, late_collection, legs_after_wait, remedy_of
from app.planning.window import Certainty, FloatPlan, Leg, Verdict, chance_at_end
from tests.physics.kinds import FOIL_18, latex
from tests.planning.shops import DEFAULTS, HOUR, MINUTE, berlin

NINE = berlin(2026, 11, 21, 9)
SHOP, WARM = Air(20.0), Air(30.0)
DOZENS = promise_of(24)
SURE = Certainty()


def _plan(balloon_type, *stays, treated=False, gas=Gas.HELIUM, litres=None):
    """Two dozen, in each place until so many hours after nine."""
    filling = Filling(balloon_type, gas, litres or balloon_type.full_litres, SHOP, treated=treated)
    legs = tuple(Leg(NINE + HOUR * hours, filling_loss_rate(filling, air, DEFAULTS)) for hours, air in stays)
    return FloatPlan(endurance(filling, DEFAULTS, DOZENS), legs)


def _hours(moment):
    return (moment - NINE) / HOUR


def test_an_11_inch_keeps_its_promise_for_the_part_of_its_hours_that_may_be_spent():
    """15.0 h is common practice for an 11-inch; of 24 with 22 to be up, 0.6276 of it may be spent at 95 %."""
    plan = _plan(latex(11), (2, SHOP), (6, SHOP))
    assert _hours(kept_until(NINE, plan.legs, plan.endurance, 0.95)) == pytest.approx(15.0 * 0.6276, abs=0.05)


def test_treated_it_first_loses_like_an_untreated_one_for_two_hours():
    """Its 150 h are 2 wet ones and the rest at a pace of 1/13.8; 0.4284 of the budget may be spent."""
    plan = _plan(latex(11), (2, SHOP), (6, SHOP), treated=True)
    budget = 2 + (150 - 2) / 13.8
    wanted = 2 + (budget * 0.4284 - 2) * 13.8
    assert _hours(kept_until(NINE, plan.legs, plan.endurance, 0.95)) == pytest.approx(wanted, rel=0.02)


def test_a_foil_of_ten_days_keeps_its_promise_for_its_part_of_them():
    plan = _plan(FOIL_18, (2, SHOP), (6, SHOP))
    assert _hours(kept_until(NINE, plan.legs, plan.endurance, 0.95)) == pytest.approx(240 * 0.6429, rel=0.005)


def test_in_a_warmer_place_the_hours_go_faster():
    """The pace at 30 °C against 20 °C, from the activation energy of 25 kJ/mol and the gas law."""
    plan = _plan(latex(11), (3, SHOP), (24, WARM))
    slower = math.exp(3007 * (1 / 303.15 - 1 / 293.15)) * 293.15 / 303.15
    wanted = 3 + (15.0 * 0.6276 - 3) * slower / (303.15 / 293.15) ** (1 / 3)
    assert _hours(kept_until(NINE, plan.legs, plan.endurance, 0.95)) == pytest.approx(wanted, abs=0.05)


def test_what_is_filled_with_air_waits_as_long_as_it_likes():
    plan = _plan(latex(11), (2, SHOP), (6, SHOP), gas=Gas.AIR)
    found = late_collection(plan, NINE, NINE + 40 * HOUR, SURE)
    assert (found.kept_until, found.refilled, found.waited.verdict) == (None, None, Verdict.SAFE)


def test_a_wait_in_the_same_air_changes_nothing_at_the_end_of_the_event():
    found = late_collection(_plan(latex(11), (2, SHOP), (9, SHOP)), NINE, NINE + 5 * HOUR, SURE)
    assert found.waited.chance == pytest.approx(found.agreed.chance)


def test_a_wait_in_the_cool_shop_is_better_than_the_warm_hall():
    found = late_collection(_plan(latex(11), (2, SHOP), (8, WARM)), NINE, NINE + 5 * HOUR, SURE)
    assert found.waited.chance > found.agreed.chance


def test_latex_that_waits_until_the_next_day_is_replaced_and_then_lasts():
    plan = _plan(latex(11), (2, SHOP), (8, SHOP))
    found = late_collection(plan, NINE, NINE + 24 * HOUR, SURE, refill=30 * MINUTE)
    assert (found.agreed.verdict, found.waited.verdict) == (Verdict.SAFE, Verdict.WONT_LAST)
    assert found.refilled.verdict is Verdict.SAFE
    assert _hours(found.refilled_until) == pytest.approx(23.5 + 15.0 * 0.6276, abs=0.05)
    assert remedy_of(Material.LATEX) is Remedy.REPLACE


def test_foil_that_waits_a_fortnight_is_topped_up_and_then_lasts():
    found = late_collection(_plan(FOIL_18, (2, SHOP), (8, SHOP)), NINE, NINE + 14 * 24 * HOUR, SURE)
    assert (found.waited.verdict, found.refilled.verdict) == (Verdict.WONT_LAST, Verdict.SAFE)
    assert {remedy_of(Material.FOIL), remedy_of(Material.SPHERE)} == {Remedy.TOP_UP}


def test_what_never_rises_is_no_better_filled_again():
    found = late_collection(_plan(latex(5), (2, SHOP), (8, SHOP)), NINE, NINE + 24 * HOUR, SURE)
    assert (found.kept_until, found.refilled) == (NINE, None)


def test_a_place_that_would_have_ended_is_skipped_and_the_event_keeps_its_end():
    legs = tuple(Leg(NINE + hours * HOUR, rate) for hours, rate in ((2, 1.0), (3, 2.0), (9, 3.0)))
    assert [_hours(leg.ends) for leg in legs_after_wait(legs, NINE + 5 * HOUR)] == [5, 5, 9]
    assert [_hours(leg.ends) for leg in legs_after_wait(legs, NINE + 12 * HOUR)] == [12, 12, 12]
    assert legs_after_wait(legs, NINE + HOUR) == legs


_legs = st.lists(st.tuples(st.integers(1, 300), st.floats(0.2, 3.0)), min_size=1, max_size=4)


@given(_legs, st.floats(0.5, 30), st.floats(0, 3), st.floats(1, 14))
def test_the_chance_falls_to_the_certainty_at_the_minute_that_is_named(stays, budget, wet, slowed):
    at, legs = NINE, []
    for minutes, rate in stays:
        at += minutes * MINUTE
        legs.append(Leg(at, rate))
    owns = Endurance(budget, DEFAULTS.untreated, wet, slowed, DOZENS)
    found = kept_until(NINE, legs, owns, 0.95)

    def chance(moment):
        to_then = [leg for leg in legs if leg.ends < moment]
        following = next((leg for leg in legs if leg.ends >= moment), legs[-1])
        return chance_at_end(NINE, [*to_then, Leg(moment, following.loss_rate)], owns)

    assert chance(found) >= 0.95 - 1e-6
    assert chance(found + timedelta(minutes=2)) < 0.95
