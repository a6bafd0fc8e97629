"""What hangs on each balloon of an order: its ribbon, its tag, its gift or card; and what that does to its hours.

The masses of the balloon types are common practice, no source.
"""

import math
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest

from app.craft.build import Build, Construction, write_build
from app.physics.balloon import BalloonType, Gas
from app.physics.material import Material
from app.planning.opening import Opening
from app.quoting.catalogue import BalloonOffer, Catalogue, Design, Part
from app.quoting.errors import Refused
from app.quoting.parts import BatchSpec, match_commitments
from app.quoting.quote import Commitments, make_quote
from app.quoting.request import MOST_HUNG_G, LineRequest, Occasion, OrderRequest
from app.quoting.shop import DEFAULT_VALUES, build_shop
from app.quoting.states import OrderPart

OPEN = Opening(ZoneInfo("UTC"), {weekday: (time(8), time(18)) for weekday in range(7)})
NOW = datetime(2026, 11, 20, 8, tzinfo=UTC)
PARTY = {
    "ready_by": NOW.replace(hour=14),
    "event_start": NOW.replace(hour=15),
    "lasts_until": NOW.replace(hour=16),
}
TYPES = {
    5: BalloonType("5 in latex", Material.LATEX, 5, 0.9),
    11: BalloonType("11 in latex", Material.LATEX, 11, 3.0),
    18: BalloonType("18 in foil", Material.FOIL, 18, 10, 14, 240),
}
OFFERS = {
    number: BalloonOffer(number, one, "round", 100, None, None, 100, 1000, None) for number, one in TYPES.items()
}


def _part(quantity=3, number=11, gas=Gas.HELIUM, hung_g=0.0):
    return Part(number, gas, quantity, (), hung_g)


def _design(number, build, *parts):
    return Design(number, f"Design {number}", 2600, 5.0, False, (), (), write_build(build), parts, (), None)


def _quote(*lines, designs=(), commitments=None, shop_settings=(), **changes):
    shop = build_shop(DEFAULT_VALUES | dict(shop_settings), OPEN)
    catalogue = Catalogue(OFFERS, {one.id: one for one in designs}, {})
    request = OrderRequest("Case", "", Occasion.EVENT, lines, **(PARTY | changes))
    return make_quote(request, shop, catalogue, NOW, commitments or Commitments())


def _line(number=11, quantity=24, **changes):
    return LineRequest(number, None, quantity, "red", **changes)


def _of_design(number, quantity=1, **changes):
    return LineRequest(None, number, quantity, "red", **changes)


def _loads(quote):
    return [round(batch.fill.load_g, 6) for batch in quote.batches]


def _fill(quote):
    (batch,) = quote.batches
    return batch.fill


@pytest.mark.parametrize(("ribbon_m", "load_g"), [(1.5, 0.75), (1.0, 0.5), (3.0, 0.75), (0.0, 0.0)])
def test_a_loose_balloon_carries_its_ribbon_up_to_the_height_that_counts_as_up(ribbon_m, load_g):
    """Of curling ribbon of 0.5 g/m up to 1.5 m: common practice, no source."""
    assert _loads(_quote(_line(), shop_settings={"ribbon_m": ribbon_m})) == [load_g]


def test_it_carries_its_tag_too():
    assert _loads(_quote(_line(), shop_settings={"tag_g": 0.4, "ribbon_m": 1.0})) == [0.9]


@pytest.mark.parametrize(
    ("number", "hung_g", "load_g", "hours"), [(11, 4.25, 5.0, 4.5), (18, 2.25, 3.0, 97.1), (11, 0.0, 0.75, 15.0)]
)
def test_a_gift_shortens_the_hours_by_what_it_weighs(number, hung_g, load_g, hours):
    """Hours at 20 °C and sea level, computed independently from the leak; 15 hours are common practice."""
    fill = _fill(_quote(_line(number, hung_g=hung_g), lasts_until=NOW.replace(hour=15, minute=1)))
    assert (round(fill.load_g, 6), round(fill.endurance.budget, 1)) == (load_g, hours)


def test_balloons_with_and_without_a_gift_are_two_batches_with_windows_of_their_own():
    quote = _quote(_line(quantity=12), _line(quantity=6, hung_g=3.0), lasts_until=NOW.replace(hour=18))
    plain, heavy = quote.batches
    assert _loads(quote) == [0.75, 3.75]
    assert [(batch.fill.spec.hung_g, batch.fill.quantity) for batch in (plain, heavy)] == [(0.0, 12), (3.0, 6)]
    assert plain.window.not_before < heavy.window.not_before
    assert plain.window.chance > heavy.window.chance


def test_the_same_gift_on_two_lines_is_one_batch():
    assert [batch.fill.quantity for batch in _quote(_line(quantity=4, hung_g=2), _line(hung_g=2)).batches] == [28]


def test_an_air_filled_balloon_carries_nothing_whatever_hangs_on_it():
    quote = _quote(_line(gas=Gas.AIR, hung_g=30.0), _line(gas=Gas.AIR))
    assert _loads(quote) == [0.0]
    assert _fill(quote).spec == BatchSpec(11, Gas.AIR, treated=False)


BOUQUET = Build(Construction.BOUQUET)
STRINGS = Build(Construction.STRINGS)
TIED_CM, KNOT_CM, RADIUS_CM = 10, 100, 11 / 2 * 2.54
"""The shop's defaults for what is tied and for the knot below the lowest neck, and half an 11-inch balloon."""


def test_a_bouquet_carries_its_own_ribbons():
    """Three balloons that touch stand 2r/√3 from the axis, with their necks 1 m above the knot."""
    cut_cm = math.ceil(math.hypot(2 * RADIUS_CM / math.sqrt(3), KNOT_CM) + TIED_CM)
    assert cut_cm == 112
    assert _loads(_quote(_of_design(1), designs=[_design(1, BOUQUET, _part(3))])) == [0.56]


def test_balloons_one_above_another_carry_the_longest_of_their_ribbons():
    cut_cm = math.ceil(KNOT_CM + 2 * RADIUS_CM + TIED_CM)
    assert cut_cm == 138
    assert _loads(_quote(_of_design(1), designs=[_design(1, STRINGS, _part(2))])) == [0.69]


@pytest.mark.parametrize(("up_height_m", "load_g"), [(1.5, 0.75), (1.2, 0.6)])
def test_what_of_a_longer_ribbon_lies_lower_is_not_carried(up_height_m, load_g):
    designs = [_design(1, BOUQUET, _part(9))]
    assert _loads(_quote(_of_design(1), designs=designs, shop_settings={"up_height_m": up_height_m})) == [load_g]


def test_each_batch_of_a_bouquet_has_the_ribbons_of_its_own_balloons():
    """The foil stands on the latex, so that its ribbon is the longer one."""
    quote = _quote(_of_design(1), designs=[_design(1, BOUQUET, _part(3), _part(1, 18))])
    latex, foil = _loads(quote)
    assert latex == 0.56
    assert latex < foil <= 0.75


def test_a_batch_in_several_lines_carries_the_longest_ribbon_of_all():
    designs = [_design(1, BOUQUET, _part(3)), _design(2, STRINGS, _part(2))]
    assert _loads(_quote(_of_design(1), _of_design(2, 4), designs=designs)) == [0.69]
    assert _loads(_quote(_of_design(1), _line(quantity=1), designs=designs)) == [0.75]


def test_a_design_is_as_it_was_sold():
    """Its recipe and what hangs on it stay with the line, whatever becomes of the design."""
    lines = (_of_design(1),)
    sold = _quote(*lines, designs=[_design(1, BOUQUET, _part(3, hung_g=1.0))]).lines
    kept = Commitments(saved=dict(zip(lines, sold, strict=True)))
    assert _loads(_quote(*lines, designs=[_design(1, STRINGS, _part(2))], commitments=kept)) == [1.56]


def test_what_hangs_on_a_part_hangs_on_each_balloon_of_it():
    parts = (_part(2, hung_g=2.0), _part(1), _part(1, 18, hung_g=1.5))
    quote = _quote(_of_design(1, 3), designs=[_design(1, Build(), *parts)])
    assert [(batch.fill.quantity, batch.fill.spec.hung_g) for batch in quote.batches] == [
        (6, 2.0),
        (3, 0),
        (3, 1.5),
    ]
    assert _loads(quote) == [2.75, 0.75, 2.25]


def test_balloons_on_the_line_of_an_arch_carry_their_tie_and_their_share_of_the_line():
    """In place of ribbon and tag. Other balloons of the design are as loose ones."""
    arch = Build(Construction.STRUNG, {"span_m": 4.0, "height_m": 2.0, "spacing_m": 0.4})
    designs = [_design(1, arch, _part(20, hung_g=1.0), _part(2, 18))]
    settings = {"strung_tie_g": 0.2, "strung_line_g_m": 0.5, "tag_g": 0.1}
    assert _loads(_quote(_of_design(1), designs=designs, shop_settings=settings)) == [1.4, 0.85]


def test_balloons_of_an_air_filled_column_carry_nothing():
    column = Build(Construction.COLUMN, {"height_m": 2.0, "pattern": "spiral"})
    designs = [_design(1, column, _part(40, gas=Gas.AIR), _part(1, 18))]
    assert _loads(_quote(_of_design(1), designs=designs)) == [0.0, 0.75]


def _refused_at(*lines, **more):
    with pytest.raises(Refused) as refusal:
        _quote(*lines, **more)
    return [(problem.field, problem.line) for problem in refusal.value.problems]


def test_a_balloon_that_its_gift_holds_down_is_refused_at_the_gift():
    assert _refused_at(_line(), _line(hung_g=20.0)) == [("hung_g", 1)]


def test_a_balloon_that_sinks_without_a_gift_is_refused_at_what_it_is():
    """A 5-inch with its ribbon does not float: common practice, no source."""
    assert _refused_at(_line(5)) == _refused_at(_line(5, hung_g=1.0)) == [("what", 0)]


def test_a_design_that_is_too_heavy_is_refused_at_the_design():
    designs = [_design(1, BOUQUET, _part(3, hung_g=20.0))]
    assert _refused_at(_of_design(1), designs=designs) == [("what", 0)]


def test_a_gift_on_a_design_is_entered_in_the_design():
    assert _refused_at(_of_design(1, hung_g=2.0), designs=[_design(1, BOUQUET, _part(3))]) == [("hung_g", 0)]


@pytest.mark.parametrize("hung_g", [-0.1, MOST_HUNG_G + 0.1, math.nan])
def test_a_weight_that_cannot_be_is_refused(hung_g):
    assert _refused_at(_line(hung_g=hung_g)) == [("hung_g", 0)]


PLAIN, GIFT = BatchSpec(11, Gas.HELIUM, treated=False), BatchSpec(11, Gas.HELIUM, treated=False, hung_g=5.0)
LATER = BatchSpec(11, Gas.HELIUM, treated=False, part=OrderPart.LATER)


@pytest.mark.parametrize(
    ("was", "wanted", "now"),
    [
        ({PLAIN: 1}, [GIFT], {GIFT: 1}),
        ({PLAIN: 1}, [PLAIN, GIFT], {PLAIN: 1}),
        ({PLAIN: 1, GIFT: 2}, [GIFT], {PLAIN: 1, GIFT: 2}),
        ({GIFT: 2, LATER: 3}, [PLAIN], {GIFT: 2, PLAIN: 3}),
        ({LATER: 3, GIFT: 2}, [PLAIN], {GIFT: 2, PLAIN: 3}),
        ({PLAIN: 1}, [BatchSpec(11, Gas.HELIUM, treated=True, hung_g=5.0)], {PLAIN: 1}),
    ],
)
def test_filled_balloons_keep_their_start_when_something_else_is_hung_on_them(was, wanted, now):
    assert match_commitments(was, wanted) == now
