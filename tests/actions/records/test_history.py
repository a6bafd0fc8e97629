"""Every entry of an order's history keeps the order as it stood after it."""

from app.actions.orders.cancel import cancel_order, reopen_order
from app.actions.orders.hand_over import steps_of, take_step, undo_step
from app.actions.records.descriptions import HistoryFormats, describe_order
from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.actions.records.taps import active_taps
from app.actions.shop.office import change_settings, replan_open_orders
from tests.actions.builders import ANYWAY, CALLED_OFF, MORNING, at, change, ctx, line, order_request, take, tap


def _described(session, order):
    return [dict(entry.description) for entry in history_of(session, order)]


def _write_history(session, order):
    shop = load_shop(session)
    return describe_order(order, HistoryFormats.of(shop))


def test_what_was_taken_and_what_it_became_are_both_kept(session, catalogue, order):
    change(session, order, order_request(catalogue, line(catalogue, quantity=30), notes="Side door."))
    taken, changed = _described(session, order)
    assert (taken["notes"], taken["line 1"]) == ("", "24 × 11 in latex in red, helium")
    assert (changed["notes"], changed["line 1"]) == ("Side door.", "30 × 11 in latex in red, helium")
    assert changed["ready by"] == "Sat 21 Nov 2026 14:00"


def test_the_words_keep_their_order(session, order):
    (entry,) = history_of(session, order)
    session.expire(entry)
    assert [tuple(pair) for pair in entry.description] == list(_write_history(session, order).items())


def test_hours_are_told_as_the_shops_clocks_showed_them(session, catalogue):
    change_settings(session, {"zone": "Asia/Kolkata"})
    order = take(session, order_request(catalogue, lasts_until=at(16), ready_by=at(11), accepted_risk="Fine."))
    assert _described(session, order)[0]["ready by"] == "Sat 21 Nov 2026 16:30"


def test_every_state_on_the_way_is_kept(session, shop, catalogue, order):
    cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1, CALLED_OFF)
    reopen_order(ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING), order.number)
    tap(session, order.batches[0], "finish")
    for step in steps_of(treated=False):
        take_step(ctx(session, who="Maren", now=at(9)), order.number, step, f"step {step}", sure=ANYWAY)
    undo_step(ctx(session, who="Maren", now=at(10)), order.number, active_taps(session, order.id, None)[-1].id)
    assert [told["state"] for told in _described(session, order)] == [
        "open",
        "cancelled",
        "open",
        "handed over",
        "open",
    ]


def test_a_batch_begun_too_early_and_a_promise_worked_out_anew_tell_the_order_as_well(session, catalogue):
    order = take(session, order_request(catalogue, lasts_until=at(20)))
    tap(session, order.batches[0], "start", now=at(8), sure=True)
    change_settings(session, {"handle_seconds": 96})
    replan_open_orders(ctx(session, now=at(9)))
    acts = [entry.act for entry in history_of(session, order)]
    assert acts == ["saved", "started too early", "recalculated"]
    assert all(told["customer"] == "Wilhelmina Hart" for told in _described(session, order))
