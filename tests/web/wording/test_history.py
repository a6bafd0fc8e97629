"""What the history of an order says of measures, also in entries that were written before these were marked."""

from dataclasses import replace

import pytest

from app.web.formats import NO_BREAK_SPACE
from app.web.wording.history import fill_reason_words, history_words
from tests.web.test_formats import PLAIN

OTHER = replace(PLAIN, fahrenheit=True, imperial=True)
SAID = [
    ("venue", "shade, -5 °C, altitude 300 m, wind 5 m/s", "shade, 23 °F, altitude 984 ft, wind 11 mph"),
    ("line 1", "3 × star, 11 in, helium, 57 g on each", "3 × star, 11 in, helium, 2.1 oz on each"),
    ("1001-1", "inflate by Sat 14:30, 11 in, weight 80 g each", "inflate by Sat 14:30, 11 in, weight 2.9 oz each"),
]
TYPED = "Hang it 3 m up, 5 m/s, 20 °C, 57 g on each"


@pytest.mark.parametrize(("what", "entry", "said"), SAID)
def test_measures_of_the_history_are_in_the_shops_units_marked_or_not(what, entry, said):
    assert history_words(what, entry, OTHER) == said
    assert history_words(what, entry, PLAIN) == entry
    marked = entry
    for unit in ("°C", "m,", "m/s", "g on", "g each"):
        marked = marked.replace(f" {unit}", f"{NO_BREAK_SPACE}{unit}")
    assert history_words(what, marked, OTHER) == said


def test_the_size_of_a_batch_is_in_the_shops_unit():
    entry = "inflate by Sat 21 Nov 2026 14:30, 9 in"
    assert history_words("1001-1", entry, replace(PLAIN, centimetres=True)) == entry.replace("9 in", "22.9 cm")


@pytest.mark.parametrize("blank", [" ", NO_BREAK_SPACE])
def test_the_reason_for_a_fill_size_is_in_the_shops_unit(blank):
    why = f"with air to 82% of the rated 11{blank}in"
    assert fill_reason_words(why, replace(PLAIN, centimetres=True)) == "with air to 82% of the rated 27.9 cm"


@pytest.mark.parametrize(
    "what", ["notes", "address", "customer accepted", "reason for accepting it anyway (bench)"]
)
def test_what_people_typed_stays_as_it_is(what):
    for typed in (TYPED, TYPED.replace(" ", NO_BREAK_SPACE)):
        assert history_words(what, typed, OTHER) == typed
