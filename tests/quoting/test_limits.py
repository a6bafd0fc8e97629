"""What keeps an order from being safe besides its float: light and wind. Both limits are from memory; settings."""

from datetime import timedelta

import pytest

from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.window import Limit, Verdict
from app.quoting.request import LineRequest
from tests.quoting.whole_orders import FOIL, SPHERE, ask, at, batch_of, latex, shop_of

SAFE, RISKY, WONT_LAST = Verdict
IN, SHADE, SUN = Surroundings
MINUTE = timedelta(minutes=1)


def _outcome(line, ready_by, end, where, shop=None, **changes):
    """Collected as the event begins."""
    quote = ask(line, ready_by, ready_by, end, shop or shop_of(), surroundings=where, **changes)
    assert quote.float_verdict is batch_of(quote).window.verdict
    return batch_of(quote).window.outcome


def _own_light(line, ready_by, end, where, shop=None):
    """The light of the event alone, without the half hour in the shop before it."""
    quote = ask(line, ready_by, ready_by, end, shop or shop_of(), surroundings=where)
    plan = batch_of(quote).float_plan
    return plan.outcome(at(ready_by), shop_of().certainty).light


@pytest.mark.parametrize("gas", Gas)
@pytest.mark.parametrize(
    ("where", "end", "share"),
    [
        (SUN, "27 15:00", 3 / 6),
        (SUN, "27 20:00", 8 / 6),
        (SUN, "27 23:30", 8 / 6),
        (SUN, "28 06:59", 8 / 6),
        (SUN, "28 08:00", 9 / 6),
        (SHADE, "27 15:00", 3 / 24),
        (SHADE, "28 06:00", 8 / 24),
        (SHADE, "28 20:00", 21 / 24),
        (SHADE, "29 10:00", 24 / 24),
    ],
)
def test_only_daylight_counts_outdoors(gas, where, end, share):
    """From noon; daylight from 07:00 to 20:00, 6 h of sun, 24 h of shade, whatever gas is in it."""
    assert _own_light(latex(16, 24, gas=gas), "27 12:00", end, where) == pytest.approx(share)


@pytest.mark.parametrize(("gas", "days"), [(Gas.AIR, 5), (Gas.HELIUM, 14)])
def test_indoors_every_hour_counts(gas, days):
    share = _own_light(latex(16, 24, gas=gas, treated=gas is Gas.HELIUM), "10 12:00", f"{10 + days} 12:00", IN)
    assert share == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("end", "verdict"),
    [("27 18:00", SAFE), ("27 18:01", RISKY), ("28 11:00", RISKY), ("28 11:01", WONT_LAST)],
)
def test_over_the_limit_it_is_risky_and_over_twice_it_wont_last(end, verdict):
    """Air-filled, so that it need not float: 6 h of sun from noon, and 12 by the next morning at eleven."""
    dark = shop_of(light_hours_air_indoors=2000.0)
    plan = batch_of(ask(latex(11, 40, gas=Gas.AIR), "27 12:00", "27 12:00", end, dark, surroundings=SUN)).float_plan
    outcome = plan.outcome(at("27 12:00"), dark.certainty)
    assert (outcome.verdict, outcome.chance) == (verdict, 1.0)
    assert outcome.limits == (() if verdict is SAFE else (Limit.LIGHT,))


@pytest.mark.parametrize("end", ["27 15:00", "27 20:00", "28 20:00"])
@pytest.mark.parametrize("where", Surroundings)
def test_treating_changes_nothing_about_light(where, end):
    plain, treated = (_own_light(latex(16, 24, treated=how), "27 12:00", end, where) for how in (False, True))
    assert plain == treated > 0


@pytest.mark.parametrize("film", [FOIL, SPHERE])
@pytest.mark.parametrize("gas", Gas)
def test_light_does_not_age_film(film, gas):
    """Two days in the full sun."""
    outcome = _outcome(LineRequest(film, None, 3, gas=gas), "27 12:00", "29 12:00", SUN)
    assert (outcome.light, outcome.verdict) == (0.0, SAFE)


def test_hours_of_daylight_are_the_shops():
    """From 10:00 to 16:00, six hours of the day."""
    shop = shop_of(daylight_from_hour=10.0, daylight_until_hour=16.0)
    assert _own_light(latex(11, 40, gas=Gas.AIR), "27 08:30", "27 23:00", SUN, shop) == pytest.approx(1.0)


def test_large_treated_latex_is_bounded_by_light():
    """36 in treated float for weeks; 14 days indoors is what they are good for."""
    outcome = _outcome(latex(36, 6, treated=True), "10 12:00", "25 12:00", IN)
    assert (outcome.verdict, outcome.limits) == (RISKY, (Limit.LIGHT,))
    assert outcome.chance > 0.95


def test_an_air_filled_batch_may_be_filled_as_early_as_light_allows_and_no_minute_before():
    """5 days indoors and 24 h of shade: of an event of 6 h of shade a quarter is gone, which leaves 90 h."""
    quote = ask(latex(11, 40, gas=Gas.AIR), "27 12:00", "27 12:00", "27 18:00", shop_of(), surroundings=SHADE)
    window, plan = batch_of(quote).window, batch_of(quote).float_plan
    assert window.not_before == at("27 12:00") - 90 * 60 * MINUTE
    verdicts = [plan.outcome(window.not_before - early * MINUTE, shop_of().certainty).verdict for early in (0, 1)]
    assert verdicts == [SAFE, RISKY]


@pytest.mark.parametrize(
    ("line", "where", "wind", "limits"),
    [
        (latex(11, 6), SHADE, 5.0, ()),
        (latex(11, 6), SHADE, 5.1, (Limit.WIND,)),
        (latex(11, 6), SHADE, None, ()),
        (latex(11, 6), IN, 12.0, ()),
        (latex(11, 6, gas=Gas.AIR), SHADE, 12.0, ()),
        (LineRequest(FOIL, None, 1), SUN, 12.0, (Limit.WIND,)),
        (LineRequest(SPHERE, None, 1), SUN, 5.0, ()),
    ],
)
def test_wind_above_the_shops_limit_makes_helium_outdoors_risky(line, where, wind, limits):
    """5 m/s: from memory. Where nobody said, the limit is assumed."""
    outcome = _outcome(line, "27 12:00", "27 15:00", where, wind_m_s=wind)
    assert outcome.limits == limits
    assert outcome.verdict is (RISKY if limits else SAFE)
    assert outcome.lasts


def test_the_worst_limit_is_named_first():
    outcome = _outcome(latex(11, 24), "27 09:00", "28 09:00", SUN, wind_m_s=9.0)
    assert outcome.verdict is WONT_LAST
    assert outcome.limits[0] in (Limit.FLOAT, Limit.LIGHT)
    assert not outcome.lasts
    assert set(outcome.limits) == set(Limit)
