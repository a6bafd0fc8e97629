"""The drawing of each step: together the steps add every balloon of the piece once, in the order of the steps."""

from collections import Counter

import pytest

from app.craft.arches import arch
from app.craft.assembly import (
    arch_steps,
    base_steps,
    bouquet_steps,
    column_steps,
    garland_steps,
    loose_steps,
    strung_steps,
    stuffed_steps,
)
from app.craft.bouquet import BouquetDefaults, Stacking, make_bouquet
from app.craft.bouquet_drawing import draw_bouquet
from app.craft.cluster_drawings import draw_arch, draw_base, draw_column, draw_garland, draw_strung
from app.craft.clusters import BalloonBase, Column, Pattern
from app.craft.curves import Shape
from app.craft.drawing import Ball, Drawing, Stroke
from app.craft.garland import garland
from app.craft.piece import BouquetBalloon
from app.craft.piece_steps import PieceAct, PieceStep, closing_steps
from app.craft.step_aids import draw_loose
from app.craft.step_drawings import draw_steps
from app.craft.strung import strung_arch
from app.craft.stuffed import Filler, Stuffing, draw_stuffed
from app.physics.air import REFERENCE_AIR
from app.physics.balloon import Gas, sphere_litres
from app.physics.endurance import Filling
from tests.physics.kinds import STUFFING_18, latex

A = PieceAct
BALLOON = BouquetBalloon(28.0, 8.0)
TOPPER = BouquetBalloon(46.0, 4.0, colour_index=None, topper=True, film_index=0)
BOUQUET = make_bouquet([*[BALLOON] * 9, TOPPER], Stacking.LAYERS, BouquetDefaults())
STRING = make_bouquet([BALLOON] * 4, Stacking.COLUMN, BouquetDefaults())
COLUMN = Column(10, 9.0)
BASE = BalloonBase((9.0, 9.0))
ARCH = arch(Shape.ELLIPSE, 3.0, 2.2, 9.0)
GARLAND = garland(2.0)
STRUNG = strung_arch(4.0, 2.2, Filling(latex(11), Gas.HELIUM, sphere_litres(11), REFERENCE_AIR))
LAST = closing_steps(on_ribbons=False, rises=False, bag="", in_each=0)
WEIGHT = PieceStep(A.KNOT_WEIGHT, count=1, grams=120)
PIECES = {
    "bouquet": (draw_bouquet(BOUQUET, 0.5), (*bouquet_steps(BOUQUET), WEIGHT, *LAST)),
    "string": (draw_bouquet(STRING, 0.5), (*bouquet_steps(STRING), WEIGHT, *LAST)),
    "column": (draw_column(COLUMN, 2), (*column_steps(COLUMN, 2, Pattern.SPIRAL), *LAST)),
    "base": (draw_base(BASE, 2), (*base_steps(BASE, curls=3), *LAST)),
    "arch": (draw_arch(ARCH, 2), (*arch_steps(ARCH, 2, Pattern.SPIRAL), *LAST)),
    "garland": (draw_garland(GARLAND, 3), (*garland_steps(2.0, GARLAND.counts), *LAST)),
    "strung": (draw_strung(STRUNG), (*strung_steps(STRUNG.balloons, 650.0, 35.0), *LAST)),
    "stuffed": (
        draw_stuffed(Stuffing(STUFFING_18, Gas.AIR, "bear", 4.5, Filler.BALLOONS), 2),
        (*stuffed_steps(Gas.AIR, ["bear"], 7), *LAST),
    ),
    "loose": (
        draw_loose([Ball(0, 0, 14, place % 2) for place in range(5)], on_ribbons=True),
        (*loose_steps(5, 150.0), PieceStep(A.WEIGHT_EACH, count=5), *LAST),
    ),
}
IN_THE_PIECE = (A.FOLLOW_SPIRAL, A.FOLLOW_LAYERS, A.OWN)
"""Steps that show what is there without adding to it."""


@pytest.fixture(params=PIECES, ids=str)
def piece(request):
    return PIECES[request.param]


def _twisted(piece):
    """The first four of a base: it is there once it is twisted, which is drawn by itself."""
    drawing, steps = piece
    is_base = A.NEST_FOURS in {step.act for step in steps}
    return {ball for ball in drawing.balls if is_base and ball.part == 0}


def _drawn(piece):
    drawing, steps = piece
    return list(zip(steps, draw_steps(drawing, steps), strict=True))


def test_each_step_has_a_drawing_that_is_not_empty(piece):
    for step, drawn in _drawn(piece):
        assert drawn.added.balls or drawn.added.paths, step.act


def test_the_steps_add_every_balloon_of_the_piece_once(piece):
    drawing, _ = piece
    added = Counter(
        ball
        for step, drawn in _drawn(piece)
        if not drawn.is_detail and step.act not in IN_THE_PIECE
        for ball in drawn.added.balls
    )
    expected = dict.fromkeys(drawing.balls, 1) | dict.fromkeys(_twisted(piece), 0)
    assert {ball: added[ball] for ball in drawing.balls} == expected


def test_what_a_step_added_is_there_in_the_next_and_nothing_comes_early(piece):
    drawing, _ = piece
    there = _twisted(piece)
    for step, drawn in _drawn(piece):
        if drawn.is_detail or step.act in IN_THE_PIECE:
            continue
        shown = set(drawn.there.balls) & set(drawing.balls)
        assert shown == there - set(drawn.added.balls)
        there |= set(drawn.added.balls) & set(drawing.balls)
    assert there == set(drawing.balls)


def test_a_bouquet_comes_layer_by_layer_with_its_ribbons_from_the_topper_down():
    drawn = _drawn(PIECES["bouquet"])
    layers = [one for step, one in drawn if step.act in (A.TOPPER, A.LAYER)]
    assert [len(one.added.balls) for one in layers] == [1, 3, 3, 3]
    assert [len([path for path in one.added.paths if path.stroke is Stroke.RIBBON]) for one in layers] == [
        1,
        3,
        3,
        3,
    ]
    heights = [max(ball.y for ball in one.added.balls) for one in layers]
    assert heights == sorted(heights, reverse=True)
    gathered = next(one for step, one in drawn if step.act is A.GATHER)
    assert len(gathered.added.paths) == 10
    weighted = next(one for step, one in drawn if step.act is A.KNOT_WEIGHT)
    assert [path.is_weight for path in weighted.added.paths] == [True]
    assert not any(path.is_weight for path in gathered.there.paths)


def test_a_column_grows_from_its_first_four():
    by_act = {step.act: one for step, one in _drawn(PIECES["column"])}
    first, rest = by_act[A.FIRST_FOUR].added.balls, by_act[A.STACK_FOURS].added.balls
    assert max(ball.y for ball in first) < min(ball.y for ball in rest)
    assert len(by_act[A.TIE_PAIRS].added.balls) == 2
    assert len(by_act[A.TWIST_FOURS].added.balls) == 4
    assert {ball.colour_index for ball in by_act[A.TWIST_FOURS].added.balls} == {0, 1}


def test_the_gaps_of_a_garland_take_its_smallest_balloons():
    by_act = {step.act: one for step, one in _drawn(PIECES["garland"])}
    smallest = min(size for size, _ in GARLAND.counts)
    assert {round(ball.radius, 6) for ball in by_act[A.FILL_GAPS].added.balls} == {smallest * 2.54 / 2}
    assert len(by_act[A.FILL_GAPS].added.balls) == dict(GARLAND.counts)[smallest]


def test_a_frame_stands_before_its_fours_and_a_line_before_its_balloons():
    for name, act, stroke in (("arch", A.FIX_FRAME, Stroke.POLE), ("strung", A.CUT_LINE, Stroke.LINE)):
        alone = {step.act: one for step, one in _drawn(PIECES[name])}[act]
        assert [path.stroke for path in alone.added.paths] == [stroke]
        assert alone.there.balls == ()


def test_extras_have_their_number_their_colours_and_their_size():
    extra = PieceStep(A.EXTRAS, count=2, cm=(45.0,), name="18 in foil", colours=(3, 4))
    drawn = draw_steps(draw_column(COLUMN), (*column_steps(COLUMN, 1, Pattern.SPIRAL), extra, *LAST))
    added = drawn[-3 - 1].added.balls
    assert [(ball.colour_index, ball.radius) for ball in added] == [(3, 22.5), (4, 22.5)]
    assert set(added) <= set(drawn[-1].there.balls)


def test_a_weight_for_each_ribbon_hangs_at_its_end():
    drawing, _ = PIECES["loose"]
    weights = {step.act: one for step, one in _drawn(PIECES["loose"])}[A.WEIGHT_EACH].added.paths
    ends = {path.points[-1][0] for path in drawing.paths}
    assert {round(sum(x for x, _ in path.points) / 4, 6) for path in weights} == {round(x, 6) for x in ends}


def test_a_piece_without_building_steps_is_there_from_the_start():
    drawing = Drawing("", (Ball(0, 0, 10), Ball(30, 0, 10)))
    (tagged, *_) = draw_steps(drawing, LAST)
    assert tagged.there.balls == drawing.balls
