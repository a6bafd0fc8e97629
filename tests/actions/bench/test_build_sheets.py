"""Each construction as an order's line makes it, against app.craft and against figures worked out by hand."""

import math
import re

import pytest

from app.actions.bench.build_sheets import sheets_of_lines
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings
from app.craft.bagging import describe_no_bag
from app.craft.bouquet import BOUQUET_DOES_NOT_RISE, Stacking, make_bouquet
from app.craft.build import Construction
from app.craft.clusters import Column, Pattern
from app.craft.piece import bouquet_balloon_of
from app.craft.piece_steps import PieceAct
from app.craft.strung import strung_arch
from app.craft.stuffed import HELIUM_IN_AIR, Filler
from app.physics.air import Air, lift_g_per_l
from app.physics.balloon import Gas, coat_g, sphere_litres
from app.physics.endurance import Filling
from app.physics.light import Surroundings
from app.physics.wind import SPHERE_DRAG, STANDARD_GRAVITY
from app.quoting.build_sheets.air import (
    NO_AIR,
    ask_for_width,
    describe_other_colours,
    describe_too_many_colours,
)
from app.quoting.build_sheets.helium import DRAWN_AS_STRING, NO_HELIUM
from app.quoting.build_sheets.weights import NEVER_WEIGHED, NO_WEIGHT, ONE_END_ONLY, WEIGHT_TOO_LIGHT
from app.quoting.defaults import bags_of
from app.quoting.parts import BatchSpec
from app.quoting.request import HandOver
from tests.actions.builders import at, balloon_type_id, line, order_request, take
from tests.actions.craft_builders import AIR, HELIUM, archive_bags, design, fact, order_of, sheet, supply
from tests.numbers_in import numbers_in

NINE = [("11 in latex", HELIUM, 9)]
TOPPED = [("18 in foil", HELIUM, 1, [("silver", 1)]), *NINE]
COLUMN = {"height_m": 2.0, "pattern": "spiral"}
OWN_STEP = "Set it on its box."
A = PieceAct
ARCH = {"shape": "ellipse", "span_m": 3.0, "height_m": 2.2, "pattern": "layers"}


def _said(made):
    return " ".join(made.cautions)


def _is_caution(caution, template):
    """Whether it is the caution that this template makes, whatever it names."""
    parts = re.split(r"\{\w+\}", template)
    return re.fullmatch(".+".join(map(re.escape, parts)), caution) is not None


def _eleven(treated=False):
    """Grams that an 11-inch lifts at sea level: its sphere of helium less 3.0 g of rubber, and its treatment."""
    return sphere_litres(11) * lift_g_per_l(20) - 3.0 - (coat_g(11) if treated else 0.0)


def test_a_bouquet_has_its_drawing_its_cut_list_and_its_weights(session):
    made = sheet(session, design(session, Construction.BOUQUET, TOPPED), quantity=3, colours="red, white")
    assert len(made.drawing.balls) == 10
    assert sum(cut.count for cut in made.cuts) == 10
    assert [ball.colour_index for ball in made.drawing.balls].count(None) == 1
    assert made.quantity == 3
    assert made.colours == ("red", "white")


def _counts(steps):
    return [(step.act, step.count) for step in steps]


PUT_AWAY = [(A.TAG, 0), (A.BAG_ON_RIBBONS, 0), (A.HOLD_UP, 0)]


def test_a_bouquet_is_taught_from_its_topper_to_the_one_weight_and_the_bag(session):
    """Common practice, no source: topper, threes, one length, the shop's own step, one knot and one weight for the
    whole piece, then tag, bag, and a place away from the ceiling."""
    archive_bags(session)
    supply(session, "wide bag", "bag", width_cm=160.0)
    star = supply(session, "star", "weight", grams=170.0)
    made = sheet(session, design(session, Construction.BOUQUET, TOPPED, None, [(star, 1)], [OWN_STEP]), quantity=3)
    assert _counts(made.steps) == [
        (A.TOPPER, 1),
        *[(A.LAYER, 3)] * 3,
        (A.GATHER, 10),
        (A.OWN, 0),
        (A.KNOT_WEIGHT, 1),
        (A.TAG, 0),
        (A.BAG_ON_RIBBONS, made.bagging.pieces_by_bag[0]),
        (A.HOLD_UP, 0),
    ]
    weight, bag = made.steps[6], made.steps[8]
    assert (weight.grams, "star" in weight.name) == (0, True)
    assert [numbers_in(note.text) for note in made.drawing.notes] == [[170]]
    assert made.water is None
    assert bag.name == "wide bag"


def test_what_a_crew_builds_at_the_venue_is_not_bagged_and_put_away(session):
    venue = {"hand_over": HandOver.VENUE, "address": "Pier 4", "arrives_at": at(12), "ready_by": None}
    made = sheet(session, design(session, Construction.BOUQUET, NINE), **venue)
    assert made.steps[-1].act is A.KNOT_WEIGHT


def test_the_cut_list_and_the_weight_are_those_of_the_craft(session):
    catalogue, shop = load_catalogue(session), load_shop(session)
    made = sheet(session, design(session, Construction.BOUQUET, NINE))
    balloon_type = catalogue.balloon_types[balloon_type_id(catalogue)].balloon_type
    filling = Filling(balloon_type, Gas.HELIUM, sphere_litres(11), Air())
    alike = make_bouquet(
        [bouquet_balloon_of(filling, Air(), shop.float_defaults)] * 9, Stacking.LAYERS, shop.craft.bouquets
    )
    assert made.cuts == alike.cuts
    assert made.cut_m == pytest.approx(sum(cut.length_cm * cut.count for cut in made.cuts) / 100)
    assert made.lift_g == pytest.approx(9 * _eleven() - made.cut_m * 0.5)
    assert made.required_weight.indoors_g == math.ceil(9 * _eleven() * 1.5)


def test_outdoors_the_wind_asks_for_more(session):
    """By the balance of forces: lift and push over grip, the push by the textbook's drag of a sphere."""
    piece = design(session, Construction.BOUQUET, NINE)
    made = sheet(session, piece, surroundings=Surroundings.SHADE, wind_m_s=4.0)
    area = math.pi / 4 * (11 * 0.0254) ** 2
    push = 0.5 * Air().density_kg_m3 * SPHERE_DRAG * area * 16 / STANDARD_GRAVITY * 1000
    assert (
        made.required_weight.at_venue_g
        == made.required_weight.outdoors_g
        == pytest.approx(9 * (_eleven() + push / 0.5), abs=1)
    )
    assert made.required_weight.wind_m_s == 4.0
    assert made.required_weight.indoors_g == math.ceil(9 * _eleven() * 1.5)


def test_without_a_forecast_it_is_calculated_with_the_shops_limit(session):
    piece = design(session, Construction.BOUQUET, NINE)
    indoors = sheet(session, piece)
    outdoors = sheet(session, piece, quantity=2, surroundings=Surroundings.SHADE)
    assert indoors.required_weight.outdoors_g == outdoors.required_weight.at_venue_g
    assert indoors.required_weight.wind_m_s == 5.0
    assert indoors.required_weight.at_venue_g == indoors.required_weight.indoors_g


def test_treated_balloons_lift_less_by_their_coat(session):
    made = sheet(session, design(session, Construction.BOUQUET, NINE), line={"treated": True})
    assert made.required_weight.indoors_g == math.ceil(9 * _eleven(treated=True) * 1.5)


def test_colours_that_do_not_share_out_are_drawn_as_near_as_they_come(session):
    made = sheet(session, design(session, Construction.BOUQUET, NINE), quantity=3, colours="14 red, 13 white")
    colour_indexes = [ball.colour_index for ball in made.drawing.balls]
    assert (colour_indexes.count(0), colour_indexes.count(1)) == (5, 4)


def test_strings_stand_one_above_another(session):
    made = sheet(session, design(session, Construction.STRINGS, [("11 in latex", HELIUM, 4)]))
    lengths = [cut.length_cm for cut in made.cuts]
    assert [cut.count for cut in made.cuts] == [1] * 4
    assert lengths == [math.ceil(110 + 27.94 * place) for place in (3, 2, 1, 0)]


def test_sizes_that_cannot_rest_on_one_another_are_cut_as_one_above_another(session):
    parts = [("5 in latex", AIR, 1), ("36 in latex", HELIUM, 3)]
    made = sheet(session, design(session, Construction.BOUQUET, parts))
    assert numbers_in(made.cautions[0]) == [10, 91]
    assert made.cautions[0].endswith(DRAWN_AS_STRING)
    assert sum(cut.count for cut in made.cuts) == 4


def test_a_bouquet_of_air_does_not_rise(session):
    made = sheet(session, design(session, Construction.BOUQUET, [("11 in latex", AIR, 3)]))
    assert BOUQUET_DOES_NOT_RISE in made.cautions
    assert made.lift_g < 0
    assert made.required_weight is None


@pytest.mark.parametrize(("grams", "enough"), [(60.0, False), (70.0, True)])
def test_a_weight_that_is_too_light_is_warned_of(session, grams, enough):
    """Two of them: 140 g hold nine of 11 in indoors, which ask for 119 to 122 g; 120 g do not."""
    row = supply(session, "star", "weight", grams=grams if enough else grams - 2)
    made = sheet(session, design(session, Construction.BOUQUET, NINE, supplies=[(row, 2)]))
    assert made.chosen.grams == 2 * (grams if enough else grams - 2)
    assert [numbers_in(one) for one in made.cautions] == (
        [] if enough else [[made.chosen.grams, made.required_weight.at_venue_g]]
    )
    assert all(_is_caution(one, WEIGHT_TOO_LIGHT) for one in made.cautions)


def test_a_weight_that_nobody_weighed_is_asked_for(session):
    row = supply(session, "star", "weight")
    made = sheet(session, design(session, Construction.BOUQUET, NINE, supplies=[(row, 1)]))
    (caution,) = made.cautions
    assert _is_caution(caution, NEVER_WEIGHED)
    assert "1 × star" in caution
    assert numbers_in(caution) == [1, made.required_weight.at_venue_g]


def test_a_piece_without_a_weight_says_so(session):
    made = sheet(session, design(session, Construction.BOUQUET, NINE))
    (caution,) = made.cautions
    assert _is_caution(caution, NO_WEIGHT)
    assert numbers_in(caution) == [made.required_weight.at_venue_g]


def test_water_of_the_smallest_latex_holds_it_too(session):
    made = sheet(session, design(session, Construction.BOUQUET, NINE))
    assert (made.water.balloon_type_name, made.water.count) == ("5 in latex", 1)
    assert made.water.each.grams >= made.required_weight.at_venue_g
    assert sphere_litres(made.water.each.diameter_in - 0.1) * 998.2 < made.required_weight.at_venue_g


def test_where_no_balloon_takes_so_much_water_several_do(session):
    piece = design(session, Construction.BOUQUET, [("36 in latex", HELIUM, 9)])
    made = sheet(session, piece, surroundings=Surroundings.SHADE, wind_m_s=5.0)
    assert made.water.balloon_type_name == "12 in latex"
    assert made.water.count > 1
    assert made.water.count * made.water.each.grams >= made.required_weight.at_venue_g


def test_bouquets_go_into_the_bags_that_the_shop_has(session):
    archive_bags(session)
    supply(session, "large bag", "bag", width_cm=120.0)
    supply(session, "old bag", "bag")
    made = sheet(session, design(session, Construction.BOUQUET, NINE), quantity=3)
    assert made.bagging.bag.name == "large bag"
    assert sum(made.bagging.pieces_by_bag) == 3


def test_a_bouquet_too_wide_for_every_bag_is_said(session):
    archive_bags(session)
    supply(session, "small bag", "bag", width_cm=40.0)
    made = sheet(session, design(session, Construction.BOUQUET, NINE))
    assert made.bagging is None
    bags = bags_of(load_catalogue(session).supplies.values(), load_shop(session).craft).bags
    assert [bag.name for bag in bags] == ["small bag"]
    assert describe_no_bag(fact(made, "Width"), fact(made, "Height without ribbons"), bags) in made.cautions


def test_the_worked_column(session):
    """CASES 6: 2.0 m of 11 in balloons at 9 in: 10 layers, 40 balloons, 1.96 m; 11, 44, 2.15 m: offer both."""
    made = sheet(
        session, design(session, Construction.COLUMN, [("11 in latex", AIR, 40)], COLUMN), colours="red, white"
    )
    assert numbers_in(fact(made, "For 2\u00a0m")) == [40, 10, 1.96, 44, 11, 2.15]
    assert (numbers_in(fact(made, "Tie")), numbers_in(fact(made, "Twist into"))) == ([20], [10])
    assert numbers_in(made.drawing.text)[:4] == [10, 40, 9, 1.96]
    assert made.cautions == ()
    assert made.required_weight is None
    tied = [(A.TIE_PAIRS, 20), (A.TWIST_FOURS, 10), (A.FIRST_FOUR, 1), (A.STACK_FOURS, 9), (A.FOLLOW_SPIRAL, 2)]
    assert _counts(made.steps) == [*tied, (A.TAG, 0), (A.HOLD_DOWN, 0)]


@pytest.mark.parametrize(("count", "numbers"), [(38, [36, 40]), (41, [40, 44]), (3, [4])])
def test_balloons_that_make_no_whole_fours_are_cautioned_against(session, count, numbers):
    made = sheet(session, design(session, Construction.COLUMN, [("11 in latex", AIR, count)], COLUMN))
    assert [count, 11, *numbers] in [numbers_in(one) for one in made.cautions]
    assert made.drawing is not None


def test_a_column_of_another_height_says_what_the_wanted_one_takes(session):
    made = sheet(session, design(session, Construction.COLUMN, [("11 in latex", AIR, 20)], COLUMN))
    height = Column(5, 9.0).height_m
    assert numbers_in(_said(made))[:4] == [20, round(height, 2), 2, 40]


def test_a_column_without_latex_in_air_gives_a_sentence(session):
    made = sheet(session, design(session, Construction.COLUMN, NINE, COLUMN))
    assert NO_AIR.format("column") in made.cautions
    assert made.drawing is None
    extra = fact(made, "Extra balloons")
    assert numbers_in(extra) == [9, 11]
    assert "11 in latex" in extra
    assert HELIUM in extra


def test_helium_above_a_column_must_be_held(session):
    parts = [("11 in latex", AIR, 40), ("18 in foil", HELIUM, 1)]
    made = sheet(session, design(session, Construction.COLUMN, parts, COLUMN))
    foil = 14.0 * lift_g_per_l(20) - 10.0
    assert made.required_weight.indoors_g == math.ceil(foil * 1.5)
    extra = fact(made, "Extra balloons")
    assert numbers_in(extra) == [1, 18]
    assert "18 in foil" in extra
    assert HELIUM in extra
    added = [step for step in made.steps if step.act in (A.EXTRAS, A.ONE_WEIGHT, A.HOLD_UP)]
    assert _counts(added) == [(A.EXTRAS, 1), (A.ONE_WEIGHT, 1), (A.HOLD_UP, 0)]
    assert added[1].grams == math.ceil(foil * 1.5)


def test_a_spiral_that_does_not_come_out_is_said(session):
    parts = [("11 in latex", AIR, 40, [("red", 25), ("white", 15)])]
    made = sheet(session, design(session, Construction.COLUMN, parts, COLUMN))
    needed, there = (("red", 20), ("white", 20)), (("red", 25), ("white", 15))
    assert made.cautions == (describe_other_colours(Pattern.SPIRAL, needed, there),)


def test_a_spiral_of_five_colours_is_drawn_by_layers(session):
    colours = [(name, 8) for name in ("red", "white", "blue", "gold", "pink")]
    made = sheet(session, design(session, Construction.COLUMN, [("11 in latex", AIR, 40, colours)], COLUMN))
    assert made.cautions == (describe_too_many_colours(5),)
    assert len({ball.colour_index for ball in made.drawing.balls}) == 5


@pytest.mark.parametrize(("parts", "balloons"), [(((11, 4),), 4), (((11, 8),), 8), (((11, 4), (9, 4)), 8)])
def test_a_base_is_one_four_or_two(session, parts, balloons):
    rows = [(f"{inches} in latex", AIR, count) for inches, count in parts]
    curls = supply(session, "Modelling balloon", "modelling")
    made = sheet(session, design(session, Construction.BASE, rows, supplies=[(curls, 3)]))
    assert numbers_in(made.drawing.text)[0] == balloons
    assert _counts(made.steps)[0] == (A.TIE_PAIRS, balloons // 2)
    assert _counts(made.steps)[-4:-2] == [(A.CURLS, 3), (A.TAG, 0)]
    assert (A.WATER_BALLOONS, 2) in _counts(made.steps)
    assert made.cautions == ()


def test_three_fours_are_no_base(session):
    made = sheet(session, design(session, Construction.BASE, [("11 in latex", AIR, 12)]))
    assert made.drawing is None
    assert numbers_in(_said(made)) == [3, 1, 2]


def test_an_arch_says_how_many_it_takes(session):
    wanted = design(session, Construction.ARCH, [("11 in latex", AIR, 100)], ARCH)
    made = sheet(session, wanted)
    assert fact(made, "Needs") == "124 balloons"
    assert [124, 24, 100] in [numbers_in(one) for one in made.cautions]
    right = design(session, Construction.ARCH, [("11 in latex", AIR, 124)], ARCH, name="Right")
    assert sheet(session, right).cautions == ()
    many = design(session, Construction.ARCH, [("11 in latex", AIR, 130)], ARCH, name="Many")
    assert [130, 124, 6] in [numbers_in(one) for one in sheet(session, many).cautions]
    tied = [(A.TIE_PAIRS, 62), (A.TWIST_FOURS, 31), (A.FIX_FRAME, 0), (A.FRAME_FOURS, 31)]
    assert _counts(made.steps) == [*tied, (A.TAG, 0), (A.HOLD_DOWN, 0)]


def test_a_garland_counts_by_size(session):
    figures = {"length_m": 2.0, "fullness": "light"}
    parts = [("5 in latex", AIR, 16), ("9 in latex", AIR, 8), ("11 in latex", AIR, 12), ("16 in latex", AIR, 4)]
    right = sheet(session, design(session, Construction.GARLAND, parts, figures))
    assert right.cautions == ()
    assert numbers_in(right.drawing.text)[:2] == [2, 40]
    fours = [(A.TIE_PAIRS, 12), (A.TWIST_FOURS, 6), (A.THREAD_FOURS, 6), (A.FILL_GAPS, 16)]
    assert _counts(right.steps) == [*fours, (A.TAG, 0), (A.HOLD_DOWN, 0)]
    wrong = sheet(session, design(session, Construction.GARLAND, parts[:2], figures, name="Thin"))
    assert numbers_in(_said(wrong)) == [16, 5, 8, 9, 16, 5, 8, 9, 12, 11, 4, 16]


def test_a_strung_arch_has_a_line_and_a_weight_at_each_end(session):
    figures = {"span_m": 4.0, "height_m": 2.5, "spacing_m": 0.35}
    row = supply(session, "bag of sand", "weight", grams=400.0)
    made = sheet(session, design(session, Construction.STRUNG, [("11 in latex", HELIUM, 20)], figures, [(row, 2)]))
    catalogue = load_catalogue(session)
    filling = Filling(
        catalogue.balloon_types[balloon_type_id(catalogue)].balloon_type, Gas.HELIUM, sphere_litres(11), Air()
    )
    alone = strung_arch(4, 2.5, filling)
    assert made.required_weight.indoors_g == max(alone.end_weight_g, math.ceil(alone.up_g * 1.5))
    assert made.required_weight.each_end
    assert [cut.count for cut in made.cuts] == [1]
    assert made.cuts[0].length_cm == math.ceil(alone.line.length_m * 100 + 20)
    assert made.cautions == ()
    assert numbers_in(made.drawing.text)[-1] == made.required_weight.at_venue_g
    assert _counts(made.steps) == [
        (A.CUT_LINE, 1),
        (A.TIE_TO_LINE, 20),
        (A.WEIGHT_ENDS, 2),
        (A.TAG, 0),
        (A.HOLD_UP, 0),
    ]
    assert (made.steps[0].cm, made.steps[2].grams) == ((made.cuts[0].length_cm,), 0)


def test_one_weight_is_none_for_two_ends(session):
    figures = {"span_m": 4.0, "height_m": 2.5, "spacing_m": 0.35}
    row = supply(session, "bag of sand", "weight", grams=5000.0)
    made = sheet(session, design(session, Construction.STRUNG, [("11 in latex", HELIUM, 18)], figures, [(row, 1)]))
    count, weight = made.cautions
    assert numbers_in(count) == [20, 2, 18]
    assert _is_caution(weight, ONE_END_ONLY)
    assert numbers_in(weight)[-1] == made.required_weight.at_venue_g


def test_a_strung_arch_of_air_gives_a_sentence(session):
    figures = {"span_m": 4.0, "height_m": 2.5, "spacing_m": 0.35}
    made = sheet(session, design(session, Construction.STRUNG, [("11 in latex", AIR, 20)], figures))
    assert made.cautions == (NO_HELIUM,)
    assert made.drawing is None


def _stuffed(session, width_cm=10.0, inner=AIR):
    bear = supply(session, "bear", "plush", width_cm=width_cm)
    parts = [("18 in clear stuffing latex", AIR, 1), ("5 in latex", inner, 6)]
    return sheet(session, design(session, Construction.STUFFED, parts, None, [(bear, 1)], [OWN_STEP]))


def test_a_stuffed_balloon_has_its_steps_in_order(session):
    """Common practice, no source: over the ring, filled, the bear, small balloons last, collar, ribbon, dressed;
    filled with air it needs no weight."""
    made = _stuffed(session)
    acts = [step.act for step in made.steps]
    machine = [A.STRETCH_NECK, A.INSIDE_IN, A.FILL_CHAMBER, A.PUT_IN, A.SMALL_BALLOONS, A.CLOSE_COLLAR]
    machine.insert(4, A.OWN)
    assert acts == [*machine, A.TIE_RIBBON, A.DECORATE, A.TAG, A.BAG, A.HOLD_DOWN]
    named = {step.act: step.name for step in made.steps if step.act in (A.PUT_IN, A.OWN)}
    assert named == {A.PUT_IN: "bear", A.OWN: OWN_STEP}
    assert {step.count for step in made.steps if step.act is A.SMALL_BALLOONS} == {6}
    assert made.cautions == ()
    assert "bear" in made.drawing.text
    assert Filler.BALLOONS in made.drawing.text


def test_clear_stuffing_latex_is_stuffed_in_a_loose_design_too(session):
    bear = supply(session, "bear", "plush", width_cm=10.0)
    clear = [("18 in clear stuffing latex", AIR, 1)]
    made = sheet(session, design(session, Construction.LOOSE, clear, None, [(bear, 1)]))
    assert [step.act for step in made.steps][:4] == [A.STRETCH_NECK, A.INSIDE_IN, A.FILL_CHAMBER, A.PUT_IN]
    assert made.steps[3].name == "bear"


def test_an_item_too_large_for_the_opening_is_refused(session):
    made = _stuffed(session, width_cm=14.0)
    assert numbers_in(_said(made)) == [5.51, 18, 5]


def test_an_item_of_unknown_size_is_asked_for(session):
    assert _stuffed(session, width_cm=None).cautions == (ask_for_width("bear"),)


def test_another_gas_inside_is_warned_of(session):
    bear = supply(session, "bear", "plush", width_cm=10.0)
    parts = [("18 in clear stuffing latex", AIR, 1), ("11 in latex", HELIUM, 2)]
    made = sheet(session, design(session, Construction.STUFFED, parts, None, [(bear, 1)]))
    assert HELIUM_IN_AIR in made.cautions


def test_loose_balloons_are_not_put_together(session):
    catalogue = load_catalogue(session)
    loose = take(session, order_request(catalogue, line(catalogue)), key="loose")
    assert sheets_of_lines(loose, load_shop(session), catalogue) == ()


def test_a_loose_design_has_one_weight_for_all_unless_its_recipe_has_one_for_each(session):
    """Common practice, no source: only loose balloons that are sold singly get a weight each."""
    made = sheet(session, design(session, Construction.LOOSE, NINE, steps=["Tie a bow."]))
    assert (made.drawing, made.cuts, made.cautions) == (None, (), ())
    assert _counts(made.steps) == [(A.RIBBON_EACH, 9), (A.OWN, 0), (A.KNOT_WEIGHT, 1), *PUT_AWAY]
    star = supply(session, "star", "weight", grams=15.0)
    each = design(session, Construction.LOOSE, NINE, supplies=[(star, 9)], name="Nine stars")
    assert _counts(sheet(session, each).steps) == [(A.RIBBON_EACH, 9), (A.WEIGHT_EACH, 9), *PUT_AWAY]


def test_it_is_put_together_as_it_was_sold(session):
    """A design that changed meanwhile leaves the order alone."""
    piece = design(session, Construction.COLUMN, [("11 in latex", AIR, 40)], COLUMN)
    order = order_of(session, piece)
    piece.build, piece.steps = {}, ["Something else."]
    (made,) = sheets_of_lines(order, load_shop(session), load_catalogue(session))
    assert made.sheet.drawing.text.startswith("Column")
    assert A.OWN not in [step.act for step in made.sheet.steps]


def test_what_cannot_be_read_is_said_and_the_steps_stay(session):
    piece = design(session, Construction.BOUQUET, NINE, steps=["Tie a bow."])
    order = order_of(session, piece)
    order.lines[0].recipe = order.lines[0].recipe | {"build": {"form": "column"}}
    (made,) = sheets_of_lines(order, load_shop(session), load_catalogue(session))
    assert len(made.sheet.cautions) == 1
    assert "Height" in made.sheet.cautions[0]
    assert [(step.act, step.name) for step in made.sheet.steps] == [(A.OWN, "Tie a bow.")]


def test_only_lines_with_the_batch_in_them_are_asked_for(session):
    catalogue, shop = load_catalogue(session), load_shop(session)
    order = order_of(session, design(session, Construction.BOUQUET, TOPPED))
    foil, other = (
        BatchSpec(balloon_type_id(catalogue, name), Gas.HELIUM, False) for name in ("18 in foil", "12 in latex")
    )
    assert [one.position for one in sheets_of_lines(order, shop, catalogue, foil)] == [0]
    assert sheets_of_lines(order, shop, catalogue, other) == ()


def test_it_is_made_with_the_size_that_its_batch_is_filled_to(session):
    """In the heat of a garden the column is filled smaller, and so stands lower."""
    piece = design(session, Construction.COLUMN, [("11 in latex", AIR, 40)], COLUMN)
    order = order_of(session, piece, surroundings=Surroundings.SUN)
    (made,) = sheets_of_lines(order, load_shop(session), load_catalogue(session))
    size = order.batches[0].fill_size_in
    assert size < 9.0
    assert numbers_in(made.sheet.drawing.text)[1:4] == [40, size, round(Column(10, size).height_m, 2)]


def test_the_shops_own_figures_count(session):
    change_settings(session, {"knot_below_cm": 50, "weight_factor": 2, "ribbon_end_cm": 0})
    made = sheet(session, design(session, Construction.STRINGS, [("11 in latex", HELIUM, 1)]))
    assert [cut.length_cm for cut in made.cuts] == [50]
    assert made.required_weight.indoors_g == math.ceil(_eleven() * 2)


def test_each_end_of_a_strung_arch_holds_half_of_what_floats_beside_it(session):
    figures = {"span_m": 4.0, "height_m": 2.5, "spacing_m": 0.35}
    string = [("11 in latex", HELIUM, 20)]
    alone = sheet(session, design(session, Construction.STRUNG, string, figures)).required_weight
    foils = design(
        session,
        Construction.STRUNG,
        [*string, ("18 in foil", HELIUM, 6, [("star", 6)])],
        figures,
        name="With stars",
    )
    lift = 6 * (14 * lift_g_per_l(20) - 10.0)
    assert sheet(session, foils).required_weight.indoors_g - alone.indoors_g == pytest.approx(lift * 1.5 / 2, abs=2)


def test_three_colours_of_a_spiral_are_sold_as_it_takes_them(session):
    made = sheet(
        session,
        design(session, Construction.COLUMN, [("11 in latex", AIR, 40)], COLUMN),
        colours="red, white, blue",
    )
    assert made.cautions == ()
    assert made.colours == ("red", "white", "blue")
