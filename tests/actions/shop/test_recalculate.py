"""Open orders recalculated: what got worse is named and written to the history."""

from app.actions.records.history import history_of
from app.actions.shop.office import change_settings, replan_open_orders
from tests.actions.builders import EIGHT, at, ctx, order_request, take


def test_an_order_that_got_worse_is_named_with_what_it_was_and_is(session, catalogue):
    order = take(session, order_request(catalogue, lasts_until=at(20)))
    change_settings(session, {"calibration": 12})
    (worse,) = replan_open_orders(ctx(session, who="Isolde", now=EIGHT))
    assert (worse.number, worse.before, worse.now) == (order.number, "safe", order.verdict)
    assert worse.now != worse.before
    assert worse.refusal == ""
    entry = history_of(session, order)[-1]
    assert (entry.act, entry.who) == ("recalculated", "Isolde")
    assert entry.changes[0][:2] == ["float", "safe"]


def test_an_order_that_got_better_is_in_the_history_but_not_named(session, catalogue):
    order = take(session, order_request(catalogue, lasts_until=at(6, days=1), accepted_risk="Fine."))
    assert order.verdict == "wont-last"
    change_settings(session, {"calibration": 60})
    assert replan_open_orders(ctx(session, now=EIGHT)) == []
    assert order.verdict == "safe"
    assert history_of(session, order)[-1].act == "recalculated"


def test_an_order_as_good_as_before_has_no_new_line_in_its_history(session, order):
    assert replan_open_orders(ctx(session, now=EIGHT)) == []
    assert len(history_of(session, order)) == 1
