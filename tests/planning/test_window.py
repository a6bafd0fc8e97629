"""The float window against a scan of every minute, in random places and of random balloons."""

import math
from bisect import bisect_left
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import accumulate

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.physics.air import Air
from app.physics.balloon import Gas
from app.physics.endurance import Endurance, Filling, endurance, filling_loss_rate
from app.physics.leak import loss_rate
from app.physics.light import LightLimits, Surroundings, light_rate
from app.physics.material import Material
from app.physics.promise import ONE_BALLOON, chance_of
from app.planning.window import (
    Certainty,
    FloatPlan,
    Leg,
    Limit,
    Verdict,
    chance_at_end,
    light_used,
    light_verdict,
    not_before,
    stages_from,
    worst,
)
from tests.later import optimize, stats
from tests.physics.kinds import FOIL_9, FOIL_18, latex
from tests.planning.shops import (
    DEFAULTS,
    HOUR,
    MINUTE,
    berlin,
    many,
    owns,
)

MONDAY = datetime(2026, 7, 6, tzinfo=UTC)
COUNTS = st.sampled_from([1, 6, 10, 24, 50])
SUN, SHADE, INDOORS = (
    light_rate(Material.LATEX, Gas.HELIUM, where, LightLimits())
    for where in (Surroundings.SUN, Surroundings.SHADE, Surroundings.INDOORS)
)

_airs = st.builds(Air, st.floats(5, 40), st.floats(0, 2500))
_stays = st.lists(st.tuples(st.integers(1, 12 * 60), _airs), min_size=1, max_size=4)
_kinds = st.sampled_from([9, 11, 12, 16]).map(latex)


def _legs(stays: list[tuple[int, Air]]) -> list[Leg]:
    ends = accumulate((minutes * MINUTE for minutes, _ in stays), initial=MONDAY)
    return [Leg(end, loss_rate(air)) for end, (_, air) in zip(list(ends)[1:], stays, strict=True)]


@st.composite
def _batches(draw, treated: bool) -> tuple[list[Leg], Endurance]:
    """Random places, one after the other, and a latex balloon filled in the first of them."""
    stays = draw(_stays)
    owned = owns(draw(_kinds), shop=stays[0][1], treated=treated, count=draw(COUNTS))
    assume(owned.budget > 0)
    return _legs(stays), owned


ROUNDED_DOWN = 1e-6
"""The part of the budget that may be spent is rounded down in its sixth place."""


class Minutes:
    """What is spent from every minute on, added up minute by minute."""

    def __init__(self, first: datetime, legs: list[Leg], owned: Endurance) -> None:
        self.first, self.owned, self.wet = first, owned, int(owned.wet_hours * 60)
        ends = [leg.ends for leg in legs]
        count = (ends[-1] - first) // MINUTE
        paces = (
            legs[min(bisect_left(ends, first + (n + 1) * MINUTE), len(legs) - 1)].loss_rate for n in range(count)
        )
        self.spent = list(accumulate((each / 60 for each in paces), initial=0.0))

    def from_minute(self, n: int) -> float:
        dry = min(n + self.wet, len(self.spent) - 1)
        return self.spent[dry] - self.spent[n] + (self.spent[-1] - self.spent[dry]) / self.owned.slowed

    def first_sure(self, budget: float) -> datetime:
        numbers = range(len(self.spent))
        return self.first + next(n for n in numbers if self.from_minute(n) <= budget) * MINUTE


def _sure_budget(owned: Endurance, certainty: float = 0.95) -> float:
    """What may be spent, by scipy's search for the ratio that has this chance."""
    log = optimize.brentq(
        lambda log: chance_of(math.exp(log), owned.scatter, owned.promise) - certainty, -5, 5, xtol=1e-12
    )
    return owned.budget * math.exp(-log)


def _scan_from(earliest: datetime, legs: list[Leg], owned: Endurance) -> Minutes:
    """From half a day before both the answer and the end of the shop: earlier is only worse there."""
    return Minutes(min(earliest, legs[0].ends) - 12 * HOUR, legs, owned)


@pytest.mark.parametrize("treated", [False, True])
@many
@given(st.data())
def test_not_before_is_the_first_minute_that_keeps_the_sure_budget(treated, data):
    legs, owned = data.draw(_batches(treated))
    earliest = not_before(legs, owned, 0.95)
    minutes, budget = _scan_from(earliest, legs, owned), _sure_budget(owned)
    assert minutes.from_minute(0) > budget
    assert earliest in {minutes.first_sure(budget), minutes.first_sure(budget - ROUNDED_DOWN * owned.budget)}


@pytest.mark.parametrize("treated", [False, True])
@many
@given(st.data())
def test_the_chance_at_any_minute_is_that_of_the_hours_added_up(treated, data):
    legs, owned = data.draw(_batches(treated))
    start = legs[-1].ends - data.draw(st.integers(1, 72 * 60)) * MINUTE
    spent = Minutes(start, legs, owned).from_minute(0)
    by_hand = stats.norm.cdf(math.log(owned.budget / spent) / owned.scatter.total)
    assert chance_at_end(start, legs, replace(owned, promise=ONE_BALLOON)) == pytest.approx(by_hand, abs=1e-9)
    of_batch = chance_of(owned.budget / spent, owned.scatter, owned.promise)
    assert chance_at_end(start, legs, owned) == pytest.approx(of_batch, abs=1e-9)


@pytest.mark.parametrize("treated", [False, True])
@many
@given(st.data(), st.floats(0.5, 0.99))
def test_the_chance_keeps_the_certainty_at_not_before(treated, data, certainty):
    legs, owned = data.draw(_batches(treated))
    assert chance_at_end(not_before(legs, owned, certainty), legs, owned) >= certainty


@many
@given(_batches(treated=False), st.floats(0.5, 0.99))
def test_a_minute_before_the_certainty_is_missed(batch, certainty):
    legs, owned = batch
    earliest = not_before(legs, owned, certainty)
    assert (
        chance_at_end(earliest, legs, owned) >= certainty > chance_at_end(earliest - MINUTE, legs, owned) - HARDLY
    )


HARDLY = 1e-5
"""By so much the chance may be over, for the part that was rounded down."""


@many
@given(_kinds, _airs, st.integers(1, 600), COUNTS)
def test_treated_in_one_place_a_minute_before_the_certainty_is_missed(balloon_type, air, minutes, count):
    legs, owned = _legs([(minutes, air)]), owns(balloon_type, shop=air, treated=True, count=count)
    earliest = not_before(legs, owned, 0.95)
    assert chance_at_end(earliest, legs, owned) >= 0.95 > chance_at_end(earliest - MINUTE, legs, owned) - HARDLY


@many
@given(_batches(treated=False), st.integers(0, 72 * 60), st.integers(1, 72 * 60))
def test_a_later_start_never_lowers_the_chance(batch, minutes, later):
    legs, owned = batch
    start = legs[0].ends - minutes * MINUTE
    assert chance_at_end(start + later * MINUTE, legs, owned) >= chance_at_end(start, legs, owned)


def test_treated_balloons_can_gain_by_an_earlier_start():
    """Two wet hours in a cool shop cost less than in a hot garden: the line of chances is not one slope."""
    noon = berlin(2026, 7, 11, 12)
    legs, owned = (
        [Leg(noon, loss_rate(Air(5))), Leg(noon + 6 * HOUR, loss_rate(Air(40)))],
        owns(latex(9), treated=True),
    )
    assert chance_at_end(noon - 2 * HOUR, legs, owned) > chance_at_end(noon, legs, owned)


def test_a_start_after_the_end_of_a_leg_leaves_that_leg_out():
    legs = [Leg(MONDAY, 1.0), Leg(MONDAY + 3 * HOUR, 2.0), Leg(MONDAY + 4 * HOUR, 3.0)]
    assert stages_from(MONDAY - HOUR, legs) == [(1.0, 1.0), (3.0, 2.0), (1.0, 3.0)]
    assert stages_from(MONDAY + HOUR, legs) == [(2.0, 2.0), (1.0, 3.0)]
    assert stages_from(MONDAY + 3 * HOUR, legs) == [(1.0, 3.0)]


@pytest.mark.parametrize(
    ("chance", "verdict"),
    [
        (1.0, Verdict.SAFE),
        (0.95, Verdict.SAFE),
        (math.nextafter(0.95, 0), Verdict.RISKY),
        (0.80, Verdict.RISKY),
        (math.nextafter(0.80, 0), Verdict.WONT_LAST),
        (0.0, Verdict.WONT_LAST),
    ],
)
def test_the_verdict_turns_at_the_shops_two_limits(chance, verdict):
    assert Certainty().verdict(chance) is verdict


@many
@given(_batches(treated=False), st.floats(0.81, 0.99))
def test_started_at_not_before_the_verdict_is_safe(batch, safe):
    legs, owned = batch
    earliest = not_before(legs, owned, safe)
    window = FloatPlan(owned, tuple(legs)).window(earliest, Certainty(safe))
    assert (window.not_before, window.inflate_by, window.verdict) == (earliest, earliest, Verdict.SAFE)
    assert window.chance == chance_at_end(earliest, legs, owned)
    assert window.outcome.limits == ()


@many
@given(_stays)
def test_what_does_not_rise_has_no_window(stays):
    """A 5-inch with its ribbon does not float: common practice, no source."""
    legs = _legs(stays)
    window = FloatPlan(owns(latex(5)), tuple(legs)).window(legs[0].ends, Certainty())
    assert (window.not_before, window.inflate_by) == (None, legs[0].ends)
    assert (window.chance, window.verdict, window.outcome.limits) == (0.0, Verdict.WONT_LAST, (Limit.FLOAT,))


def test_what_was_begun_counts_from_its_real_start():
    legs, eleven = [Leg(MONDAY, 1.0)], owns(latex(11))
    due, started = MONDAY - 8 * HOUR, MONDAY - 15 * HOUR
    plan = FloatPlan(eleven, tuple(legs))
    window = plan.window(due, Certainty(), started)
    assert (window.inflate_by, window.verdict) == (due, Verdict.WONT_LAST)
    assert window.chance == chance_at_end(started, legs, eleven)
    assert plan.window(due, Certainty()).verdict is Verdict.SAFE


def test_foil_filled_days_before_is_safe():
    """Stated hours, median 10 days: common practice, no source. One of it may spend 0.7079 of that."""
    earliest = not_before([Leg(MONDAY, 1.0)], owns(FOIL_18), 0.95)
    limit = 240 * math.exp(-stats.norm.isf(0.05) * 0.21)
    assert MONDAY - limit * HOUR <= earliest <= MONDAY - limit * HOUR + MINUTE
    assert MONDAY - earliest > timedelta(days=7)


def test_air_filled_foil_never_looks_its_age():
    filling = Filling(FOIL_9, Gas.AIR, 2.0, Air())
    legs = [Leg(MONDAY, filling_loss_rate(filling, Air(), DEFAULTS))]
    assert chance_at_end(MONDAY - timedelta(days=60), legs, endurance(filling, DEFAULTS)) == 1.0
    assert not_before(legs, endurance(filling, DEFAULTS), 0.95) is None


# Light


AIR_FILLED = Filling(latex(11), Gas.AIR, 6.0, Air())
AIR_RATES = {where: light_rate(Material.LATEX, Gas.AIR, where, LightLimits()) for where in Surroundings}


@pytest.mark.parametrize(("where", "hours"), [("indoors", 120), ("shade", 24), ("sun", 6)])
def test_air_filled_latex_is_safe_up_to_its_limit_of_light(where, hours):
    """The hours are from memory; a setting. Once over it is risky, twice over it won't last."""
    legs = (Leg(MONDAY, 0.0, AIR_RATES[Surroundings(where)]),)
    plan, limit = FloatPlan(endurance(AIR_FILLED, DEFAULTS), legs), MONDAY - hours * HOUR
    assert not_before(legs, plan.endurance, 0.95) == limit
    for start, verdict in (
        (limit, Verdict.SAFE),
        (limit - MINUTE, Verdict.RISKY),
        (limit - hours * HOUR, Verdict.RISKY),
        (limit - hours * HOUR - MINUTE, Verdict.WONT_LAST),
    ):
        outcome = plan.outcome(start, Certainty())
        assert (outcome.verdict, outcome.chance) == (verdict, 1.0)
        assert outcome.limits == (() if verdict is Verdict.SAFE else (Limit.LIGHT,))


@many
@given(st.integers(1, 23 * 60))
def test_air_filled_hours_indoors_and_outdoors_add_up_to_one_limit(shade_minutes):
    """Of the 120 hours indoors a day in the shade takes all, so an hour in it takes five."""
    owned = endurance(AIR_FILLED, DEFAULTS)
    legs = [
        Leg(MONDAY - shade_minutes * MINUTE, 0.0, AIR_RATES[Surroundings.INDOORS]),
        Leg(MONDAY, 0.0, AIR_RATES[Surroundings.SHADE]),
    ]
    limit = MONDAY - 120 * HOUR + 4 * shade_minutes * MINUTE
    assert not_before(legs, owned, 0.95) == limit
    assert light_used(limit + MINUTE, legs) < 1.0 < light_used(limit - MINUTE, legs)
    assert light_used(limit, legs) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("share", "verdict"),
    [
        (0.0, Verdict.SAFE),
        (1.0, Verdict.SAFE),
        (1.001, Verdict.RISKY),
        (2.0, Verdict.RISKY),
        (2.001, Verdict.WONT_LAST),
    ],
)
def test_the_verdict_of_light_turns_at_the_limit_and_at_twice_the_limit(share, verdict):
    """From memory."""
    assert light_verdict(share) is verdict


@many
@given(_batches(treated=False), st.integers(1, 12 * 60), st.floats(0.7, 0.99), st.booleans())
def test_not_before_keeps_certainty_and_light_and_a_minute_before_one_of_them_is_missed(batch, sun, certainty, lit):
    """Light is spent in the shop too. What no start keeps under the limit is kept under twice the limit."""
    dark, owned = batch
    shop = 1 / 12 if lit else INDOORS
    legs = (replace(dark[0], light_rate=shop), *dark[1:], Leg(dark[-1].ends + sun * MINUTE, 0.1, SUN))
    earliest = not_before(legs, owned, certainty)
    chance, light = chance_at_end(earliest, legs, owned), light_used(earliest, legs)
    assert chance >= certainty
    ahead = light_used(legs[0].ends, legs)
    most = next((share for share in (1.0, 2.0) if ahead <= share), math.inf)
    assert light <= most + 1e-9
    missed = chance_at_end(earliest - MINUTE, legs, owned) < certainty + HARDLY
    assert missed or light_used(earliest - MINUTE, legs) > most - 1e-9


@pytest.mark.parametrize("minutes", [[780, 660], [420, 420, 600], [203, 1232, 5], [970, 154, 312, 4]])
def test_light_that_is_used_up_to_the_last_minute_at_the_venue_leaves_no_more_for_the_shop(minutes):
    """24 h of shade, however they are added up: a wait in the shop is then too much."""
    ends = list(accumulate((each * MINUTE for each in minutes), initial=MONDAY))
    legs = [Leg(MONDAY, 0.01, 1 / 3), *(Leg(end, 0.01, SHADE) for end in ends[1:])]
    assert not_before(legs, owns(latex(11)), 0.95) == MONDAY


@many
@given(_batches(treated=False), st.sampled_from(Verdict))
def test_the_worst_of_float_light_and_wind_is_the_verdict(batch, wind):
    legs, owned = batch
    lit = tuple(replace(leg, light_rate=SUN) for leg in legs)
    start = legs[0].ends - HOUR
    outcome = FloatPlan(owned, lit, wind).outcome(start, Certainty())
    each = {
        Limit.FLOAT: Certainty().verdict(chance_at_end(start, lit, owned)),
        Limit.LIGHT: light_verdict((legs[-1].ends - start) / HOUR / 6),
        Limit.WIND: wind,
    }
    assert outcome.verdicts == each
    assert outcome.verdict is max(each.values(), key=[Verdict.SAFE, Verdict.RISKY, Verdict.WONT_LAST].index)
    assert set(outcome.limits) == {limit for limit, verdict in each.items() if verdict is not Verdict.SAFE}
    assert [each[limit].rank for limit in outcome.limits] == sorted(
        (each[limit].rank for limit in outcome.limits), reverse=True
    )


def test_nothing_at_all_is_safe():
    assert worst([]) is Verdict.SAFE
