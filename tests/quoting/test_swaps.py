"""Other balloons in place of a design's own, for one line: its parts, its price and its title follow."""

from dataclasses import replace

import pytest

from app.actions.records.catalogue import load_catalogue
from app.physics.balloon import Gas
from app.quoting.costs import current_design_price
from app.quoting.errors import Refused
from app.quoting.parts import sell
from app.quoting.request import PartSwap
from app.quoting.swaps import changed_swaps
from tests.actions.builders import balloon_type_id, bouquet, design_line, new_design, part, problems


@pytest.fixture
def ids(catalogue):
    return {row.name: row.id for row in catalogue.balloon_types.values()}


@pytest.fixture
def sold(session, shop, catalogue):
    """sold(swaps): two bouquets of one foil and nine 11-inch with these swaps, and the same without."""
    sea = bouquet(session, catalogue)
    catalogue = load_catalogue(session)

    def sell_both(*swaps, **changes):
        asked = design_line(sea, 2, **changes)
        return sell(replace(asked, swaps=swaps), 0, catalogue, shop), sell(asked, 0, catalogue, shop)

    return sell_both


def _counts(line):
    return {(spec.balloon_type_id, spec.gas): sum(share.values()) for spec, share in line.parts.items()}


def test_larger_latex_replaces_the_designs_own_and_costs_the_difference(sold, ids):
    """In the tests' shop, an inch costs 10: nine of 16 in instead of 11 in are 450 more for each bouquet."""
    larger, own = sold(PartSwap(ids["11 in latex"], ids["16 in latex"], Gas.HELIUM))
    assert _counts(own) == {(ids["18 in foil"], "helium"): 2, (ids["11 in latex"], "helium"): 18}
    assert _counts(larger) == {(ids["18 in foil"], "helium"): 2, (ids["16 in latex"], "helium"): 18}
    assert larger.unit_minor - own.unit_minor == 9 * (160 - 110)
    assert "16 in latex" in larger.title
    assert own.title == "Sea bouquet"


def test_filled_with_air_it_costs_the_same(sold, ids):
    swaps = (PartSwap(ids[name], ids[name], Gas.AIR) for name in ("11 in latex", "18 in foil"))
    air, own = sold(*swaps)
    assert {spec.gas for spec in air.parts} == {Gas.AIR}
    assert air.unit_minor == own.unit_minor


def test_a_calculated_price_follows_from_the_new_parts(session, shop, catalogue, ids):
    design = new_design(session, catalogue, price_minor=None)
    catalogue = load_catalogue(session)
    types = {
        key: replace(row, pack_minor=row.price_minor * row.pack_size)
        for key, row in catalogue.balloon_types.items()
    }
    catalogue = replace(catalogue, balloon_types=types)
    foil = PartSwap(ids["11 in latex"], ids["18 in foil"], Gas.HELIUM)
    line = sell(design_line(design, swaps=(foil,)), 0, catalogue, shop)
    parts = (part(catalogue, "18 in foil", quantity=1), part(catalogue, "18 in foil"))
    of_foils = replace(catalogue.designs[design.id], parts=parts)
    assert line.unit_minor == current_design_price(of_foils, catalogue, shop)
    assert line.unit_minor > sell(design_line(design), 0, catalogue, shop).unit_minor


@pytest.mark.parametrize(
    ("was", "now"), [("9 in latex", "16 in latex"), ("11 in latex", "9 in foil"), ("11 in latex", "unknown")]
)
def test_a_swap_that_does_not_fit_is_refused_at_its_line(sold, ids, was, now):
    with pytest.raises(Refused) as refusal:
        sold(PartSwap(ids[was], ids.get(now, 9999), Gas.HELIUM))
    assert set(problems(refusal)) == {("what", 0)}


def test_a_swap_of_a_swap_starts_from_the_designs_own(session, catalogue, ids):
    """First larger, then foil: what counts is what the design has itself, and what it ends with."""
    design = _design_of(session, catalogue)
    first = (PartSwap(ids["11 in latex"], ids["16 in latex"], Gas.HELIUM),)

    def to_foil(one):
        is_latex = one.balloon_type_id == ids["16 in latex"]
        return replace(one, balloon_type_id=ids["22 in foil"]) if is_latex else one

    assert changed_swaps(design, first, to_foil) == (PartSwap(ids["11 in latex"], ids["22 in foil"], Gas.HELIUM),)
    assert changed_swaps(design, first, lambda one: replace(one, balloon_type_id=ids["11 in latex"])) == (
        PartSwap(ids["18 in foil"], ids["11 in latex"], Gas.HELIUM),
    )


def _design_of(session, catalogue):
    row = bouquet(session, catalogue)
    return load_catalogue(session).designs[row.id]


def test_air_and_helium_of_one_type_are_told_apart(session, shop, catalogue, ids):
    """A swap to helium leaves the air-filled balloons of that type alone."""
    parts = (part(catalogue), part(catalogue, gas=Gas.AIR, quantity=4))
    design = new_design(session, catalogue, parts=parts)
    larger = PartSwap(balloon_type_id(catalogue), ids["16 in latex"], Gas.HELIUM)
    line = sell(design_line(design, swaps=(larger,)), 0, load_catalogue(session), shop)
    assert _counts(line) == {(ids["16 in latex"], "helium"): 9, (ids["11 in latex"], "air"): 4}
