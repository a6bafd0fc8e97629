"""What is said of hours that pass midnight, and of hours on a night when the clocks change."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from app.web.formats import Formats
from app.web.wording.hours import clock_change_words, hours_words, past_midnight_words

FORMATS = Formats(ZoneInfo("UTC"), False, False, False, "£", 2)


@pytest.mark.parametrize(
    ("minutes", "hours", "beside"),
    [
        ((480, 1080), "08:00 to 18:00", ""),
        ((1080, 1440), "18:00 to midnight", "6 h, until midnight"),
        ((1080, 1590), "18:00 to 02:30 the next day", "8 h 30 min, until 02:30 the next day"),
        ((0, 1440), "00:00 to midnight", "24 h, until midnight"),
        ((480, 1920), "08:00 to 08:00 the next day", "24 h, until 08:00 the next day"),
        ((1470, 1560), "00:30 to 02:00 the next day", "1 h 30 min, until 02:00 the next day"),
    ],
)
def test_hours_that_pass_midnight_say_so(minutes, hours, beside):
    assert (hours_words(*minutes, FORMATS), past_midnight_words(*minutes, FORMATS)) == (hours, beside)


@pytest.mark.parametrize(
    ("real", "said"),
    [
        (180, ""),
        (120, "only 2 h, because the clocks go forward"),
        (240, "4 h, because the clocks go back"),
        (0, "no time at all, because the clocks go forward and skip it"),
    ],
)
def test_a_night_when_the_clocks_change_says_how_long_it_is(real, said):
    assert clock_change_words(60, 240, timedelta(minutes=real), FORMATS) == said
