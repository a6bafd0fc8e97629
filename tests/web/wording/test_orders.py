"""Sentences never promise more than was computed."""

import pytest

from app.web.wording.orders import chance_sentence, foil_fill_level, odds, percent


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.95, "19 times in 20"),
        (0.9, "9 times in 10"),
        (0.5, "half the time"),
        (0.985, "98 times in 100"),
        (0.9499, "94 times in 100"),
        (0.05, "once in 20"),
        (0.01, "once in 100"),
    ],
)
def test_a_chance_is_said_as_a_person_says_it(chance, said):
    assert odds(chance) == said


def _as_number(said):
    if said == "half the time":
        return 0.5
    times, parts = said.split(" in ")
    return (1 if times == "once" else int(times.removesuffix(" times"))) / int(parts)


def test_odds_are_never_better_than_the_chance_and_close_to_it():
    for chance in (thousandth / 1000 for thousandth in range(10, 995)):
        said = _as_number(odds(chance))
        assert said <= chance + 1e-9, chance
        assert chance - said < 0.021, chance


def test_percent_is_rounded_down():
    assert [percent(chance) for chance in (0.9499, 0.95, 0.99999, 1.0, 0.0)] == [
        "94.9 %",
        "95 %",
        "99.9 %",
        "100 %",
        "0 %",
    ]


@pytest.mark.parametrize(
    ("chance", "gas", "said"),
    [
        (0.95, "helium", "95% chance that they are still up at 23:30."),
        (0.9499, "helium", "94% chance that they are still up at 23:30."),
        (0.999, "helium", "They are almost certain to be floating at 23:30."),
        (0.001, "helium", "They are almost certain to have sunk by 23:30."),
        (1.0, "air", "They still look their best at 23:30."),
        (0.0, "air", "They no longer look their best at 23:30."),
    ],
)
def test_the_sentence_of_a_chance(chance, gas, said):
    assert chance_sentence(chance, "23:30", gas) == said


def test_a_foil_is_full_or_so_much_of_full():
    assert (foil_fill_level(1.0), foil_fill_level(0.93)) == ("full", "to 93% of full")
