"""What becomes of the balloons of a batch. Which are tied in pairs or stuffed: common practice, no source."""

from app.physics.balloon import Gas
from app.quoting.batch_use import BatchUse, UsedLine, use_of_batch
from app.quoting.parts import BatchSpec
from app.quoting.recipe import NO_RECIPE, Recipe
from tests.actions.builders import balloon_type_id

COLUMN = Recipe({"form": "column", "height_m": 1.0, "pattern": "layers"})
STUFFED = Recipe({"form": "stuffed"})


def test_a_batch_may_go_into_columns_and_be_sold_singly(catalogue):
    air, up = (BatchSpec(balloon_type_id(catalogue), gas, False) for gas in (Gas.AIR, Gas.HELIUM))
    lines = [
        UsedLine(True, COLUMN, {air: {"red": 30, "white": 10}, up: {"red": 2}}),
        UsedLine(False, NO_RECIPE, {air: {"red": 5}}),
    ]
    assert use_of_batch(lines, air, catalogue) == BatchUse(singly=5, paired=40)
    assert use_of_batch(lines, up, catalogue) == BatchUse()


def test_the_largest_balloon_of_a_stuffed_piece_is_stuffed_and_clear_stuffing_latex_always(catalogue):
    names = ("20 in sphere", "5 in latex", "18 in clear stuffing latex")
    sphere, small, clear = (BatchSpec(balloon_type_id(catalogue, name), Gas.AIR, False) for name in names)
    lines = [
        UsedLine(True, STUFFED, {small: {"red": 6}, sphere: {"clear": 1}}),
        UsedLine(False, NO_RECIPE, {clear: {"clear": 2}}),
    ]
    assert use_of_batch(lines, sphere, catalogue) == BatchUse(stuffed=1)
    assert use_of_batch(lines, small, catalogue) == BatchUse()
    assert use_of_batch(lines, clear, catalogue) == BatchUse(singly=2, stuffed=2)
