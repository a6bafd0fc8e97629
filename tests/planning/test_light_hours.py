"""The hours in the reasons of a batch never claim more than light allows. The limits are from memory."""

from datetime import UTC, datetime, timedelta

import pytest

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.material import Material
from app.physics.promise import Scatter
from app.planning.reasons import float_reason
from app.planning.window import FloatPlan, Leg

NOON = datetime(2026, 11, 21, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
UNTREATED = Endurance(15.0, Scatter(0.25, 0.05))
TREATED_LARGE = Endurance(80.0, Scatter(0.45, 0.10), 2.0, 13.8)
AIR = Endurance(1.0, Scatter(0.0))
INDOORS, AIR_INDOORS, SHADE, SUN, NIGHT = 1 / 336, 1 / 120, 1 / 24, 1 / 6, 0.0


def _hours(endurance, *rates, gas=Gas.HELIUM, material=Material.LATEX):
    loses = 0.0 if gas is Gas.AIR else 1.0
    legs = tuple(Leg(NOON + place * HOUR, loses, rate) for place, rate in enumerate(rates, 1))
    reason = float_reason(material, gas, FloatPlan(endurance, legs), 0.95, NOON)
    return reason.hours_before, reason.hours_after, reason.by_light


@pytest.mark.parametrize(
    ("rates", "hours"),
    [
        ((INDOORS, INDOORS), (15, 15, False)),
        ((INDOORS, INDOORS, SHADE, NIGHT), (15, 15, False)),
        ((INDOORS, INDOORS, SUN, NIGHT), (15, 6, True)),
        ((SUN, NIGHT), (6, 6, True)),
    ],
)
def test_untreated_latex_is_bounded_by_the_sun_also_when_the_night_follows(rates, hours):
    assert _hours(UNTREATED, *rates) == pytest.approx(hours)


def test_large_treated_latex_is_bounded_by_fourteen_days_not_by_its_helium():
    assert TREATED_LARGE.median_hours(1.0) / 24 == pytest.approx(44.9, abs=0.1)
    assert _hours(TREATED_LARGE, INDOORS, INDOORS) == pytest.approx((336, 336, True))


def test_air_filled_latex_has_the_hours_of_its_light_and_no_other_reason():
    assert _hours(AIR, AIR_INDOORS, SHADE, NIGHT, gas=Gas.AIR) == pytest.approx((120, 24, False))
    assert _hours(AIR, AIR_INDOORS, NIGHT, gas=Gas.AIR) == pytest.approx((120, 120, False))


def test_foil_knows_no_light():
    assert _hours(Endurance(240.0, Scatter(0.21, 0.15)), 0.0, 0.0, material=Material.FOIL) == (240, 240, False)
