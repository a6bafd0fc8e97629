"""The headline of the answer says what is wrong, and never “Won't last” where only bench or stock fall short."""

import pytest

from tests.actions.stock_helpers import lot
from tests.places.payloads import payload, words
from tests.places.test_counter_verdict import GARDEN, SOON, SUNK, TEAL

SHORT, LATE = "Short of 4 teal 11 in latex", "Can't be ready by 12:20"


def _answer(client, **changes):
    text = client.post("/counter/draft", data=payload(fix="live", **changes)).text
    return text.partition('id="answer-heading">')[2].partition(">")[2].partition("</aside>")[0]


def _headline(text):
    return words(text.partition('data-role="verdict">')[2].partition('<span class="answer-total"')[0])


@pytest.fixture
def shelf(database):
    with database.writing() as session:
        for count, colour in ((20, "teal"), (90, "red"), (90, "white")):
            lot(session, count, colour)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "Safe Can be ready"),
        (SOON, f"{LATE} Float: Safe"),
        (TEAL, f"{SHORT} Float: Safe Can be ready"),
        (SOON | TEAL, f"{LATE} {SHORT} Float: Safe"),
        (SUNK, "Won't last Can be ready"),
        (SUNK | TEAL, f"{SHORT} Won't last Can be ready"),
        (GARDEN, "Risky Can be ready"),
        ({"surroundings": "shade", "venue_wind": "8"}, "Risky Can be ready"),
        ({"surroundings": "shade", "venue_wind": "3", "venue_warmth": "33"}, "Safe Can be ready"),
    ],
)
def test_what_is_wrong_comes_first(client, noon, shelf, changes, said):
    text = _answer(client, **changes)
    assert _headline(text) == said
    assert ("Won't last" in words(text)) == ("Won't last" in said)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (GARDEN, "Too much light for latex: 134% of its limit by 18:00. It dulls and may burst."),
        ({"surroundings": "shade", "venue_wind": "8"}, "It is too windy for helium outdoors."),
    ],
)
def test_the_batch_says_why(client, changes, said):
    """From the start of the event at 10:00 on it is 8 h in the sun, where 6 h are the limit."""
    assert said in words(_answer(client, **changes))
