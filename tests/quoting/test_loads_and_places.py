"""What an order's balloons carry, and where its foil is taut: by whole orders, against the formulas written out."""

import pytest

from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.window import Limit, Verdict
from app.quoting.request import HandOver, LineRequest
from tests.quoting.whole_orders import FOIL, SPHERE, ask, at, batch_of, latex, shop_of

LIFT = 101325 * (28.9647 - 4.0026) / (8.314463 * 293.15) / 1000
"""g/L of helium at 20 °C and sea level: ideal gas law."""


def _pressure(metres):
    """Times sea level's: US Standard Atmosphere 1976."""
    return (1 - 2.25577e-5 * metres) ** 5.25588


def _plan(line, shop=None, **changes):
    quote = ask(line, "27 12:00", "27 12:00", "27 18:00", shop or shop_of(), **changes)
    return batch_of(quote).float_plan


@pytest.mark.parametrize(
    ("settings", "load_g"),
    [
        ({}, 0.75),
        ({"ribbon_m": 1.0}, 0.5),
        ({"ribbon_m": 4.0}, 0.75),
        ({"ribbon_m": 4.0, "up_height_m": 3.0}, 1.5),
        ({"ribbon_m": 0.2, "ribbon_g_per_m": 1.0, "tag_g": 2.0}, 2.2),
        ({"tag_g": 1.25}, 2.0),
    ],
)
def test_a_loose_balloon_carries_its_ribbon_up_to_the_height_that_counts_as_up_and_its_tag(settings, load_g):
    """1.5 m: a setting, from memory. 0.5 g/m: computed from polypropylene, 0.9 g/cm³."""
    shop = shop_of(**settings)
    assert shop.float_defaults.load_g == pytest.approx(load_g)
    filled = 8.580e-3 * 11**3
    hours = 24.1 * 3.0 * (((3.0 + load_g) / LIFT) ** (-1 / 3) - filled ** (-1 / 3))
    assert _plan(latex(11, 24), shop).endurance.budget == pytest.approx(hours, rel=1e-4)


@pytest.mark.parametrize(
    ("kind", "litres", "film_g", "stated"), [(FOIL, 14.0, 10.0, 240.0), (SPHERE, 20.0, 10.0, 408.0)]
)
@pytest.mark.parametrize(
    ("shop_m", "venue_m", "celsius", "thinnest"),
    [
        (0.0, None, 20.0, 1.0),
        (0.0, 1600.0, 20.0, _pressure(1600)),
        (1600.0, 0.0, 20.0, _pressure(1600)),
        (0.0, None, 35.0, 293.15 / 308.15),
        (0.0, 1000.0, 30.0, _pressure(1000) * 293.15 / 303.15),
        (0.0, None, 5.0, 1.0),
    ],
)
def test_film_is_filled_for_the_place_where_its_gas_takes_most_room(
    kind, litres, film_g, stated, shop_m, venue_m, celsius, thinnest
):
    """Taut there, and so with less lift everywhere: laws of Boyle and Charles; common practice."""
    shop = shop_of(shop_elevation_m=shop_m)
    plan = _plan(LineRequest(kind, None, 3), shop, venue_elevation_m=venue_m, venue_celsius=celsius)
    sinks_at = (film_g + 0.75) / LIFT
    wanted = max(0.0, stated * (litres * thinnest - sinks_at) / (litres - sinks_at))
    assert plan.endurance.budget == pytest.approx(wanted, rel=1e-9)
    venue = shop_m if venue_m is None else venue_m
    assert [leg.loss_rate for leg in plan.legs] == pytest.approx([_pressure(shop_m), _pressure(venue)])


def test_more_height_of_a_foil_is_not_always_worse():
    """Its fill is that of 1600 m either way; in a shop that is as high it loses more slowly while it waits."""
    line, venue = LineRequest(FOIL, None, 3), {"venue_elevation_m": 1600.0}
    low, high = (_plan(line, shop_of(shop_elevation_m=metres), **venue) for metres in (0.0, 1600.0))
    assert high.endurance.budget == pytest.approx(low.endurance.budget)
    assert high.chance(at("26 00:00")) > low.chance(at("26 00:00"))


def test_latex_that_is_filled_at_a_venue_in_the_sun_is_in_the_sun_from_its_fill_on():
    """Let in at 15:30 for an event from 17:00 to 20:00: filled at 16:30 it has 3.5 h of sun, of 6."""
    there = {"hand_over": HandOver.VENUE, "arrives_at": at("27 15:30"), "travel_minutes": 30}
    quote = ask(
        latex(11, 24), "27 15:00", "27 17:00", "27 20:00", shop_of(), surroundings=Surroundings.SUN, **there
    )
    outcome = batch_of(quote).window.outcome
    assert batch_of(quote).window.inflate_by == at("27 16:30")
    assert outcome.light == pytest.approx(3.5 / 6)
    assert outcome.verdicts[Limit.LIGHT] is Verdict.SAFE


@pytest.mark.parametrize(
    ("ends", "earliest"), [("27 20:00", "27 14:00"), ("27 23:00", "27 14:00"), ("28 09:00", "27 10:00")]
)
def test_a_crew_that_is_let_in_days_before_does_not_fill_so_early_that_the_sun_is_too_much(ends, earliest):
    """6 h of daylight, or 12 h where 6 h cannot be kept; from memory. Let in at 09:00 on the day before."""
    there = {"hand_over": HandOver.VENUE, "arrives_at": at("26 09:00"), "travel_minutes": 30}
    line = latex(11, 24, gas=Gas.AIR)
    quote = ask(line, "26 08:30", "27 15:00", ends, shop_of(), surroundings=Surroundings.SUN, **there)
    assert batch_of(quote).window.not_before == at(earliest)


def test_what_is_delivered_waits_in_the_shop_rides_in_the_van_and_then_is_in_the_sun():
    """Delivered at noon after an hour's ride, up until 17:00; the light of shop and van is that of a room."""
    there = {"hand_over": HandOver.DELIVER, "arrives_at": at("27 12:00"), "travel_minutes": 60}
    shop = shop_of(journey_celsius=30.0)
    quote = ask(
        latex(11, 24),
        "27 11:00",
        "27 13:00",
        "27 17:00",
        shop,
        surroundings=Surroundings.SUN,
        venue_celsius=25.0,
        **there,
    )
    legs = batch_of(quote).float_plan.legs
    assert [leg.ends for leg in legs] == [at("27 11:00"), at("27 12:00"), at("27 17:00")]
    assert [leg.light_rate for leg in legs] == pytest.approx([1 / 336, 1 / 336, 1 / 6])
    assert legs[1].loss_rate > legs[2].loss_rate > legs[0].loss_rate == pytest.approx(1.0)
