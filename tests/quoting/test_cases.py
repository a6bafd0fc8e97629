"""Worked cases that were computed independently, asked as whole orders. Times are starts of filling.

The cases with more than one batch, or none that floats, stand where their parts are worked out: case 4 with both
batches in `tests/planning/test_worked_cases.py`, case 6 in `tests/craft/test_clusters.py`.
"""

import pytest

from app.physics.light import Surroundings
from app.physics.material import Material
from app.planning.shoptime import step_up
from app.planning.window import Limit, Verdict
from app.quoting.alternatives import AlternativeChange, find_alternatives
from app.quoting.quote import Commitments, make_quote
from app.quoting.request import HandOver, LineRequest
from tests.quoting.whole_orders import (
    CATALOGUE,
    FOIL,
    NOW,
    USUAL,
    Work,
    ask,
    at,
    batch_of,
    chance_from,
    latex,
    percent,
    shop_of,
    told,
    told_hour,
)

SAFE, RISKY, WONT_LAST = Verdict
DANCE = ("27 17:30", "27 23:30")
IN_THE_SUN = {"surroundings": Surroundings.SUN, "venue_celsius": 28.0}


def _evening(line, ready_by="27 08:45", shop=None, **changes):
    return ask(line, ready_by, *DANCE, shop or shop_of(), **changes)


# Case 1: 24 of 11 in, collected Friday 08:45, dance 17:30 to 23:30


def test_case_1_untreated_wont_last():
    quote = _evening(latex(11, 24))
    assert told(quote) == ("Fri 14:05", "Fri 08:15", 37, WONT_LAST)
    assert quote.float_verdict is WONT_LAST
    promise = batch_of(quote).float_plan.endurance.promise
    assert (promise.at_least, promise.of) == (22, 24)


def test_case_1_treated_is_filled_on_thursday():
    quote = _evening(latex(11, 24, treated=True))
    assert told(quote)[1:] == ("Thu 17:40", 99, SAFE)


def test_case_1_collected_later_works():
    """From 14:35, on the shop's step from 14:45."""
    shop = shop_of()
    assert _evening(latex(11, 24), "27 14:35").float_verdict is SAFE
    assert _evening(latex(11, 24), "27 14:34").float_verdict is RISKY
    assert told_hour(step_up(at("27 14:35"), shop.step_minutes, shop.zone)) == "Fri 14:45"
    assert _evening(latex(11, 24), "27 14:45").float_verdict is SAFE


def test_case_1_filled_at_the_venue_works():
    """Let in an hour before the dance, for 20 minutes of filling and 10 of finishing."""
    there = {"hand_over": HandOver.VENUE, "arrives_at": at("27 16:30"), "travel_minutes": 30}
    assert _evening(latex(11, 24), "27 16:00", **there).float_verdict is SAFE


@pytest.mark.parametrize(("size", "not_before", "verdict"), [(12, "Fri 12:13", WONT_LAST), (16, "Fri 00:45", SAFE)])
def test_case_1_a_larger_balloon(size, not_before, verdict):
    found = told(_evening(latex(size, 24)))
    assert (found[0], found[-1]) == (not_before, verdict)


@pytest.mark.parametrize(
    ("ready_by", "answer"),
    [("27 14:30", ("Fri 14:05", "Fri 14:00", 94, RISKY)), ("27 14:45", ("Fri 14:05", "Fri 14:15", 95, SAFE))],
)
def test_case_2_collected_in_the_afternoon(ready_by, answer):
    assert told(_evening(latex(11, 24), ready_by)) == answer


@pytest.mark.parametrize(
    ("ready_by", "answer"),
    [
        ("24 11:00", ("Mon 18:05", "Mon 17:00", 94, RISKY)),
        ("24 11:10", ("Mon 18:05", "Tue 08:00", 98, SAFE)),
        ("24 11:15", ("Mon 18:05", "Tue 08:05", 98, SAFE)),
    ],
)
def test_case_3_treated_for_two_days(ready_by, answer):
    """50 of 11 in, 60 minutes of filling; collected Tuesday, event Wednesday 14:00 to 20:00."""
    quote = ask(latex(11, 50, treated=True), ready_by, "25 14:00", "25 20:00", shop_of(Work(60, 10)))
    assert told(quote) == answer


def test_case_4_the_latex_of_the_bouquets():
    """Nine of 11 in, 10 minutes of filling, 15 of finishing; collected 16:00, event 17:00 to 22:00. All nine."""
    quote = ask(latex(11, 9), "27 16:00", "27 17:00", "27 22:00", shop_of(Work(10, 15)))
    assert told(quote)[:2] == ("Fri 12:43", "Fri 15:35")
    assert quote.float_verdict is SAFE


def test_case_4_the_foil_of_the_bouquets():
    """One 18 in foil, 2 minutes of filling: it may be filled days before."""
    quote = ask(LineRequest(FOIL, None, 1), "27 16:00", "27 17:00", "27 22:00", shop_of(Work(2, 15)))
    assert chance_from(quote, "22 16:00") >= 0.95
    assert quote.float_verdict is SAFE


def test_case_5_the_hot_garden():
    """30 of 11 in, shop at 21 °C, a shaded garden at 33 °C; collected 17:00, until 22:00."""
    shop, garden = shop_of(shop_celsius=21.0), {"surroundings": Surroundings.SHADE, "venue_celsius": 33.0}
    quote = ask(latex(11, 30), "27 17:00", "27 17:00", "27 22:00", shop, **garden)
    assert batch_of(quote).fill.size.diameter_in == 10.85
    assert told(quote) == ("Fri 16:05", "Fri 16:30", 96, SAFE)
    assert percent(chance_from(quote, "27 09:00")) == 22


@pytest.mark.parametrize(("count", "chance"), [(1, 50), (24, 40)])
def test_case_7_filled_at_nine_for_midnight(count, chance):
    """One is as likely down as up: the trade's experience, common practice, no source."""
    quote = ask(latex(11, count), "27 09:30", "27 18:00", "28 00:00", shop_of())
    assert told(quote)[1:] == ("Fri 09:00", chance, WONT_LAST)


@pytest.mark.parametrize("count", [1, 3, 10, 24])
def test_case_8_a_foil_high_up_is_never_safe(count):
    """18 in foil of 10 g for 24 h, shop and venue at 2400 m: 7.9 h of float at the median."""
    shop = shop_of(shop_elevation_m=2400.0)
    quote = ask(LineRequest(FOIL, None, count), "27 18:00", "27 18:00", "28 18:00", shop)
    plan = batch_of(quote).float_plan
    assert plan.endurance.median_hours(plan.legs[0].loss_rate) == pytest.approx(7.9, abs=0.05)
    assert quote.float_verdict is WONT_LAST
    assert all(plan.outcome(at(hour), shop.certainty).verdict is not SAFE for hour in ("27 17:00", "27 18:00"))


@pytest.mark.parametrize("treated", [False, True])
@pytest.mark.parametrize("end", ["27 18:00", "27 23:00"])
def test_case_9_a_garden_party_in_full_sun_is_risky(end, treated):
    """24 of 16 in, collected 09:30, from 10:00 in full sun at 28 °C: 8 h of it, over 6. Until 23:00 it is 10 h of
    daylight, under 12. It is not a question of helium, so treating does not help."""
    quote = ask(latex(16, 24, treated=treated), "27 09:30", "27 10:00", end, shop_of(USUAL), **IN_THE_SUN)
    outcome = batch_of(quote).window.outcome
    assert quote.float_verdict is RISKY
    assert outcome.limits == (Limit.LIGHT,)
    assert outcome.chance > 0.95
    hours_of_sun = 8 if end == "27 18:00" else 10
    assert hours_of_sun / 6 < outcome.light < hours_of_sun / 6 + 24 / 336  # and less than a day of 14 indoors


def _offered(line, ready_by, start, end, shop, **changes):
    def quote_for(request):
        return make_quote(request, shop, CATALOGUE, NOW)

    quote = ask(line, ready_by, start, end, shop, **changes)
    return {way.key: way.quote for way in find_alternatives(quote, quote_for, shop, CATALOGUE, NOW)}


def test_case_1_what_is_offered():
    """Treated, collected at 14:45, filled at the venue, 16 in instead of 12."""
    ways = _offered(latex(11, 24), "27 08:45", *DANCE, shop_of())
    assert {AlternativeChange.TREAT, AlternativeChange.VENUE} <= ways.keys()
    assert ways[AlternativeChange.LATER].ready_by == at("27 14:45")
    assert ways[AlternativeChange.LARGER].lines[0].title == "16 in latex"


def test_case_8_a_foil_is_not_offered_where_it_sinks():
    """24 h at 2400 m: the spheres of the trade still float there, the 18 in foil does not."""
    ways = _offered(latex(11, 24), "27 18:00", "27 18:00", "28 18:00", shop_of(shop_elevation_m=2400.0))
    assert Material.FOIL not in ways
    assert Material.SPHERE in ways
    at_sea = _offered(latex(11, 24), "27 18:00", "27 18:00", "28 18:00", shop_of())
    assert Material.FOIL in at_sea


def test_case_9_treating_is_not_offered_against_light():
    ways = _offered(latex(16, 24), "27 09:30", "27 10:00", "27 18:00", shop_of(), **IN_THE_SUN)
    assert AlternativeChange.TREAT not in ways
    assert {Material.FOIL, Material.SPHERE} <= ways.keys()


def test_a_batch_that_was_started_has_the_chance_it_now_has():
    """Case 1, filled at 14:05 instead of 08:15: the promise is kept with the certainty after all."""
    spec = batch_of(_evening(latex(11, 24))).fill.spec
    quote = _evening(latex(11, 24), commitments=Commitments(started={spec: at("27 14:05")}))
    assert told(quote) == ("Fri 14:05", "Fri 08:15", 95, SAFE)
    early = _evening(latex(11, 24), commitments=Commitments(started={spec: at("27 14:04")}))
    assert told(early) == ("Fri 14:05", "Fri 08:15", 94, RISKY)


def test_a_promise_is_made_by_the_shops_share():
    """All of 24 is more than 22 of them, half is less: a setting."""
    chances = [
        batch_of(_evening(latex(11, 24), "27 14:30", shop_of(promised_percent=share))).window.chance
        for share in (100.0, 90.0, 50.0)
    ]
    assert chances == sorted(chances)
    assert len(set(chances)) == 3
