"""The reasons for the time of a batch, in four sentences."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.material import Material
from app.planning.reasons import FinishingReason, TimeReasons, WorkReason, float_reason
from app.planning.window import BenchWindow, Leg
from app.web.formats import Formats
from app.web.wording.why import describe_reasons
from tests.actions.builders import MORNING, at

LONDON = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
LATEX = Endurance(15.0, 0.25)
AIR = Endurance(1.0, 0.0)


def _reasons(endurance=LATEX, rates=(1.0, 1.0), material=Material.LATEX, gas=Gas.HELIUM, drying=0, **work):
    """Twenty minutes of work for 14:00, which must float until 23:00."""
    start = work.pop("start", at(13, 30))
    inflate_by = work.pop("inflate_by", at(13, 30))
    legs = (Leg(at(14), rates[0]), Leg(work.pop("until", at(23)), rates[1]))
    fixed = {
        "at_venue": False,
        "work": timedelta(minutes=20),
        "window": BenchWindow(work.pop("earliest", None), inflate_by, at(14)),
        "not_before": None,
        "alone_by": at(13, 30),
        "order_by": None,
        "started_at": None,
    }
    return TimeReasons(
        float_reason(material, gas, endurance, legs, 0.95, start),
        WorkReason(**(fixed | work)),
        FinishingReason(timedelta(minutes=drying), timedelta(minutes=10), at(13, 50), at(14)),
    )


def _said(place, *, now=MORNING, formats=LONDON, **changes):
    return describe_reasons(_reasons(**changes), formats, MORNING.date(), now)[place]


def test_four_sentences_say_why():
    assert describe_reasons(_reasons(not_before=at(13, 4)), LONDON, MORNING.date(), MORNING) == (
        "With ribbon and tag, half of these balloons float for 15 h or longer.",
        "For a 95% chance that they float until 23:00, they may use 66% of their float time. If you"
        " fill them at 13:30,"
        " they use 63%. If you fill them before 13:04, they use too much.",
        "Filling takes one person 20 min, so the latest start is 13:30.",
        "Assembly, tying and bagging take 10 min and must start by 13:50, so that the order is ready by 14:00.",
    )


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"rates": (1.0, 1.5)},
            "With ribbon and tag, half of these balloons float for 15 h or longer in the shop, and for 10 h or"
            " longer at the venue.",
        ),
        (
            {"rates": (1.5, 1.5), "at_venue": True},
            "With ribbon and tag, half of these balloons float for 10 h or longer.",
        ),
        ({"endurance": Endurance(0.0, 0.25)}, "These balloons do not rise: they are too heavy for their gas."),
        (
            {"endurance": Endurance(240.0, 0.3), "material": Material.FOIL},
            "Half of these balloons float for 10 days or longer, as stated for their balloon type.",
        ),
        (
            {"endurance": AIR, "rates": (1 / 120, 1 / 24), "gas": Gas.AIR},
            "Latex balloons filled with air look their best for 5 days in the shop, and for 24 h at the venue.",
        ),
        (
            {"endurance": AIR, "rates": (1 / 120, 1 / 120), "gas": Gas.AIR},
            "Latex balloons filled with air look their best for 5 days.",
        ),
        (
            {"endurance": AIR, "rates": (0.0, 0.0), "gas": Gas.AIR, "material": Material.FOIL},
            "Foil balloons filled with air keep their looks.",
        ),
    ],
)
def test_how_long_they_last(changes, said):
    assert _said(0, **changes) == said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"rates": (1.0, 1.5), "not_before": at(14, 20)},
            "For a 95% chance that they float until 23:00, they may use 66% of their float time. If you"
            " fill them at"
            " 13:30, they use 94%, which is too much. To last, they must be filled at 14:20 or later.",
        ),
        (
            {"started_at": at(12), "start": at(12), "not_before": at(13, 4)},
            "For a 95% chance that they float until 23:00, they may use 66% of their float time. Filled at"
            " 12:00, they use"
            " 74%, which is too much.",
        ),
        (
            {"not_before": at(13, 4), "now": at(13, 10)},
            "For a 95% chance that they float until 23:00, they may use 66% of their float time. If you"
            " fill them at"
            " 13:30, they use 63%.",
        ),
        (
            {"not_before": at(13, 4), "at_venue": True},
            "For a 95% chance that they float until 23:00, they may use 66% of their float time. If you"
            " fill them at"
            " 13:30, they use 63%.",
        ),
        (
            {"endurance": Endurance(0.0, 0.25)},
            "For a 95% chance that they float until 23:00, they may use 0% of their float time. If you fill"
            " them at 13:30,"
            " they use all of it.",
        ),
        (
            {"endurance": AIR, "rates": (1 / 120, 1 / 24), "gas": Gas.AIR, "not_before": at(9)},
            "They are needed until 23:00. If you fill them at 13:30, they look their best until Sun 13:54. So fill"
            " them at 09:00 or later.",
        ),
        (
            {"endurance": AIR, "rates": (1 / 120, 1 / 24), "gas": Gas.AIR},
            "They are needed until 23:00. If you fill them at 13:30, they look their best until Sun 13:54.",
        ),
        (
            {"endurance": AIR, "rates": (0.0, 0.0), "gas": Gas.AIR, "material": Material.FOIL},
            "They are needed until 23:00. You can fill them as early as you like.",
        ),
    ],
)
def test_how_much_of_it_the_order_uses(changes, said):
    assert _said(1, **changes) == said


def test_a_share_that_may_just_be_used_is_never_shown_as_too_much():
    """66.28 % may be used: 66.27 % reads as 66%, and 66.29 % as 67%."""
    hours = 15 * 0.6627
    assert "they use 66%. " in _said(1, until=at(13, 30) + timedelta(hours=hours), not_before=at(13))
    assert "they use 67%, which is too much" in _said(1, until=at(13, 30) + timedelta(hours=15 * 0.6629))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"inflate_by": at(12)},
            "Filling takes one person 20 min, so the latest start is 13:30. Other work needs the bench too, so"
            " start by 12:00.",
        ),
        (
            {"inflate_by": at(13, 40)},
            "Filling takes one person 20 min, so the latest start is 13:30. Several people work on it, so 13:40 is"
            " early enough.",
        ),
        (
            {"order_by": at(12, 50)},
            "Filling takes one person 20 min, so the latest start is 13:30. If one person fills the whole"
            " order, they must start by 12:50.",
        ),
        (
            {"not_before": at(7, 30), "earliest": at(8)},
            "Filling takes one person 20 min, so the latest start is 13:30. The shop opens at 08:00, so start no"
            " earlier.",
        ),
        (
            {"not_before": at(7, 30), "earliest": at(8), "now": at(9)},
            "Filling takes one person 20 min, so the latest start is 13:30.",
        ),
        (
            {"alone_by": at(17, 30, days=-1), "inflate_by": at(17, 30, days=-1)},
            "Filling takes one person 20 min, so the latest start is Fri 17:30, because the shop is closed in"
            " between.",
        ),
        (
            {"at_venue": True, "not_before": at(12, 20)},
            "A crew fills them at the venue. The crew can start at 12:20. Filling takes one person 20 min, so start"
            " by 13:30.",
        ),
        (
            {"started_at": at(12)},
            "Filling takes one person 20 min. Filling started at 12:00; the latest start was 13:30.",
        ),
    ],
)
def test_what_the_bench_needs(changes, said):
    assert _said(2, **changes) == said


def test_treated_balloons_dry_before_the_finishing():
    assert _said(3, drying=120) == (
        "Drying takes 2 h 00 min. Assembly, tying and bagging take 10 min and must start by 13:50, so"
        " that the order is"
        " ready by 14:00."
    )


def test_a_finishing_without_a_start_says_none():
    reasons = _reasons()
    unknown = replace(reasons, finishing=replace(reasons.finishing, starts_by=None))
    assert describe_reasons(unknown, LONDON, MORNING.date(), MORNING)[3] == (
        "Assembly, tying and bagging take 10 min, so that the order is ready by 14:00."
    )


def test_they_follow_the_shops_formats():
    american = replace(LONDON, locale="en_US", twelve_hours=True)
    assert _said(2, formats=american).endswith("the latest start is 1:30 PM.")
