"""The small drawings of bouquets against the bouquets they show."""

import pytest

from app.craft.bouquet import BouquetDefaults, Stacking, make_bouquet
from app.craft.bouquet_drawing import draw_bouquet
from app.craft.drawing import Stroke
from app.craft.piece import BouquetBalloon
from tests.numbers_in import numbers_in

BALLOON = BouquetBalloon(28.0, 8.0, colour_index=1)
TOPPER = BouquetBalloon(46.0, 4.0, colour_index=0, topper=True)


def _bouquet(pieces, build=Stacking.LAYERS):
    return make_bouquet(pieces, build, BouquetDefaults())


@pytest.mark.parametrize("build", Stacking)
def test_each_balloon_has_its_ribbon_down_to_the_knot_on_the_weight(build):
    bouquet = _bouquet([BALLOON] * 7 + [TOPPER], build)
    drawing = draw_bouquet(bouquet, 0.5)
    ribbons = [path.points for path in drawing.paths if path.stroke is Stroke.RIBBON]
    (weight,) = [path.points for path in drawing.paths if path.closed]
    knot = (0.0, max(y for _, y in weight))
    assert len(drawing.balls) == len(ribbons) == 8
    assert {points[1] for points in ribbons} == {knot}
    bottoms = {(round(ball.x, 9), round(ball.y - ball.radius, 9)) for ball in drawing.balls}
    assert {(round(x, 9), round(y, 9)) for (x, y), _ in ribbons} == bottoms


def test_it_stands_on_the_ground_and_is_as_tall_as_its_bouquet():
    bouquet = _bouquet([BALLOON] * 6)
    left, bottom, right, top = draw_bouquet(bouquet, 0.5).bounds
    assert (bottom, left) == (0.0, -right)
    assert top == pytest.approx(8 + 100 + bouquet.height_cm)
    assert right == pytest.approx(bouquet.width_cm / 2)


def test_those_further_away_are_drawn_first():
    """Of three, seen from where y is least, the one with the greatest y is the furthest."""
    pieces = [BouquetBalloon(28.0, 8.0, colour_index=colour_index) for colour_index in range(3)]
    bouquet = _bouquet(pieces)
    colour_indexes = [ball.colour_index for ball in draw_bouquet(bouquet, 0.5).balls]
    assert [bouquet.balloons[colour_index].centre.y for colour_index in colour_indexes] == sorted(
        (balloon.centre.y for balloon in bouquet.balloons), reverse=True
    )
    assert bouquet.balloons[colour_indexes[0]].centre.y > bouquet.balloons[colour_indexes[-1]].centre.y


def test_colours_stay_and_a_topper_has_none():
    colour_indexes = [ball.colour_index for ball in draw_bouquet(_bouquet([BALLOON] * 3 + [TOPPER]), 0.5).balls]
    assert sorted(colour_indexes, key=str) == [1, 1, 1, None]


@pytest.mark.parametrize(
    ("pieces", "build", "numbers"),
    [
        ([BALLOON] * 7 + [TOPPER], Stacking.LAYERS, [7, 1, 3, 3, 1]),
        ([BALLOON] * 3, Stacking.LAYERS, [1, 3, 1.28]),
        (
            [BALLOON],
            Stacking.LAYERS,
            [1, 1.28],
        ),
        ([TOPPER] * 2, Stacking.LAYERS, [2]),
        ([BALLOON] * 3, Stacking.COLUMN, [3, 1.84]),
    ],
)
def test_the_words_say_the_same(pieces, build, numbers):
    drawing = draw_bouquet(_bouquet(pieces, build), 0.5)
    assert numbers_in(drawing.text)[: len(numbers)] == numbers
    assert drawing.notes[0].text not in drawing.text
