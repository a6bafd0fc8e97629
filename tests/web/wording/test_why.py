"""The reasons for the time of a batch, in four sentences."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from app.physics.balloon import Gas
from app.physics.endurance import Endurance
from app.physics.material import Material
from app.physics.promise import Promise, Scatter
from app.planning.bench_window import BenchWindow
from app.planning.reasons import FinishingReason, TimeReasons, WorkReason, float_reason
from app.planning.window import FloatPlan, Leg
from app.web.formats import Formats
from app.web.wording.why import describe_reasons
from tests.actions.builders import MORNING, at

LONDON = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
MOST = Promise(22, 24)
LATEX = Endurance(15.0, Scatter(0.25, 0.05), promise=MOST)
HEAVY = Endurance(0.0, Scatter(0.25, 0.05), promise=MOST)
AIR = Endurance(1.0, Scatter(0.0), promise=MOST)
FILM = Endurance(240.0, Scatter(0.21, 0.15), promise=Promise())
DARK, INDOORS, SHADE, SUN = (0.0, 0.0), (1 / 120, 1 / 120), (1 / 120, 1 / 24), (1 / 336, 1 / 6)
"""The shares of the limits of light that latex uses up in an hour, here and there."""
LOOKS = {"endurance": AIR, "rates": (0.0, 0.0), "gas": Gas.AIR}


def _reasons(
    endurance=LATEX, rates=(1.0, 1.0), material=Material.LATEX, gas=Gas.HELIUM, drying=0, light=DARK, **work
):
    """Twenty minutes of work for 14:00, which must float until 22:30."""
    start = work.pop("start", at(13, 30))
    inflate_by = work.pop("inflate_by", at(13, 30))
    until = work.pop("until", at(22, 30))
    legs = (Leg(at(14), rates[0], light[0]), Leg(until, rates[1], light[1]))
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
        float_reason(material, gas, FloatPlan(endurance, legs), 0.95, start),
        WorkReason(**(fixed | work)),
        FinishingReason(timedelta(minutes=drying), timedelta(minutes=10), at(13, 50), at(14)),
    )


LATE_AT_VENUE = {
    "not_before": at(14, 6), "earliest": at(14, 6), "at_venue": True, "start": at(14, 30), "until": at(23, 30),
}  # fmt: skip


def _said(place, *, now=MORNING, formats=LONDON, **changes):
    return describe_reasons(_reasons(**changes), formats, MORNING.date(), now)[place]


FLOAT_FOR = "With what hangs on them, half of these balloons float for"
PROMISED = (
    "We promise that 19 times in 20, at least 22 of the 24 are still up at 22:30. So they may use 62% of their"
    " float time."
)
"""62.76 % may be used: computed with scipy from the two scatters."""


def test_four_sentences_say_why():
    """9.414 h may be used, so that the earliest start is 13:05:10; from 13:30 on, it is 9 h."""
    assert describe_reasons(_reasons(not_before=at(13, 6)), LONDON, MORNING.date(), MORNING) == (
        f"{FLOAT_FOR} 15 h or longer.",
        f"{PROMISED} If you fill them at 13:30, they use 60%. If you fill them before 13:06, they use too much.",
        "Filling takes one person 20 min, so the latest start is 13:30.",
        "Assembly, tying and bagging take 10 min and must start by 13:50, so that the order is ready by 14:00.",
    )


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"rates": (1.0, 1.5)}, f"{FLOAT_FOR} 15 h or longer in the shop, and for 10 h or longer at the venue."),
        ({"rates": (1.5, 1.5), "at_venue": True}, f"{FLOAT_FOR} 10 h or longer."),
        ({"endurance": HEAVY}, "These balloons do not rise: they are too heavy for their gas."),
        (
            {"endurance": FILM, "material": Material.FOIL},
            f"{FLOAT_FOR} 10 days or longer, by the hours stated for their type.",
        ),
        (
            {"light": SUN},
            "These balloons are good for 15 h in the shop, and for 6 h at the venue: light ages latex, treated or"
            " not. Their helium lasts longer.",
        ),
        (
            LOOKS | {"light": SHADE},
            "Latex balloons filled with air are good for 5 days in the shop, and for 24 h at the venue; only"
            " daylight counts outdoors.",
        ),
        (LOOKS | {"light": INDOORS}, "Latex balloons filled with air are good for 5 days."),
        (
            LOOKS | {"light": (1 / 24, 1 / 24), "at_venue": True},
            "Latex balloons filled with air are good for 24 h; only daylight counts outdoors.",
        ),
        (LOOKS | {"material": Material.FOIL}, "Foil balloons filled with air keep their looks."),
    ],
)
def test_how_long_they_last(changes, said):
    assert _said(0, **changes) == said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"rates": (1.0, 1.5), "not_before": at(14, 20)},
            f"{PROMISED} If you fill them at 13:30, they use 89%, which is too much. To last, they must be filled"
            " at 14:20 or later.",
        ),
        (
            {"started_at": at(12), "start": at(12), "not_before": at(13, 6)},
            f"{PROMISED} Filled at 12:00, they use 70%, which is too much.",
        ),
        (
            {"not_before": at(13, 7), "light": SUN},
            f"{PROMISED} If you fill them at 13:30, they use 60%. If you fill them before 13:07, they are in the"
            " light for too long.",
        ),
        (
            {"not_before": at(13, 6), "now": at(13, 10)},
            f"{PROMISED} If you fill them at 13:30, they use 60%.",
        ),
        (
            {"not_before": at(13, 6), "at_venue": True},
            f"{PROMISED} If you fill them at 13:30, they use 60%.",
        ),
        (
            LATE_AT_VENUE,
            f"{PROMISED.replace('22:30', '23:30')} If you fill them at 14:30, they use 60%. If you fill them before"
            " 14:06, they use too much.",
        ),
        (
            {"endurance": replace(LATEX, promise=Promise(6, 6))},
            "We promise that 19 times in 20, all 6 are still up at 22:30. So they may use 62% of their float time."
            " If you fill them at 13:30, they use 60%.",
        ),
        (
            {"endurance": FILM, "material": Material.FOIL},
            "We promise that 19 times in 20, it is still up at 22:30. So it may use 70% of its float time. If you"
            " fill it at 13:30, it uses 3%.",
        ),
        (
            {"endurance": HEAVY},
            f"{PROMISED.replace('62%', '0%')} If you fill them at 13:30, they use all.",
        ),
        (
            LOOKS | {"light": SHADE, "not_before": at(9)},
            "They are needed until 22:30. If you fill them at 13:30, they use 35% of that time. So fill them at"
            " 09:00 or later.",
        ),
        (
            LOOKS | {"light": SHADE},
            "They are needed until 22:30. If you fill them at 13:30, they use 35% of that time.",
        ),
        (
            LOOKS | {"light": SUN},
            "They are needed until 22:30. If you fill them at 13:30, they use 142% of that time, which is too"
            " much.",
        ),
        (
            LOOKS | {"material": Material.FOIL},
            "They are needed until 22:30. You can fill them as early as you like.",
        ),
    ],
)
def test_how_much_of_it_the_order_uses(changes, said):
    assert _said(1, **changes) == said


def test_a_share_that_may_just_be_used_is_never_shown_as_too_much():
    """62.76 % may be used: 62.75 % reads as 62%, and 62.77 % as 63%."""
    hours = 15 * 0.6275
    assert "they use 62%. " in _said(1, until=at(13, 30) + timedelta(hours=hours), not_before=at(13))
    assert "they use 63%, which is too much" in _said(1, until=at(13, 30) + timedelta(hours=15 * 0.6277))


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
            "A crew fills them at the venue, from 12:20 at the earliest. Filling takes one person 20 min, so start"
            " by 13:30.",
        ),
        (
            {"at_venue": True, "not_before": at(14, 20), "earliest": at(14, 20)},
            "A crew fills them at the venue. Filling takes one person 20 min, so start by 13:30.",
        ),
        (
            {"started_at": at(12), "inflate_by": at(13, 10)},
            "Filling takes one person 20 min. Filling started at 12:00; the latest start was 13:10.",
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
        "Drying takes 2 h. Assembly, tying and bagging take 10 min and must start by 13:50, so"
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
