"""What the counter reads about the holding area."""

import pytest

from app.actions.bench.holding_area import HoldingAreaFit
from app.actions.records.shop import load_shop
from app.planning.holding_area import RoomTaken
from app.web.formats import Formats
from app.web.wording.bench import holding_area_sentence
from tests.actions.builders import at


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def _say(formats, over, *, already=False):
    return holding_area_sentence(HoldingAreaFit(240, RoomTaken(at(14), at(16), 180.2), over, already), formats)


def test_too_full_says_when_and_how_much(formats):
    assert _say(formats, RoomTaken(at(14), at(16), 261.3)) == (
        "The holding area is too full on Sat 21 Nov from 14:00 to 16:00: 262 balloons, room for 240"
        " (counted as 11 in latex)."
    )


def test_a_trace_too_much_is_not_told_as_just_enough(formats):
    assert "241 balloons, room for 240" in _say(formats, RoomTaken(at(14), at(16), 240.01))


def test_over_night_it_names_the_day_it_ends_on(formats):
    assert "from 14:00 to Sun 09:00" in _say(formats, RoomTaken(at(14), at(9, days=1), 300))


def test_without_it_too(formats):
    said = _say(formats, RoomTaken(at(14), at(16), 300), already=True)
    assert said.endswith("It is too full even without this order.")


def test_not_full_says_when_it_is_fullest(formats):
    assert (
        _say(formats, None)
        == "The holding area is fullest on Sat 21 Nov, 14:00: 181 balloons, room for 240 (counted as 11 in latex)."
    )
