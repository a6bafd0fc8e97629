"""What a template draws once: the same of equal values, and another of each other value."""

import re

import pytest

from app.web.drawn_once import drawn_once

RED = (("red", 5, "plain", "#c8102e"),)
COLOURS = ("bench/_colours.html", "colours", RED, 0)
BADGES = ("bench/_badges.html", "badges", "open", "Can start")


@pytest.fixture(autouse=True)
def asking(app):
    with app.app_context():
        yield


@pytest.mark.parametrize("drawn", [COLOURS, BADGES])
def test_the_same_is_drawn_once(drawn):
    assert drawn_once(*drawn) is drawn_once(*drawn)


@pytest.mark.parametrize(
    ("drawn", "other"),
    [
        (COLOURS, (*COLOURS[:2], (("rose", 5, "plain", "#c8102e"),), 0)),
        (COLOURS, (*COLOURS[:2], (("red", 6, "plain", "#c8102e"),), 0)),
        (COLOURS, (*COLOURS[:2], (("red", 5, "metallic", "#c8102e"),), 0)),
        (COLOURS, (*COLOURS[:2], (("red", 5, "plain", "#ff0000"),), 0)),
        (COLOURS, (*COLOURS[:2], RED, 2)),
        (BADGES, (*BADGES[:2], "due", "Can start")),
        (BADGES, (*BADGES[:2], "open", "start in 4 min")),
    ],
)
def test_each_value_makes_another(drawn, other):
    assert drawn_once(*drawn) != drawn_once(*other)


def test_what_somebody_typed_stays_text():
    drawn = drawn_once("bench/_colours.html", "colours", (("<b>red", 5, "plain", "none"),), 0)
    assert "<b>" not in drawn
    assert re.search('data-colour="&lt;b&gt;red"', drawn)
