"""The sentences of the review."""

from zoneinfo import ZoneInfo

import pytest

from app.craft.comparing import Change
from app.places.office.review import QUESTIONS
from app.places.office.review_bench import WEEKDAYS
from app.quoting.states import LateReason
from app.web.formats import Formats
from app.web.wording import review

FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)


@pytest.mark.parametrize(
    ("name", "now", "before", "said"),
    [
        ("revenue", 18_050, 12_000, "Revenue rose from £120.00 to £180.50."),
        ("orders", 1_204, 1_400, "Orders handed over fell from 1,400 to 1,204."),
        ("missed", 5, 0, "Missed orders rose from 0 to 5."),
        ("burst", 0.041, 0.012, "Burst balloons rose from 12 to 41 of every 1,000."),
        ("burst", 0.121, 0.012, "Burst balloons rose from 1% to 12% of all."),
        ("late", 0.0, 0.2, "Late orders fell from 20% to 0% of all."),
    ],
)
def test_a_change_is_one_sentence(name, now, before, said):
    assert review.change_sentence(name, Change(now, before, 3.0), FORMATS) == said


def test_a_share_is_said_with_both_of_its_numbers():
    assert review.of_words(1, 3) == "1 of 3"


def test_a_profit_below_the_minimum_says_so():
    assert review.profit_words("12%", is_below=True) == "12% – below the minimum"
    assert review.profit_words("12%", is_below=False) == "12%"


@pytest.mark.parametrize("reason", [None, *LateReason])
def test_each_reason_has_its_words(reason):
    assert review.reason_words(reason)


@pytest.mark.parametrize("question", QUESTIONS)
def test_each_question_has_a_heading_and_says_what_is_counted(question):
    assert review.QUESTION_WORDS[question]
    assert review.QUESTION_HINTS[question].endswith(".")


def test_a_picture_says_what_it_shows():
    text = review.chart_text("Revenue", 4, "Mon 2 Nov", "£12.00")
    assert text == "Revenue: 4 bars. The longest is Mon 2 Nov, £12.00. The table below has all numbers."
    assert review.chart_text("Revenue", 0, "", "") == "Revenue: nothing on these dates."
    assert review.heat_text("Orders taken", 7, "Sat 10:00").startswith("Orders taken: 7 together.")


def test_no_weekday_is_a_column_of_another_name():
    assert not {*WEEKDAYS} & {*review.COLUMN_WORDS}
