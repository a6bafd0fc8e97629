"""The chance of what is promised of a batch, against scipy, drawn balloons and the published table."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.physics.endurance import FILM, TREATED, UNTREATED
from app.physics.leak import float_hours
from app.physics.promise import MOST_BALLOONS, ONE_BALLOON, Promise, Scatter, chance_of, promise_of, spendable_share
from tests.amounts import amount
from tests.later import integrate, special, stats

SCATTERS = {"untreated": UNTREATED, "treated": TREATED, "film": FILM}
COUNTS = (1, 6, 10, 24, 30, 50, 100)
SPENDABLE = {
    "untreated": (0.6628, 0.6251, 0.6346, 0.6276, 0.6297, 0.6286, 0.6277),
    "treated": (0.4770, 0.4247, 0.4379, 0.4284, 0.4312, 0.4298, 0.4286),
    "film": (0.7079, 0.6175, 0.6581, 0.6429, 0.6509, 0.6496, 0.6488),
}
"""Computed with scipy from the formula: the part of the budget that may be spent at 95 %."""
RATIOS = (0.5, 0.9, 1.0, 1.1, 1.3, 1.6, 2.2, 4.0)

law = settings(deadline=None, max_examples=amount(30, deep=200))
scatters = st.builds(Scatter, st.floats(0.05, 0.8), st.floats(0.0, 0.3))
ratios = st.floats(0.2, 5.0)
promises = st.integers(1, 200).flatmap(lambda of: st.integers(1, of).map(lambda least: Promise(least, of)))


def _by_quad(ratio: float, scatter: Scatter, promise: Promise) -> float:
    """The formula as it is printed, by scipy: ∫ Beta(Φ(y); j, k) φ(y) Φ((ln r + σ_b y)/σ_d) dy."""
    j, k = promise.of - promise.at_least + 1, promise.at_least
    day, log_beta = math.sqrt(scatter.total**2 - scatter.of_balloons**2), special.betaln(j, k)

    def height(y):
        log_rank = (j - 1) * special.log_ndtr(y) + (k - 1) * special.log_ndtr(-y) - log_beta - y * y / 2
        return math.exp(log_rank) * special.ndtr((math.log(ratio) + scatter.of_balloons * y) / day)

    law = stats.beta(j, k)
    ends = [float(special.ndtri(quantile)) for quantile in (law.ppf(1e-13), law.isf(1e-13))]
    return float(integrate.quad(height, *ends, limit=400, epsabs=1e-11)[0]) / math.sqrt(2 * math.pi)


@pytest.mark.parametrize("name", SCATTERS)
@pytest.mark.parametrize("place", range(len(COUNTS)))
def test_the_part_that_may_be_spent(name, place):
    """Computed with scipy; all of six, 9 of 10, 22 of 24, 27 of 30, 45 of 50, 90 of 100."""
    share = spendable_share(SCATTERS[name], 0.95, promise_of(COUNTS[place]))
    assert round(share, 4) == SPENDABLE[name][place]


def test_how_many_are_promised():
    """Nine in ten, rounded up: a setting, from memory. So all of up to nine."""
    assert [promise_of(count).at_least for count in (*range(1, 11), 24, 30, 50, 100)] == [
        *(*range(1, 10), 9),
        *(22, 27, 45, 90),
    ]
    assert [promise_of(24, share).at_least for share in (0.01, 0.5, 0.75, 1.0)] == [1, 12, 18, 24]
    assert promise_of(0) == ONE_BALLOON


@pytest.mark.parametrize(("share", "error"), [(0.5, 1e-9), (0.9, 1e-9), (1.0, 4e-6)])
@pytest.mark.parametrize("count", [1, 2, 3, 9, 10, 24, 100, 999, 5000])
@pytest.mark.parametrize("name", SCATTERS)
def test_the_chance_is_the_integral_of_the_formula(name, count, share, error):
    """Source: scipy.integrate.quad, from 1 to 5,000 balloons."""
    promise = promise_of(count, share)
    for ratio in RATIOS:
        chance = chance_of(ratio, SCATTERS[name], promise)
        assert chance == pytest.approx(_by_quad(ratio, SCATTERS[name], promise), abs=error), ratio


@pytest.mark.parametrize("of_balloons", [0.2, 0.24, 0.249, 0.2499])
def test_days_that_differ_less_than_balloons_are_integrated_too(of_balloons):
    """Source: scipy.integrate.quad."""
    scatter = Scatter(0.25, of_balloons)
    for ratio in RATIOS:
        wanted = _by_quad(ratio, scatter, promise_of(24))
        assert chance_of(ratio, scatter, promise_of(24)) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("name", SCATTERS)
@pytest.mark.parametrize("ratio", [1.1, 1.4, 1 / 0.6276])
def test_the_chance_is_the_share_of_drawn_batches(name, ratio):
    """Drawn: 200,000 batches of 24, each with its day and its balloons, a fixed seed."""
    scatter, draw, batches = SCATTERS[name], np.random.default_rng(24), 200_000
    least = promise_of(24).at_least
    day = draw.normal(0.0, math.sqrt(scatter.total**2 - scatter.of_balloons**2), (batches, 1))
    up = math.log(ratio) + day + draw.normal(0.0, scatter.of_balloons, (batches, 24)) >= 0
    kept = float((up.sum(axis=1) >= least).mean())
    chance = chance_of(ratio, scatter, promise_of(24))
    assert abs(kept - chance) < 4 * math.sqrt(chance * (1 - chance) / batches)


@law
@given(ratios, scatters)
def test_one_balloon_is_the_plain_log_normal_law(ratio, scatter):
    """Φ(ln r/σ), by scipy.stats.norm; how its scatter is split makes no difference."""
    sigma = max(scatter.total, scatter.of_balloons)
    assert chance_of(ratio, scatter) == pytest.approx(float(stats.norm.cdf(math.log(ratio) / sigma)), abs=1e-12)


@pytest.mark.parametrize(("hours", "chance"), [(7.5, 0.997), (12.0, 0.815), (15.0, 0.501), (20.0, 0.125)])
def test_one_balloon_over_an_evening(hours, chance):
    """Computed: scipy.stats.lognorm. Filled at 9:00, up at midnight (15 h): 50.1 %."""
    median = float_hours(11, 3.0)
    assert round(float(stats.lognorm.sf(hours, 0.25, scale=median)), 3) == chance
    assert round(chance_of(median / hours, UNTREATED), 3) == chance


@pytest.mark.parametrize("sigma", [0.05, 0.21, 0.25, 0.45])
@pytest.mark.parametrize("share", [0.0001, 0.05, 0.2, 0.5, 0.8, 0.95, 0.9999])
def test_the_part_for_one_balloon_is_a_quantile(share, sigma):
    """Source: scipy.stats.lognorm, out to where one in ten thousand is left or lost. Rounded down, never up."""
    exact = float(stats.lognorm.isf(share, sigma))
    assert exact - 1e-6 - 1e-9 <= spendable_share(Scatter(sigma), share) <= exact * (1 + 1e-12)
    assert chance_of(1 / exact, Scatter(sigma)) == pytest.approx(share, rel=1e-9)


def test_nineteen_times_in_twenty():
    """Source: the normal tables, 1.645 for 95 %. One 11 in untreated: 9.9 of 15 h."""
    sure = 15.0 * spendable_share(UNTREATED, 0.95)
    assert sure == pytest.approx(15.0 * math.exp(-1.645 * 0.25), rel=1e-4)
    assert round(sure, 1) == 9.9


@pytest.mark.parametrize(("least", "of"), [(1, 2), (6, 6), (9, 10), (22, 24), (90, 100), (4500, 5000)])
def test_without_days_each_balloon_is_on_its_own(least, of):
    """Source: scipy.stats.binom. σ_d is 0 when the balloons differ by all of the total."""
    for ratio in RATIOS:
        each = float(stats.norm.cdf(math.log(ratio) / 0.15))
        wanted = float(stats.binom.sf(least - 1, of, each))
        assert chance_of(ratio, Scatter(0.15, 0.15), Promise(least, of)) == pytest.approx(
            wanted, rel=1e-7, abs=1e-12
        )


@pytest.mark.parametrize("promise", [Promise(1, 1), Promise(22, 24), Promise(1, 24), Promise(24, 24)])
def test_without_balloons_that_differ_a_batch_is_one_balloon(promise):
    """Source: scipy.stats.norm. σ_b is 0: all of a batch come down together."""
    for ratio in RATIOS:
        wanted = float(stats.norm.cdf(math.log(ratio) / 0.25))
        assert chance_of(ratio, Scatter(0.25), promise) == pytest.approx(wanted, abs=1e-12)


def test_without_scatter_the_limit_is_hard():
    for promise in (ONE_BALLOON, Promise(22, 24)):
        assert chance_of(1.0, Scatter(0.0), promise) == 1.0
        assert chance_of(0.9999, Scatter(0.0), promise) == 0.0
        assert spendable_share(Scatter(0.0), 0.95, promise) == pytest.approx(1.0, abs=1e-6)


def test_the_chance_at_its_edges():
    for scatter in (*SCATTERS.values(), Scatter(0.0), Scatter(0.2, 0.2)):
        for promise in (ONE_BALLOON, Promise(22, 24)):
            assert chance_of(math.inf, scatter, promise) == 1.0
            assert chance_of(0.0, scatter, promise) == chance_of(-1.0, scatter, promise) == 0.0
            assert chance_of(1e12, scatter, promise) == pytest.approx(1.0, abs=3e-7)
            assert chance_of(1e-12, scatter, promise) == pytest.approx(0.0, abs=3e-7)


@law
@given(scatters, promises, ratios, ratios)
def test_the_chance_grows_with_what_is_left(scatter, promise, one, other):
    less, more = (chance_of(pick(one, other), scatter, promise) for pick in (min, max))
    assert 0.0 <= less <= more + 1e-12
    assert more <= 1.0


@law
@given(scatters, ratios, st.integers(2, 100))
def test_the_chance_falls_with_how_many_are_promised(scatter, ratio, of):
    """All of a large batch carries the largest error of the integral, 3e-7 up to a hundred."""
    chances = [chance_of(ratio, scatter, Promise(least, of)) for least in range(1, of + 1)]
    assert all(fewer >= more - 1e-6 for fewer, more in pairwise(chances))


@law
@given(scatters, promises, st.floats(0.5, 0.999))
def test_the_part_that_may_be_spent_keeps_the_certainty_and_hardly_more(scatter, promise, certainty):
    share = spendable_share(scatter, certainty, promise)
    assert chance_of(1 / share, scatter, promise) >= certainty
    assert chance_of(1 / (share + 2e-6), scatter, promise) < certainty


def test_it_is_found_once_and_kept():
    wanted = (Scatter(0.333, 0.111), 0.951, Promise(20, 23))
    before = spendable_share.cache_info()
    first, again = spendable_share(*wanted), spendable_share(*wanted)
    after = spendable_share.cache_info()
    assert first == again
    assert (after.misses - before.misses, after.hits - before.hits) == (1, 1)


@pytest.mark.parametrize(("least", "of"), [(0, 1), (-1, 5), (2, 1), (0, 0), (1, MOST_BALLOONS + 1)])
def test_refuses_a_promise_that_is_none(least, of):
    with pytest.raises(ValueError, match="cannot be promised"):
        Promise(least, of)


@pytest.mark.parametrize("share", [0.0, -0.1, 1.01, 90.0, math.nan])
def test_refuses_a_share_that_is_none(share):
    with pytest.raises(ValueError, match="outside 0 to 1"):
        promise_of(24, share)


@pytest.mark.parametrize("sigmas", [(-0.1, 0.0), (0.25, -0.01), (math.nan, 0.0), (0.25, math.nan)])
def test_refuses_a_scatter_below_zero(sigmas):
    with pytest.raises(ValueError, match="below 0"):
        Scatter(*sigmas)


@pytest.mark.parametrize("certainty", [0.0, 1.0, -0.1, 95.0, math.nan])
def test_refuses_a_certainty_that_is_none(certainty):
    with pytest.raises(ValueError, match="between 0 and 1"):
        spendable_share(UNTREATED, certainty)
