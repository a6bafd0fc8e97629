"""The reasons for the time of a batch are the window's own figures, looked at from the other end."""

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.material import Material
from app.physics.promise import Promise, Scatter, promise_of
from app.planning.bench_window import BenchWindow
from app.planning.reasons import (
    FinishingReason,
    Lasting,
    TimeReasons,
    WorkReason,
    float_reason,
)
from app.planning.window import FloatPlan, Leg, not_before

NOON = datetime(2026, 11, 21, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)
UNTREATED = Endurance(15.0, Scatter(0.25, 0.05))
BATCH = replace(UNTREATED, promise=promise_of(24))
AIR = Endurance(1.0, Scatter(0.0))
STEADY = (Leg(NOON + 2 * HOUR, 1.0), Leg(NOON + 9 * HOUR, 1.0))
WARM_VENUE = (Leg(NOON + 2 * HOUR, 1.0), Leg(NOON + 9 * HOUR, 1.5))


def _reason(endurance=UNTREATED, legs=STEADY, start=NOON, material=Material.LATEX, gas=Gas.HELIUM):
    return float_reason(material, gas, FloatPlan(endurance, tuple(legs)), 0.95, start)


@pytest.mark.parametrize(
    ("material", "gas", "lasting"),
    [
        (Material.LATEX, Gas.HELIUM, Lasting.FLOATS),
        (Material.FOIL, Gas.HELIUM, Lasting.STATED),
        (Material.SPHERE, Gas.HELIUM, Lasting.STATED),
        (Material.LATEX, Gas.AIR, Lasting.LOOKS),
        (Material.FOIL, Gas.AIR, Lasting.UNLIMITED),
    ],
)
def test_what_limits_a_batch_follows_from_material_and_gas(material, gas, lasting):
    assert _reason(material=material, gas=gas).lasting is lasting


def test_the_hours_are_those_of_each_place():
    """15 budget hours at 1.5 an hour are 10 hours."""
    reason = _reason(legs=WARM_VENUE)
    assert (reason.hours_before, reason.hours_after) == pytest.approx((15, 10))


def test_the_shares_are_of_the_median():
    """σ 0.25 and the 5 % quantile of the standard normal, −1.6449: exp(−0.25 × 1.6449) = 0.6628."""
    reason = _reason(legs=WARM_VENUE)
    assert reason.may_use == pytest.approx(0.6628, abs=1e-4)
    assert reason.uses == pytest.approx((2 + 7 * 1.5) / 15)
    assert reason.until == NOON + 9 * HOUR
    assert reason.promise == Promise(1, 1)


def test_the_shares_of_a_batch_are_those_of_its_promise():
    """22 of 24 untreated may spend 0.6276: computed with scipy. The hours stay those of one balloon."""
    reason = _reason(replace(UNTREATED, promise=promise_of(24)), WARM_VENUE)
    assert (reason.promise, round(reason.may_use, 4)) == (Promise(22, 24), 0.6276)
    assert (reason.hours_before, reason.hours_after) == pytest.approx((15, 10))


def test_air_may_use_all_of_its_light_and_is_good_until_then():
    """24 h of shade, from memory."""
    reason = _reason(AIR, (Leg(NOON + 9 * HOUR, 0.0, 1 / 24),), gas=Gas.AIR)
    assert (reason.may_use, reason.hours_after) == pytest.approx((1, 24))
    assert reason.uses == pytest.approx(9 / 24)


def test_light_bounds_the_hours_of_helium_but_not_the_share_of_its_float():
    lit = _reason(legs=tuple(replace(leg, light_rate=1 / 6) for leg in WARM_VENUE))
    assert (lit.hours_before, lit.hours_after, lit.by_light) == (6, 6, True)
    dark = _reason(legs=WARM_VENUE)
    assert (lit.uses, lit.may_use, dark.by_light) == (dark.uses, dark.may_use, False)
    assert lit.floats_from == dark.floats_from == not_before(WARM_VENUE, UNTREATED, 0.95)


def test_what_loses_nothing_has_no_end():
    reason = _reason(AIR, (Leg(NOON + 9 * HOUR, 0.0),), material=Material.FOIL, gas=Gas.AIR)
    assert (reason.hours_after, reason.uses) == (math.inf, 0)


def test_what_does_not_rise_may_use_nothing():
    reason = _reason(Endurance(0.0, Scatter(0.25)))
    assert (reason.hours_after, reason.may_use, reason.uses) == (0, 0, math.inf)


@given(
    budget=st.floats(2, 400),
    scatter=st.builds(Scatter, st.floats(0.05, 0.6), st.floats(0.0, 0.2)),
    count=st.integers(1, 60),
    wet=st.sampled_from([0.0, 2.0]),
    slowed=st.floats(1, 20),
    rates=st.tuples(st.floats(0.3, 3), st.floats(0.3, 3)),
    stay=st.floats(0.5, 30),
)
def test_the_earliest_safe_start_uses_just_what_may_be_used(budget, scatter, count, wet, slowed, rates, stay):
    endurance = Endurance(budget, scatter, wet, slowed if wet else 1.0, promise_of(count))
    legs = (Leg(NOON, rates[0]), Leg(NOON + stay * HOUR, rates[1]))
    earliest = not_before(legs, endurance, 0.95)
    reason, sooner = _reason(endurance, legs, earliest), _reason(endurance, legs, earliest - MINUTE)
    assert reason.uses <= reason.may_use + 1e-9 < sooner.uses + 1e-9


def _work(not_before=None, earliest=None, inflate_by=NOON, alone_by=NOON, at_venue=False):
    window = BenchWindow(earliest, inflate_by, NOON + HOUR)
    return WorkReason(at_venue, 30 * MINUTE, window, not_before, alone_by, None, None)


@pytest.mark.parametrize(
    ("not_before", "earliest", "later"),
    [
        (None, None, False),
        (NOON - 8 * HOUR, NOON - 8 * HOUR, False),
        (NOON - 8 * HOUR, NOON - 4 * HOUR, True),
        (NOON - 8 * HOUR, NOON, False),
    ],
)
def test_a_shop_that_opens_later_is_noticed(not_before, earliest, later):
    assert _work(not_before, earliest).opens_later == later


@pytest.mark.parametrize(
    ("alone_by", "at_venue", "closed"),
    [(NOON, False, False), (NOON - MINUTE, False, False), (NOON - 15 * HOUR, False, True), (NOON, True, False)],
)
def test_closed_hours_before_the_hand_over_are_noticed(alone_by, at_venue, closed):
    reasons = TimeReasons(
        _reason(),
        _work(alone_by=alone_by, at_venue=at_venue),
        FinishingReason(20 * MINUTE, 10 * MINUTE, NOON + 50 * MINUTE, NOON + HOUR),
    )
    assert reasons.closed_between == closed
