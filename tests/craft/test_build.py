"""How a design is put together: what each form asks for, and what it refuses."""

import pytest

from app.craft.build import FIGURES, Build, Construction, read_build, shares_by_pattern, write_build
from tests.numbers_in import numbers_in

COLUMN = {"form": "column", "height_m": 2.0, "pattern": "spiral"}


def test_it_is_read_and_written_again():
    assert read_build(COLUMN) == Build(Construction.COLUMN, {"height_m": 2.0, "pattern": "spiral"})
    assert write_build(read_build(COLUMN)) == COLUMN


def test_what_is_not_put_together_keeps_nothing():
    assert write_build(Build()) == {}
    assert read_build({}) == Build(Construction.LOOSE)


@pytest.mark.parametrize("form", Construction)
def test_each_form_takes_its_least_figures_and_no_others(form):
    asked = {one.key: one.choices[0] if one.choices else one.low for one in FIGURES.get(form, ())}
    assert read_build(write_build(Build(form, asked))) == Build(form, asked)
    with pytest.raises(ValueError, match=f"{form} .*wings"):
        Build(form, asked | {"wings": 2.0})


@pytest.mark.parametrize(
    ("changes", "numbers"),
    [
        ({"height_m": 7}, [0.3, 6]),
        ({"height_m": float("nan")}, [0.3, 6]),
        ({"height_m": "2"}, [0.3, 6]),
        ({"height_m": True}, [0.3, 6]),
        ({"height_m": None}, [0.3, 6]),
        ({"pattern": "dots"}, []),
    ],
)
def test_a_wrong_figure_gets_a_sentence(changes, numbers):
    """It names the figure, and what is allowed."""
    with pytest.raises(ValueError, match=r"\.$") as wrong:
        read_build(COLUMN | changes)
    (figure,) = (one for one in FIGURES[Construction.COLUMN] if one.key in changes)
    assert str(wrong.value).startswith(figure.label)
    assert numbers_in(str(wrong.value)) == numbers
    assert all(choice in str(wrong.value) for choice in figure.choices)


def test_a_missing_figure_and_an_unknown_form_are_refused():
    with pytest.raises(ValueError, match="Height"):
        read_build({"form": "column", "pattern": "spiral"})
    with pytest.raises(ValueError, match="castle"):
        read_build({"form": "castle"})


def test_colours_go_as_the_fours_take_them():
    """By hand: of ten layers of four, three colours in a spiral: two, one and one in each."""
    column = read_build(COLUMN)
    assert shares_by_pattern(column, 40, 3) == (20, 10, 10)
    assert sum(shares_by_pattern(column, 40, 5)) == 40
    assert (
        shares_by_pattern(column, 42, 2)
        == shares_by_pattern(Build(), 40, 2)
        == shares_by_pattern(column, 40, 0)
        == ()
    )
