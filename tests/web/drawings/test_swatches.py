"""How balloons of named colours look. There is no published source: the names are those of a counter."""

import pytest

from app.quoting.colour_looks import ColourLook, colour_key
from app.quoting.states import Finish
from app.web.drawings.swatches import FILLS, FINISHES, PATTERN_GROUND, colour_look

DUSK = {"dusk": ColourLook("#445566", Finish.METALLIC)}


@pytest.mark.parametrize(
    ("name", "like", "finish"),
    [
        ("red", "red", Finish.PLAIN),
        ("Red", "red", Finish.PLAIN),
        ("pale pink", "pink", Finish.PLAIN),
        ("hot-pink", "hot pink", Finish.PLAIN),
        ("  Rose   Gold ", "rose gold", Finish.METALLIC),
        ("chrome blue", "blue", Finish.METALLIC),
        ("crystal clear", "clear", Finish.CLEAR),
        ("clear pink", "pink", Finish.CLEAR),
        ("red and white dots", "white", Finish.PATTERNED),
    ],
)
def test_the_last_known_colour_of_a_name_counts_and_any_word_may_say_the_finish(name, like, finish):
    assert colour_look(name) == ColourLook(FILLS[like], finish)


@pytest.mark.parametrize("name", ["confetti", "mixed", "marble"])
def test_a_pattern_without_a_colour_has_a_quiet_ground(name):
    assert colour_look(name) == ColourLook(PATTERN_GROUND, Finish.PATTERNED)


@pytest.mark.parametrize("name", ["dusk", "any colour", "", "—"])
def test_a_name_without_a_known_word_is_drawn_as_an_outline(name):
    assert colour_look(name) == ColourLook("none", Finish.UNKNOWN)


def test_no_two_finishes_share_a_word_and_none_is_unknown():
    words = [word for of in FINISHES.values() for word in of]
    assert len(words) == len(set(words))
    assert not {Finish.PLAIN, Finish.UNKNOWN} & FINISHES.keys()


@pytest.mark.parametrize("name", ["dusk", "Dusk", "pale dusk", "dusk-pale"])
def test_a_colour_of_the_shops_own_counts_in_longer_names_too(name):
    assert colour_look(name, DUSK) == DUSK["dusk"]


def test_a_colour_of_the_shops_own_goes_before_the_usual_one():
    own = {"red": ColourLook("#aa0000", Finish.PLAIN)}
    assert colour_look("Red", own).fill == "#aa0000"
    assert colour_look("Red").fill == FILLS["red"]


def test_the_longest_name_of_the_shops_own_counts():
    own = DUSK | {"pale dusk": ColourLook("#998877", Finish.PLAIN)}
    assert colour_look("pale dusk", own).fill == "#998877"
    assert colour_look("dark dusk", own).fill == "#445566"


def test_another_word_says_the_finish_of_a_colour_of_the_shops_own():
    assert colour_look("clear dusk", DUSK) == ColourLook("#445566", Finish.CLEAR)


def test_a_key_has_no_capitals_hyphens_or_blanks_to_spare():
    assert colour_key(" Rose-Gold  Deep ") == "rose gold deep"


@pytest.mark.parametrize("name", ["star", "heart", "Number 4"])
def test_foil_that_is_named_by_its_shape_alone_is_silver(name):
    assert colour_look(name) == colour_look("silver")
    assert colour_look(f"red {name}").fill == colour_look("red").fill
