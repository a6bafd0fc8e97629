"""How long a balloon lasts, in words."""

from zoneinfo import ZoneInfo

import pytest

from app.physics.float_time import FloatTime
from app.web.formats import Formats
from app.web.wording.float_time import float_time_words

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
