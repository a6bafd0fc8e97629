"""The order in which each construction is put together, with its numbers. Orders: common practice, no source."""

import pytest

from app.craft.arches import arch
from app.craft.assembly import (
    arch_steps,
    base_steps,
    bouquet_steps,
    column_steps,
    garland_steps,
    strung_steps,
    stuffed_steps,
)
from app.craft.bouquet import BouquetDefaults, Stacking, make_bouquet
from app.craft.clusters import BalloonBase, Column, Pattern
from app.craft.curves import Shape
from app.craft.garland import garland
from app.craft.piece import BouquetBalloon
from app.craft.piece_steps import PieceAct, closing_steps
from app.physics.balloon import Gas

A = PieceAct
LATEX, STAR = BouquetBalloon(28.0, 8.0), BouquetBalloon(40.0, 5.0, topper=True)


def _counts(steps):
    return [(step.act, step.count) for step in steps]


def _bouquet(pieces, build=Stacking.LAYERS):
    return make_bouquet(pieces, build, BouquetDefaults(knot_below_cm=80.0))


def test_a_bouquet_is_built_from_its_topper_down():
    """Topper on its ribbon, three below it, the next three, all ribbons at one length below the lowest necks."""
    made = _bouquet([LATEX] * 8 + [STAR])
    steps = bouquet_steps(made)
    assert _counts(steps) == [(A.TOPPER, 1), (A.LAYER, 3), (A.LAYER, 3), (A.LAYER, 2), (A.GATHER, 9)]
    lengths = [cm for step in steps[:-1] for cm in step.cm for _ in range(step.count)]
    assert sorted(lengths, reverse=True) == [cut.length_cm for cut in made.cuts for _ in range(cut.count)]
    assert lengths == sorted(lengths, reverse=True)
    assert steps[-1].cm == (80.0,)


def test_without_a_topper_the_top_layer_comes_first_and_of_two_toppers_the_upper():
    assert _counts(bouquet_steps(_bouquet([LATEX] * 3)))[0] == (A.TOP_LAYER, 3)
    upper, lower, *_ = bouquet_steps(_bouquet([LATEX] * 3 + [STAR] * 2))
    assert (upper.act, lower.act) == (A.TOPPER, A.TOPPER)
    assert upper.cm > lower.cm


def test_a_string_is_tied_balloon_by_balloon_to_its_own_ribbons():
    made = _bouquet([LATEX] * 3, Stacking.COLUMN)
    string, gather = bouquet_steps(made)
    assert ((string.act, string.count), (gather.act, gather.count)) == ((A.STRING, 3), (A.GATHER, 3))
    assert string.cm == tuple(cut.length_cm for cut in made.cuts)


@pytest.mark.parametrize(
    ("sizes", "middle"),
    [
        ((9.0,), [(A.TIE_PAIRS, 2), (A.TWIST_FOURS, 1)]),
        ((9.0, 7.5), [(A.TIE_PAIRS, 4), (A.TWIST_FOURS, 2), (A.NEST_FOURS, 1)]),
    ],
)
def test_a_base_is_pairs_fours_and_two_balloons_of_water(sizes, middle):
    assert _counts(base_steps(BalloonBase(sizes))) == [*middle, (A.WATER_BALLOONS, 2)]
    assert _counts(base_steps(BalloonBase(sizes), curls=3))[-1] == (A.CURLS, 3)


def test_a_column_is_pairs_fours_and_fours_round_the_pole():
    spiral = column_steps(Column(10, 9.0), 2, Pattern.SPIRAL)
    tied = [(A.TIE_PAIRS, 20), (A.TWIST_FOURS, 10), (A.FIRST_FOUR, 1), (A.STACK_FOURS, 9)]
    assert _counts(spiral) == [*tied, (A.FOLLOW_SPIRAL, 2)]
    assert _counts(column_steps(Column(10, 9.0), 1, Pattern.LAYERS)) == tied


def test_an_arch_is_pairs_fours_and_a_frame_that_stands_before_they_go_on():
    made = arch(Shape.ELLIPSE, 3.0, 2.2, 9.0)
    steps = arch_steps(made, 3, Pattern.LAYERS)
    assert _counts(steps) == [
        (A.TIE_PAIRS, 2 * made.fours),
        (A.TWIST_FOURS, made.fours),
        (A.FIX_FRAME, 0),
        (A.FRAME_FOURS, made.fours),
        (A.FOLLOW_LAYERS, 3),
    ]
    assert steps[2].cm == (made.line.length_m * 100,)
    assert steps[3].cm == (made.pitch_m * 100,)


@pytest.mark.parametrize("length_m", [0.3, 1.0, 2.0, 3.7])
def test_a_garland_uses_every_balloon_once_the_small_ones_last(length_m):
    made = garland(length_m)
    steps = garland_steps(made.length_m, made.counts)
    pairs, fours, line, gaps = steps
    assert [step.act for step in steps] == [A.TIE_PAIRS, A.TWIST_FOURS, A.THREAD_FOURS, A.FILL_GAPS]
    assert pairs.count == 2 * fours.count == 2 * line.count
    assert 4 * line.count + gaps.count == made.balloons
    assert gaps.count >= made.counts[0][1]
    assert line.cm == (length_m * 100,)


def test_a_garland_too_small_for_a_four_is_tied_as_it_is():
    assert _counts(garland_steps(0.3, [(11.0, 3)])) == [(A.FILL_GAPS, 3)]


def test_a_strung_arch_is_held_down_before_its_balloons_go_on():
    cut, tie = strung_steps(20, 720.0, 35.0)
    assert (cut.act, cut.cm, tie.act, tie.count, tie.cm) == (A.CUT_LINE, (720.0,), A.TIE_TO_LINE, 20, (35.0,))


MACHINE = [A.STRETCH_NECK, A.INSIDE_IN, A.FILL_CHAMBER]
DRESS = [A.TIE_RIBBON, A.DECORATE]


def test_a_stuffed_balloon_is_filled_before_it_is_tied_and_never_sized():
    """Neck over the ring, inside in, the chamber fills it, the largest item first, small balloons last, collar."""
    steps = stuffed_steps(Gas.AIR, ["bear", "rose"], 6)
    assert [step.act for step in steps] == [
        *MACHINE,
        *[A.PUT_IN, A.PUT_IN, A.SMALL_BALLOONS, A.CLOSE_COLLAR],
        *DRESS,
    ]
    assert [step.name for step in steps if step.name] == ["bear", "rose"]
    assert steps[5].count == 6
    assert (A.SMALL_BALLOONS, 0) in _counts(stuffed_steps(Gas.AIR, small_balloons=None))


def test_helium_replaces_the_air_of_the_chamber_after_the_stuffing():
    acts = [step.act for step in stuffed_steps(Gas.HELIUM)]
    assert acts == [*MACHINE, A.PUT_IN, A.CLOSE_COLLAR, A.FILL_STUFFED, *DRESS]


def test_every_piece_ends_with_tag_bag_and_the_place_where_it_waits():
    bouquet = closing_steps(on_ribbons=True, rises=True, bag="large bag", in_each=3)
    assert _counts(bouquet) == [(A.TAG, 0), (A.BAG_ON_RIBBONS, 3), (A.HOLD_UP, 0)]
    column = closing_steps(on_ribbons=False, rises=False, bag=None, in_each=0)
    assert _counts(column) == [(A.TAG, 0), (A.HOLD_DOWN, 0)]
