"""Wind at the venue: what an order outdoors asks to be held with, kept with its batches and its history."""

import pytest

from app.actions.orders.take import key_taken
from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import history_of
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.shop import load_shop
from app.actions.records.sold_rows import read_parts
from app.actions.shop.office import change_settings, replan_open_orders
from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.window import Limit, Verdict
from app.quoting.errors import Refused
from app.quoting.parts import weight_of_one
from app.quoting.quote import make_quote
from tests.actions.builders import (
    MORNING,
    at,
    bouquet,
    change,
    ctx,
    design_line,
    line,
    order_request,
    take,
)

INDOORS, SHADE, SUN = Surroundings


def _weights(order):
    return {batch.balloon_type_name: batch.weight_g for batch in order.batches}


def _place(session, order):
    return [dict(entry.description)["venue"] for entry in history_of(session, order)]


def test_outdoors_every_helium_balloon_has_a_weight_by_the_wind_told(session, catalogue):
    order = take(session, order_request(catalogue, surroundings=SHADE, wind_m_s=8.0, accepted_risk="Fine."))
    assert _weights(order) == {"11 in latex": 235}
    assert (order.wind_m_s, rebuild_request(order).wind_m_s) == (8.0, 8.0)


@pytest.mark.parametrize("surroundings", [SHADE, SUN])
def test_the_shops_limit_stands_in_for_a_wind_that_nobody_told(session, catalogue, surroundings):
    assert _weights(take(session, order_request(catalogue, surroundings=surroundings))) == {"11 in latex": 97}
    change_settings(session, {"wind_limit_m_s": 8})
    order = take(session, order_request(catalogue, surroundings=surroundings), key="key-2")
    assert _weights(order) == {"11 in latex": 235}


def test_a_calm_that_was_told_is_no_silence(session, catalogue):
    order = take(session, order_request(catalogue, surroundings=SHADE, wind_m_s=0.0))
    assert _weights(order) == {"11 in latex": 9}
    assert _place(session, order) == ["shade, wind 0\u00a0m/s"]


def test_a_weight_that_slides_more_easily_must_be_heavier(session, catalogue):
    change_settings(session, {"grip_percent": 25})
    wanted = order_request(catalogue, surroundings=SHADE, wind_m_s=8.0, accepted_risk="Fine.")
    assert _weights(take(session, wanted))["11 in latex"] > 2 * 200


def test_indoors_the_wind_is_neither_reckoned_nor_told(session, catalogue):
    order = take(session, order_request(catalogue, wind_m_s=8.0))
    assert _weights(order) == {"11 in latex": None}
    assert _place(session, order) == ["indoors"]


def test_what_is_filled_with_air_has_no_weight(session, catalogue):
    lines = (line(catalogue, gas=Gas.AIR), line(catalogue, "18 in foil", quantity=1))
    order = take(session, order_request(catalogue, *lines, surroundings=SHADE))
    assert _weights(order) == {"11 in latex": None, "18 in foil": 241}


def _windows(shop, catalogue, **changes):
    quote = make_quote(order_request(catalogue, **({"surroundings": SHADE} | changes)), shop, catalogue, MORNING)
    return [plan.window for plan in quote.batches]


def test_wind_up_to_the_limit_changes_nothing_and_neither_does_one_that_nobody_told(shop, catalogue):
    """The limit of 5 m/s is from memory."""
    untold = _windows(shop, catalogue)
    assert [window.verdict for window in untold] == [Verdict.SAFE]
    for wind in (0.0, 4.9, 5.0):
        assert _windows(shop, catalogue, wind_m_s=wind) == untold


@pytest.mark.parametrize("surroundings", [SHADE, SUN])
def test_wind_above_the_limit_makes_helium_outdoors_at_best_risky(shop, catalogue, surroundings):
    (calm,) = _windows(shop, catalogue, surroundings=surroundings)
    for wind in (5.1, 40.0):
        (window,) = _windows(shop, catalogue, surroundings=surroundings, wind_m_s=wind)
        assert (window.verdict, window.outcome.limits) == (Verdict.RISKY, (Limit.WIND,))
        assert (window.not_before, window.inflate_by, window.chance) == (
            calm.not_before,
            calm.inflate_by,
            calm.chance,
        )


def test_wind_above_the_limit_makes_nothing_better(shop, catalogue):
    """To be up until the next evening is no question of wind."""
    (window,) = _windows(shop, catalogue, wind_m_s=40.0, lasts_until=at(20, days=1))
    assert (window.verdict, window.outcome.limits) == (Verdict.WONT_LAST, (Limit.FLOAT, Limit.WIND))


def test_wind_is_no_matter_to_air_or_indoors(shop, catalogue):
    line_of_air = line(catalogue, gas=Gas.AIR)
    quote = make_quote(
        order_request(catalogue, line_of_air, surroundings=SHADE, wind_m_s=40.0), shop, catalogue, MORNING
    )
    assert quote.float_verdict is Verdict.SAFE
    assert [window.verdict for window in _windows(shop, catalogue, surroundings=INDOORS, wind_m_s=40.0)] == [
        Verdict.SAFE
    ]


def test_a_stronger_limit_of_the_shop_lets_more_wind_be_safe(session, catalogue):
    wanted = {"surroundings": SHADE, "wind_m_s": 8.0}
    order = take(session, order_request(catalogue, **wanted, accepted_risk="Fine."))
    assert (order.verdict, order.accepted_risk) == ("risky", "Fine.")
    change_settings(session, {"wind_limit_m_s": 8})
    assert take(session, order_request(catalogue, **wanted), key="key-2").verdict == "safe"
    assert replan_open_orders(ctx(session, now=at(8))) == []
    assert order.verdict == "safe"


def test_the_wind_that_became_known_is_a_change_in_the_history(session, catalogue):
    order = take(session, order_request(catalogue, surroundings=SHADE))
    change(session, order, order_request(catalogue, surroundings=SHADE, wind_m_s=3.0))
    assert _weights(order) == {"11 in latex": 40}
    assert history_of(session, order)[-1].changes == [["venue", "shade", "shade, wind 3\u00a0m/s"]]


def test_a_form_that_comes_again_with_another_wind_is_refused(session, catalogue):
    first = order_request(catalogue, surroundings=SHADE, wind_m_s=3.0)
    order = take(session, first)
    assert take(session, first) is order
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, surroundings=SHADE, wind_m_s=4.0))
    assert refusal.value.problems == (key_taken(order.number, order.customer),)


def test_another_limit_works_the_weights_out_anew_and_the_history_says_so(session, catalogue):
    order = take(session, order_request(catalogue, surroundings=SHADE))
    told = take(session, order_request(catalogue, surroundings=SHADE, wind_m_s=3.0), key="key-2")
    change_settings(session, {"wind_limit_m_s": 8})
    replan_open_orders(ctx(session, now=at(8)))
    assert (_weights(order), _weights(told)) == ({"11 in latex": 235}, {"11 in latex": 40})
    (entry,) = [entry for entry in history_of(session, order) if entry.act == "recalculated"]
    ((_, was, becomes),) = entry.changes
    assert was.endswith("weight 97\u00a0g each")
    assert becomes.endswith("weight 235\u00a0g each")
    assert [entry.act for entry in history_of(session, told)] == ["saved"]


def test_one_whole_design_is_held_by_the_sum_of_its_balloons(session, catalogue):
    design = bouquet(session, catalogue)
    wanted = order_request(
        catalogue, design_line(design, 3), line(catalogue, quantity=5), surroundings=SHADE, wind_m_s=5.0
    )
    quote = make_quote(wanted, load_shop(session), load_catalogue(session), MORNING)
    whole, loose = (weight_of_one(sold.parts, sold.request.quantity, quote.weights) for sold in quote.lines)
    assert (whole, loose) == (241 + 9 * 97, 97)


def test_a_design_as_kept_is_held_by_as_much_as_when_it_was_quoted(session, catalogue):
    order = take(session, order_request(catalogue, design_line(bouquet(session, catalogue), 2), surroundings=SHADE))
    (saved,) = order.lines
    parts = read_parts(saved.parts)
    weights = {spec: batch.weight_g for spec, batch in zip(parts, order.batches, strict=True)}
    assert weight_of_one(parts, saved.quantity, weights) == 241 + 9 * 97


def test_a_design_that_asks_for_no_weight_has_none(session, catalogue, shop):
    wanted = order_request(catalogue, line(catalogue, gas=Gas.AIR), surroundings=SHADE)
    quote = make_quote(wanted, shop, catalogue, MORNING)
    assert weight_of_one(quote.lines[0].parts, 24, quote.weights) is None
