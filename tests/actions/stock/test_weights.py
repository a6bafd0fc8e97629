"""The weights that an order outdoors needs: how many, which supply, and those in stock first.

In a wind of 5 m/s an 11-inch latex needs 97 g; computed by the app's own physics and tested there.
"""

import pytest

from app.actions.orders.answer import quoting_function
from app.actions.records.catalogue import load_catalogue
from app.actions.stock.articles import Article
from app.actions.stock.weights import find_weights
from app.physics.light import Surroundings
from app.quoting.request import ExtraRequest, ExtraSort
from app.quoting.weights_to_add import WeightNeed, choose_weight
from tests.actions.builders import BENCH_REASON, MORNING, bouquet, ctx, design_line, line, order_request
from tests.actions.stock_helpers import lot
from tests.actions.supply_helpers import bouquet_on, supply


def _weight(session, grams, price=100, **more):
    return supply(
        session, f"Weight {grams} g at {price}", "weight", grams=float(grams), price_minor=price, **more
    ).id


def _offer(session, *lines, extras=(), **changes):
    catalogue = load_catalogue(session)
    told = {"surroundings": Surroundings.SHADE, "wind_m_s": 5.0, "accepted_risk": "Fine."}
    wanted = order_request(
        catalogue, *(lines or (line(catalogue),)), extras=extras, bench_override=BENCH_REASON, **(told | changes)
    )
    context = ctx(session)
    return find_weights(context, quoting_function(context, None)(wanted))


def _chosen(offer):
    return [(row.id, count) for row, count in offer.chosen]


def test_each_loose_balloon_gets_the_cheapest_weight_that_is_heavy_enough(session):
    _weight(session, 96, 10)
    _weight(session, 200, 90)
    right = _weight(session, 97, 80)
    offer = _offer(session)
    assert offer.needs == (WeightNeed(97.0, 24),)
    assert (_chosen(offer), offer.too_heavy) == ([(right, 24)], ())


def test_indoors_none_is_needed(session):
    _weight(session, 100)
    assert _offer(session, surroundings=Surroundings.INDOORS, wind_m_s=None) is None


def test_what_is_archived_or_not_sold_is_not_offered_and_none_that_is_enough_is_said(session):
    _weight(session, 100, archived_at=MORNING)
    _weight(session, 150, None)
    _weight(session, 96)
    offer = _offer(session)
    assert (_chosen(offer), offer.too_heavy) == ([], (WeightNeed(97.0, 24),))


def test_weights_among_the_extras_count(session):
    heavy, light = _weight(session, 120), _weight(session, 50)
    some = (ExtraRequest(ExtraSort.SUPPLY, 20, heavy), ExtraRequest(ExtraSort.SUPPLY, 30, light))
    assert _chosen(_offer(session, extras=some)) == [(heavy, 4)]
    assert _offer(session, extras=(ExtraRequest(ExtraSort.SUPPLY, 24, heavy),)) is None


def test_a_design_needs_one_for_each_piece_unless_its_recipe_has_it(session):
    big = _weight(session, 2000)
    row = bouquet(session, load_catalogue(session))
    (need,) = _offer(session, design_line(row, quantity=3)).needs
    assert need.count == 3
    assert need.grams > 97
    assert _chosen(_offer(session, design_line(row, quantity=3))) == [(big, 3)]


def test_a_design_with_a_heavy_enough_weight_needs_no_more(session):
    weight = _weight(session, 5000)
    design = bouquet_on(session, load_catalogue(session).supplies[weight])
    assert _offer(session, design_line(design, quantity=3)) is None


@pytest.mark.parametrize(("counted", "first"), [(24, "cheap"), (23, "dear")])
def test_what_is_in_stock_comes_before_what_is_cheaper(session, counted, first):
    ids = {"cheap": _weight(session, 100, 50), "dear": _weight(session, 100, 90)}
    for name, count in (("cheap", counted), ("dear", 24)):
        lot(session, count, colour="", article=Article(supply_id=ids[name]))
    session.flush()
    assert _chosen(_offer(session)) == [(ids[first], 24)]


def test_of_equal_prices_the_lighter_is_chosen(session):
    _weight(session, 300)
    lighter = _weight(session, 120)
    assert choose_weight(WeightNeed(97, 1), load_catalogue(session), lambda _row: False).id == lighter
