"""How long a balloon lasts, in words."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.float_time import FloatTime
from app.physics.material import Material
from app.physics.promise import Promise, Scatter
from app.planning.bench_window import BenchWindow
from app.planning.reasons import FinishingReason, TimeReasons, WorkReason, float_reason
from app.planning.window import FloatPlan, Leg
from app.web.formats import Formats
from app.web.wording.float_time import about_hours, batch_curve_words, float_curve_words, float_time_words
from app.web.wording.why import describe_reasons
from tests.actions.builders import at

LONDON = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)


@pytest.mark.parametrize(
    ("float_time", "said"),
    [
        (FloatTime(15.0), "15 h"),
        (FloatTime(336.0, by_light=True), "14 days (limited by light)"),
        (FloatTime(0.0), "Does not float"),
    ],
)
def test_the_reason_is_named_when_light_limits_it(float_time, said):
    assert float_time_words(float_time, LONDON) == said


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        *((15.0088, "15 h"), (9.948, "9 h 55 min"), (0.04, "0 min"), (47.99, "47 h 55 min")),
        *((58.23, "58 h"), (95.9, "95 h"), (150.14, "6.2 days"), (336.0, "14 days")),
    ],
)
def test_hours_that_are_known_roughly_are_rounded_down(hours, said):
    assert about_hours(hours, LONDON) == said


@pytest.mark.parametrize(
    ("hours", "by_light", "said"),
    [
        (
            (15.01, 9.95),
            False,
            "11 in latex floats 15 h; by then it is as likely down as up. 95% chance that it is still up"
            " after 9 h 55 min.",
        ),
        (
            (336.0, 200.0),
            True,
            "11 in latex floats 14 days; by then light has aged it. 95% chance that it is still up after 8.3 days.",
        ),
        ((0.0, 0.0), False, "11 in latex does not float: it is too heavy for its helium."),
    ],
)
def test_a_float_curve_is_told_in_words(hours, by_light, said):
    assert float_curve_words("11 in latex", hours, 0.95, LONDON, by_light=by_light) == said


def test_a_batch_is_told_beside_one_balloon():
    said = batch_curve_words(9.42, Promise(22, 24), LONDON)
    assert said == "In a batch, at least 22 of the 24 are still up after 9 h 25 min, with the same chance."


@pytest.mark.parametrize(
    ("rates", "said"),
    [
        (
            (1 / 336, 1 / 336),
            "These balloons are good for 14 days: light ages latex, treated or not. Their helium lasts longer.",
        ),
        (
            (1 / 336, 1 / 6),
            "These balloons are good for 14 days in the shop, and for 6 h at the venue: light ages latex, treated"
            " or not. Their helium lasts longer.",
        ),
    ],
)
def test_the_reasons_of_a_batch_claim_no_more_than_light_allows(rates, said):
    legs = tuple(Leg(at(hour), 1.0, rate) for hour, rate in zip((14, 23), rates, strict=True))
    plan = FloatPlan(Endurance(80.0, Scatter(0.45, 0.10), 2.0, 13.8), legs)
    work = WorkReason(False, timedelta(), BenchWindow(None, at(13), at(14)), None, at(13), None, None)
    finishing = FinishingReason(timedelta(), timedelta(), None, at(14))
    reasons = TimeReasons(float_reason(Material.LATEX, Gas.HELIUM, plan, 0.95, at(13)), work, finishing)
    assert describe_reasons(reasons, LONDON, at(13).date(), at(8))[0] == said
