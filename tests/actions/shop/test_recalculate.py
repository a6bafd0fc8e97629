"""Open orders recalculated: what got worse is named and written to the history."""

from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, replan_open_orders
from tests.actions.builders import EIGHT, at, ctx, line, order_request, take, tap


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


def _changed(session, order):
    """What the last entry of its history says was changed."""
    entry = history_of(session, order)[-1]
    assert entry.act == "recalculated"
    return [name for name, _, _ in entry.changes]


def test_a_change_that_moves_only_the_float_reports_only_that(session, order):
    change_settings(session, {"calibration": 5})
    (worse,) = replan_open_orders(ctx(session, now=EIGHT))
    assert (worse.before, worse.became_late) == ("safe", False)
    assert worse.now == order.verdict != "safe"
    assert _changed(session, order) == ["float"]


def test_a_change_that_moves_only_the_bench_reports_only_that(session, order):
    """Two dozen take a minute more each, so that 24 minutes are lacking from a quarter past one on."""
    change_settings(session, {"handle_seconds": load_shop(session).work_times.handle_seconds + 60})
    (worse,) = replan_open_orders(ctx(session, now=at(13, 15)))
    assert (worse.number, worse.before, worse.now, worse.became_late) == (order.number, "safe", "safe", True)
    assert order.verdict == "safe"
    assert _changed(session, order) == [order.batches[0].key]


def test_a_change_that_moves_both_reports_both(session, order):
    change_settings(
        session, {"calibration": 5, "handle_seconds": load_shop(session).work_times.handle_seconds + 60}
    )
    (worse,) = replan_open_orders(ctx(session, now=at(13, 15)))
    assert (worse.before, worse.now, worse.became_late) == ("safe", "wont-last", True)
    assert _changed(session, order) == ["float", order.batches[0].key]


def test_what_was_late_before_is_not_reported_as_late_again(session, order):
    change_settings(session, {"handle_seconds": load_shop(session).work_times.handle_seconds + 60})
    assert replan_open_orders(ctx(session, now=at(13, 45))) == []


def test_what_is_started_in_time_is_not_late(session, order):
    tap(session, order.batches[0], "start", now=at(13))
    change_settings(session, {"handle_seconds": load_shop(session).work_times.handle_seconds + 60})
    assert replan_open_orders(ctx(session, now=at(13, 15))) == []


def test_the_rest_of_an_order_that_was_begun_in_time_becomes_late(session, catalogue):
    lines = line(catalogue), line(catalogue, "16 in latex")
    order = take(session, order_request(catalogue, *lines, ready_by=at(15), event_start=at(16)))
    first, second = order.batches
    tap(session, first, "finish", now=at(10))
    change_settings(session, {"handle_seconds": load_shop(session).work_times.handle_seconds + 60})
    assert order.first_fill_by < at(14, 10) < second.inflate_by
    (worse,) = replan_open_orders(ctx(session, now=at(14, 10)))
    assert (worse.number, worse.now, worse.became_late) == (order.number, "safe", True)
