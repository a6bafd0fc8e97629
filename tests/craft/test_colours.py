"""Colours as people type them on the phone."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.craft.colours import ANY, LONGEST_NAME, MOST_COLOURS, ColoursUnclear, read_colours, share_spares
from tests.numbers_in import numbers_in

_words = st.text("abcdefghijklmnopqrstuvwxyzäöüéñ", min_size=1, max_size=12).filter(lambda word: word != "and")
_names = st.lists(_words, min_size=1, max_size=2).map(" ".join)
_name_lists = st.lists(_names, min_size=1, max_size=MOST_COLOURS, unique=True)
_separators = st.sampled_from([",", ", ", ";", " ; ", "+", "\n", "\r\n", " and ", ", and "])


def _sentence(error: ColoursUnclear) -> bool:
    return re.fullmatch(r"[A-Z0-9][^\n]* [^\n]*\.", str(error)) is not None


@pytest.mark.parametrize(
    ("text", "quantity", "shares"),
    [
        ("12 red, 12 white", 24, {"red": 12, "white": 12}),
        ("12 red 12 white", 24, {"red": 12, "white": 12}),
        ("6 pale blue 6x red, 12 white", 24, {"pale blue": 6, "red": 6, "white": 12}),
        ("10 red and 14 white", 24, {"red": 10, "white": 14}),
        ("12x red; 12 × white", 24, {"red": 12, "white": 12}),
        ("3red+4 pale blue", 7, {"red": 3, "pale blue": 4}),
        ("2 red, 3 white, 1 red", 6, {"red": 3, "white": 3}),
        ("red, white", 24, {"red": 12, "white": 12}),
        ("half red, half white", 24, {"red": 12, "white": 12}),
        ("Half red and half white", 5, {"red": 3, "white": 2}),
        ("half moon, gold", 2, {"half moon": 1, "gold": 1}),
        ("white, red", 5, {"white": 3, "red": 2}),
        ("sand and gold", 4, {"sand": 2, "gold": 2}),
        ("red, red", 3, {"red": 3}),
        ("  pale   blue ", 9, {"pale blue": 9}),
        ("red,, white,", 2, {"red": 1, "white": 1}),
        ("", 24, {ANY: 24}),
        (" , ;", 24, {ANY: 24}),
    ],
)
def test_it_works(text, quantity, shares):
    assert list(read_colours(text, quantity).items()) == list(shares.items())


@pytest.mark.parametrize(
    ("text", "quantity", "message"),
    [
        ("12 red, 13 white", 24, "25.*24"),
        ("12 red", 24, "12.*24"),
        ("12 red, white", 24, "12 red, 12 white"),
        ("red, white, gold", 2, "3 .*2 "),
        ("r" * (LONGEST_NAME + 1), 5, str(LONGEST_NAME)),
        ("5 " + "r" * (LONGEST_NAME + 1), 5, str(LONGEST_NAME)),
        (", ".join(f"c{chr(97 + n)}" for n in range(MOST_COLOURS + 1)), 99, str(MOST_COLOURS)),
    ],
)
def test_unclear_text_is_refused_with_a_sentence(text, quantity, message):
    with pytest.raises(ColoursUnclear, match=message) as error:
        read_colours(text, quantity)
    assert _sentence(error.value)


@pytest.mark.parametrize(
    "text",
    [
        "red 10, white 14",
        "24",
        "12, red",
        "12 3 red, 12 white",
        "24 red 12 white",
        "-24 red",
    ],
)
def test_a_number_out_of_its_place_is_refused_and_never_read_as_a_colour(text):
    with pytest.raises(ColoursUnclear) as error:
        read_colours(text, 24)
    assert _sentence(error.value)


def test_a_colour_of_none_is_refused_for_what_it_is():
    with pytest.raises(ColoursUnclear) as error:
        read_colours("0 red, 24 white", 24)
    assert numbers_in(str(error.value)) == [0]


@pytest.mark.parametrize(("text", "name"), [("6 xmas green", "xmas green"), ("6 X red", "red")])
def test_the_times_sign_is_no_letter_of_the_colour(text, name):
    assert read_colours(text, 6) == {name: 6}


def test_a_number_too_long_to_read_is_refused_with_a_sentence():
    with pytest.raises(ColoursUnclear) as error:
        read_colours("9" * 5000 + " red", 24)
    assert _sentence(error.value)


@given(_name_lists, st.integers(0, 500), st.data())
def test_uncounted_colours_are_shared_out_evenly_in_their_order(names, more, data):
    quantity = len(names) + more
    shares = read_colours(data.draw(_separators).join(names), quantity)
    assert list(shares) == names
    assert sum(shares.values()) == quantity
    assert max(shares.values()) - min(shares.values()) <= 1
    assert list(shares.values()) == sorted(shares.values(), reverse=True)


@given(_name_lists, st.data())
def test_counted_colours_come_back_as_they_were_counted(names, data):
    counts = data.draw(st.lists(st.integers(1, 200), min_size=len(names), max_size=len(names)))
    text = data.draw(_separators).join(f"{n} × {name}" for n, name in zip(counts, names, strict=True))
    shares = read_colours(text, sum(counts))
    assert list(shares.items()) == list(zip(names, counts, strict=True))


@given(_name_lists, st.integers(-50, 50).filter(bool), st.data())
def test_counts_that_do_not_add_up_are_refused_with_both_sums(names, wrong, data):
    counts = data.draw(st.lists(st.integers(1, 200), min_size=len(names), max_size=len(names)))
    text = ", ".join(f"{n} {name}" for n, name in zip(counts, names, strict=True))
    with pytest.raises(ColoursUnclear) as error:
        read_colours(text, sum(counts) + wrong)
    assert {str(sum(counts)), str(sum(counts) + wrong).lstrip("-")} <= set(re.findall(r"\d+", str(error.value)))


@given(_name_lists, st.integers(1, 23))
def test_more_colours_than_balloons_are_refused(names, fewer):
    quantity = max(0, len(names) - fewer)
    with pytest.raises(ColoursUnclear) as error:
        read_colours(",".join(names), quantity)
    assert _sentence(error.value)


def _refusal(text: str, quantity: int) -> ColoursUnclear | None:
    try:
        read_colours(text, quantity)
    except ColoursUnclear as error:
        return error
    return None


@given(st.text(max_size=60), st.integers(1, 300))
def test_whatever_is_typed_is_shared_out_or_refused_with_a_sentence(text, quantity):
    if error := _refusal(text, quantity):
        assert _sentence(error)
        return
    shares = read_colours(text, quantity)
    assert sum(shares.values()) == quantity
    assert all(count > 0 for count in shares.values())
    assert all(name and len(name) <= LONGEST_NAME for name in shares)


@pytest.mark.parametrize(
    ("counts", "spares", "shares"),
    [
        ([12, 12], 2, [1, 1]),
        ([12, 12], 1, [1, 0]),  # the first of equals
        ([8, 16], 3, [1, 2]),
        ([1, 1, 22], 2, [0, 0, 2]),
        ([5], 4, [4]),
        ([], 3, []),
        ([3, 4], 0, [0, 0]),
    ],
)
def test_spares_are_shared_out_by_the_largest_remainder(counts, spares, shares):
    assert share_spares(counts, spares) == shares


@given(st.lists(st.integers(1, 500), min_size=1, max_size=MOST_COLOURS), st.integers(0, 300))
def test_all_spares_are_shared_out_and_each_colour_gets_its_share_but_for_one(counts, spares):
    shares = share_spares(counts, spares)
    assert sum(shares) == spares
    assert all(abs(share - spares * count / sum(counts)) < 1 for count, share in zip(counts, shares, strict=True))
