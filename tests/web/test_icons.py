"""Each state and each verdict has a sign of its own: a shape, not only a colour."""

import re
from itertools import combinations

import pytest

from app.planning.window import Verdict
from app.web.batch_state import BatchState
from app.web.wording.order_state import Progress

ICON = '{% from "_macros/icons.html" import icon %}{{ icon(name) }}'
OF_PROGRESS = {Progress.NOT_STARTED: "open", Progress.IN_PROGRESS: "started"}
"""States of an order with the sign of a batch, because they say the same."""
NAMES = sorted({*map(str, (*Verdict, *BatchState, *(OF_PROGRESS.get(one, one) for one in Progress)))})


@pytest.fixture
def shape(app):
    """shape(name): what is drawn of a sign, without its classes."""

    def draw(name):
        drawn = app.jinja_env.from_string(ICON).render(name=name)
        return re.findall(r"<(?:path|circle|rect)\b[^>]*>", drawn)

    return draw


def test_no_two_states_share_a_shape(shape):
    assert {"safe", "risky", "wont-last", "due", "late", "ready", "handed-over"} <= {*NAMES}
    alike = [pair for pair in combinations(NAMES, 2) if shape(pair[0]) == shape(pair[1])]
    assert alike == []


def test_no_two_states_share_an_outline_and_a_mark(shape):
    """What is seen from afar is the outline, then the mark in it: of two states at least one differs."""
    paths = {name: re.findall(r'\bd="([^"]+)"', " ".join(shape(name))) for name in NAMES}
    marks = [path for drawn in paths.values() for path in drawn]
    assert len(marks) == len(set(marks))


def test_risky_is_no_due_and_wont_last_is_no_late(shape):
    for verdict, state in (("risky", "due"), ("wont-last", "late"), ("wont-last", "cancelled"), ("safe", "filled")):
        assert shape(verdict)[0] != shape(state)[0]


def test_the_help_explains_every_sign(client):
    shown = set(re.findall(r'class="icon icon-([\w-]+)"', client.get("/help/words").text))
    assert {*NAMES} <= shown


def test_what_was_not_collected_and_what_has_not_left_have_signs_of_their_own(shape, app):
    sign = '{% from "_macros/pickup_sign.html" import sign %}{{ sign(state) }}'
    drawn = [app.jinja_env.from_string(sign).render(state=state) for state in ("not-collected", "not-left", "gone")]
    assert len(set(drawn)) == 3
    assert shape("not-left") != shape("handed-over")
