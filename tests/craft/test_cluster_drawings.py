"""Drawings of what is made of fours, and of garlands and strung arches: in their bounds, and told in words."""

import math

import pytest

from app.craft.arches import arch
from app.craft.cluster_drawings import draw_arch, draw_base, draw_column, draw_garland, draw_strung
from app.craft.clusters import BalloonBase, Column, Pattern
from app.craft.curves import Shape
from app.craft.drawing import Stroke
from app.craft.garland import garland
from app.craft.strung import StrungDefaults, strung_arch
from app.physics.air import Air
from app.physics.balloon import Gas, sphere_litres
from app.physics.endurance import Filling
from tests.numbers_in import numbers_in
from tests.physics.kinds import latex

ROOM = Air()
ELEVEN = Filling(latex(11), Gas.HELIUM, sphere_litres(11), ROOM)
FIVE = Filling(latex(5), Gas.HELIUM, sphere_litres(5), ROOM)


def _strokes(drawing):
    return [path.stroke for path in drawing.paths]


def test_a_column_is_as_high_and_wide_as_it_says():
    column = Column(10, 9)
    drawing = draw_column(column, 2)
    assert drawing.bounds == pytest.approx((-27.594, 0, 27.594, 195.866), abs=0.001)
    assert [round(edge / 100, 2) for edge in drawing.bounds[2:]] == [0.28, round(column.height_m, 2)]
    assert _strokes(drawing) == [Stroke.POLE, Stroke.GROUND]
    assert numbers_in(drawing.text) == [10, 40, 9, 1.96, 2, 20, 20]
    assert Pattern.SPIRAL in drawing.text


def test_of_each_four_those_in_front_are_drawn_the_nearest_last():
    balls = draw_column(Column(2, 9), 4).balls
    assert len(balls) == 3 + 2
    nearest = balls[-1]
    assert (nearest.x, nearest.y) == pytest.approx((0, 9 * 2.54 / 2), abs=1e-9)
    assert {ball.colour_index for ball in balls} == {0, 1, 2}


def test_layers_are_painted_from_the_ground_up():
    balls = draw_column(Column(3, 9), 3, Pattern.LAYERS).balls
    assert [
        colour_index for _, colour_index in sorted({(round(ball.y, 3), ball.colour_index) for ball in balls})
    ] == [0, 1, 2]


def test_a_base():
    drawing = draw_base(BalloonBase((11, 9)), 2)
    base = BalloonBase((11, 9))
    assert drawing.bounds[3] == pytest.approx(base.height_m * 100)
    assert numbers_in(drawing.text) == [8, 11, 9, 0.46, 0.67]
    assert numbers_in(draw_base(BalloonBase((11,))).text)[0] == 4


@pytest.mark.parametrize("shape", list(Shape))
@pytest.mark.parametrize("height", [1.0, 2.0, 3.0])
def test_an_arch_lies_within_its_outer_measures(shape, height):
    piece = arch(shape, 3.0, height, 9)
    left, _, right, top = draw_arch(piece, 2).bounds
    assert right - left == pytest.approx(piece.outer_width_m * 100, abs=12)
    assert right - left <= piece.outer_width_m * 100 + 1
    assert 100 * piece.outer_height_m - 6 <= top <= 100 * piece.outer_height_m + 0.1
    assert len(draw_arch(piece).balls) == math.ceil(piece.fours / 2) * 3 + piece.fours // 2 * 2


def test_an_arch_in_words():
    text = draw_arch(arch(Shape.CIRCLE, 3.0, None, 9), 2, Pattern.LAYERS).text
    assert numbers_in(text) == [25, 100, 9, 4.71, 2, 52, 48, 3.55, 1.78, 2.45, 1.22]


def test_a_garland_is_drawn_whole_or_for_three_metres():
    short, long = garland(2.0), garland(12.0)
    assert len(draw_garland(short, 3).balls) == short.balloons
    assert len(draw_garland(long).balls) == 90
    assert numbers_in(draw_garland(short).text) == [2, 60, 24, 5, 12, 9, 18, 11, 6, 16]
    assert numbers_in(draw_garland(long).text)[-1] == 3
    radii = [ball.radius for ball in draw_garland(short).balls]
    assert radii == sorted(radii, reverse=True)
    assert {ball.colour_index for ball in draw_garland(short, 3).balls} == {0, 1, 2}
    with pytest.raises(ValueError, match="outside 1 to 24"):
        draw_garland(short, 0)


def test_a_strung_arch_stands_between_its_weights():
    piece = strung_arch(4, 2.5, ELEVEN)
    drawing = draw_strung(piece)
    assert len(drawing.balls) == 20
    assert [path.closed for path in drawing.paths] == [False, True, True, False]
    assert max(y for _, y in drawing.paths[0].points) == pytest.approx(250, abs=0.1)
    gaps = [math.dist((a.x, a.y), (b.x, b.y)) for a, b in zip(drawing.balls, drawing.balls[1:], strict=False)]
    assert max(gaps) <= piece.spacing_m * 100 + 0.1
    assert numbers_in(drawing.text) == [20, 0.34, 6.8, 4, 2.5, 142]


def test_one_that_does_not_rise_lies_on_the_ground():
    piece = strung_arch(4, 2.5, FIVE, strung=StrungDefaults(line_g_m=2.0))
    drawing = draw_strung(piece)
    assert {y for _, y in drawing.paths[0].points} == {0.0}
    assert [path.closed for path in drawing.paths] == [False, False]
    told = [piece.balloons, round(piece.spacing_m, 2), round(piece.line.length_m, 2), 4]
    assert numbers_in(drawing.text) == told  # neither a height nor a weight
