"""What the bench reads about a batch that must wait, and about one that nobody taps."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from app.actions.errors import TooEarly
from app.physics.material import Material
from app.planning.early import Early, EarlyReason
from app.web.formats import Formats
from app.web.wording.batches import (
    early_note,
    early_question,
    filled_help,
    filled_words,
    idle_note,
    idle_question,
)

DAY = date(2026, 11, 21)
AT = datetime(2026, 11, 21, 10, 5, tzinfo=UTC)
MONDAY = AT.replace(day=23)
FORMATS = Formats(ZoneInfo("Europe/London"), False, False, False, "£", 2)
CHANCES = "If you start now, they may sink before the end: the chance to stay up is 71%, not 97%."


@pytest.mark.parametrize(
    ("early", "note", "question"),
    [
        (
            Early(EarlyReason.SINKS, AT, no_earlier=False),
            "may sink: wait until 10:05",
            f"{CHANCES} You can start at 10:05. Start anyway?",
        ),
        (
            Early(EarlyReason.SINKS, AT, no_earlier=True),
            "may sink: start at 10:05, no earlier",
            f"{CHANCES} Start at 10:05, no earlier. Start anyway?",
        ),
        (
            Early(EarlyReason.CLOSED, MONDAY, no_earlier=False),
            "not open yet: planned from Mon 10:05",
            "The shop is not open yet. You can start at Mon 10:05. Start anyway?",
        ),
        (
            Early(EarlyReason.LIGHT, AT, no_earlier=False),
            "too much light: wait until 10:05",
            "If you start now, they are in the light for too long. You can start at 10:05. Start anyway?",
        ),
    ],
)
def test_too_early_says_why_and_when_it_may_start(early, note, question):
    assert early_note(early, 0.71, FORMATS, DAY) == note
    assert early_question(TooEarly(early, 0.71, 0.97), FORMATS, DAY) == question


def test_chances_that_read_alike_are_not_set_against_each_other():
    asked = TooEarly(Early(EarlyReason.SINKS, AT, no_earlier=True), 0.001, 0.004)
    said = "If you start now, they will sink before the end. Start at 10:05, no earlier. Start anyway?"
    assert early_question(asked, FORMATS, DAY) == said


def test_what_has_no_chance_will_sink_and_does_not_only_risk_it():
    early = Early(EarlyReason.SINKS, AT, no_earlier=False)
    assert early_note(early, 0.004, FORMATS, DAY) == "will sink: wait until 10:05"
    assert "they will sink" in early_question(TooEarly(early, 0.004, 0.97), FORMATS, DAY)


@pytest.mark.parametrize(
    ("filled", "quantity", "words"),
    [
        (0, 6, "0 of 6 filled"),
        (6, 6, "6 of 6 filled"),
        (10, 6, "6 of 6 filled, 4 spare"),
        (6, 0, "6 filled, not needed any more"),
    ],
)
def test_what_is_filled_says_what_a_changed_order_leaves_over(filled, quantity, words):
    assert filled_words(filled, quantity) == words


def test_what_nobody_taps_is_asked_about():
    assert idle_question("1007-1", 1, 30) == "1007-1: 1 of 30 filled. Still going?"
    assert [idle_note(at, FORMATS, DAY) for at in (AT, MONDAY)] == ["last tap 10:05", "last tap Mon 10:05"]


@pytest.mark.parametrize(
    ("material", "again_by", "said"),
    [
        (Material.LATEX, "15:35", "Tied latex can't be topped up: start new ones by 15:35."),
        (Material.LATEX, "", "Tied latex can't be topped up: offer foil."),
        (Material.FOIL, "", "Top them up before they leave."),
    ],
)
def test_what_helps_a_filled_batch_that_may_not_last(material, again_by, said):
    """Common practice: a soft foil is topped up, tied latex cannot be."""
    assert filled_help(material, again_by) == said
