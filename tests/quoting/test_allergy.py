"""What is offered where somebody is allergic to latex: other materials only, each worked out and priced."""

from datetime import timedelta

import pytest

from app.actions.records.catalogue import load_catalogue
from app.physics.balloon import Gas
from app.physics.material import Material
from app.planning.window import Verdict
from app.quoting.allergy import avoids_latex, latex_balloons
from app.quoting.alternatives import AlternativeChange, find_alternatives, line_verdict
from app.quoting.checks import check_hours
from app.quoting.quote import make_quote
from tests.actions.builders import MORNING, at, bouquet, design_line, line, order_request

NOW = MORNING - timedelta(days=3)


@pytest.fixture
def ask(shop, catalogue):
    def ask(wanted):
        check_hours(wanted, NOW)
        return make_quote(wanted, shop, catalogue, NOW)

    return ask


@pytest.fixture
def offered(ask, shop, catalogue):
    """offered(request): the alternatives of its first line."""

    def find(wanted):
        found = find_alternatives(ask(wanted), ask, shop, catalogue, NOW)
        return [one for one in found if one.line == 0]

    return find


LONG = {"ready_by": at(9), "event_start": at(18), "lasts_until": at(0, days=1)}


@pytest.mark.parametrize("hours", [{}, LONG])
def test_foil_and_sphere_are_offered_and_nothing_else(hours, ask, offered, catalogue):
    """Both where the latex would float long enough and where it would not."""
    wanted = order_request(catalogue, latex_allergy=True, **hours)
    ways = offered(wanted)
    assert {way.change for way in ways} == {AlternativeChange.MATERIAL}
    assert {way.material for way in ways} == {Material.FOIL, Material.SPHERE}
    for way in ways:
        assert latex_balloons(way.quote, 0) == {}
        assert line_verdict(way.quote, 0) is Verdict.SAFE
        assert way.costs_minor == way.quote.total_minor - ask(wanted).total_minor
        assert way.quote.request.latex_allergy
    assert [way.costs_minor for way in ways] == sorted(way.costs_minor for way in ways)


def test_without_the_allergy_a_safe_line_is_offered_nothing(offered, catalogue):
    assert offered(order_request(catalogue)) == []


def test_the_verdict_is_the_same_with_the_allergy(ask, catalogue):
    for hours in ({}, LONG):
        with_it, without = (ask(order_request(catalogue, latex_allergy=said, **hours)) for said in (True, False))
        assert with_it.float_verdict is without.float_verdict
        assert with_it.total_minor == without.total_minor
        assert [batch.window for batch in with_it.batches] == [batch.window for batch in without.batches]


def test_latex_in_air_is_replaced_in_air(offered, catalogue):
    ways = offered(order_request(catalogue, line(catalogue, gas=Gas.AIR), latex_allergy=True))
    assert ways
    assert {way.quote.request.lines[0].gas for way in ways} == {Gas.AIR}


def test_a_foil_that_sinks_too_soon_has_its_usual_alternatives(offered, catalogue):
    week = {"event_start": at(15), "lasts_until": at(15, days=30)}
    foils = [line(catalogue, "18 in foil", 3)]
    with_it, without = (
        offered(order_request(catalogue, *foils, latex_allergy=said, **week)) for said in (True, False)
    )
    assert [way.key for way in with_it] == [way.key for way in without]


def test_a_design_names_its_latex_and_is_not_replaced(session, shop, catalogue):
    sea = bouquet(session, catalogue)
    catalogue = load_catalogue(session)
    quote = make_quote(order_request(catalogue, design_line(sea, 2), latex_allergy=True), shop, catalogue, NOW)
    assert latex_balloons(quote, 0) == {"11 in latex": 18}
    assert avoids_latex(quote, 0)
    assert find_alternatives(quote, lambda wanted: quote, shop, catalogue, NOW) == []


def test_a_line_that_floats_no_worse_is_offered_where_none_is_safe(ask, offered, catalogue):
    """Nothing floats for a month; foil is no worse than latex, and it harms nobody."""
    wanted = order_request(catalogue, latex_allergy=True, event_start=at(15), lasts_until=at(15, days=30))
    assert line_verdict(ask(wanted), 0) is Verdict.WONT_LAST
    assert Material.FOIL in {way.material for way in offered(wanted)}


def test_only_lines_with_latex_are_avoided(ask, catalogue):
    lines = line(catalogue), line(catalogue, "18 in foil", 3)
    for said in (True, False):
        quote = ask(order_request(catalogue, *lines, latex_allergy=said))
        assert [avoids_latex(quote, place) for place in (0, 1)] == [said, False]


def test_no_offer_floats_worse_than_what_it_replaces(ask, offered, catalogue):
    """Whatever the hours are: each offer floats no worse than the latex that it replaces."""
    for hours in range(8, 24 * 30, 40):
        ends = at(15) + timedelta(hours=hours)
        wanted = order_request(catalogue, latex_allergy=True, event_start=at(15), lasts_until=ends)
        was = line_verdict(ask(wanted), 0).rank
        ways = offered(wanted)
        assert all(line_verdict(way.quote, 0).rank <= was for way in ways), hours
