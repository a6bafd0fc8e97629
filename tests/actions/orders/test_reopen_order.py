"""Opening a cancelled order again."""

import pytest

from app.actions.errors import NotFound
from app.actions.orders.cancel import Cancellation, cancel_order, reopen_order
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.quoting.states import CancelReason
from tests.actions.builders import ANYWAY, CALLED_OFF, MORNING, at, ctx, tap


def test_it_is_open_again_as_it_was(session, shop, catalogue, order):
    tap(session, order.batches[0], "fill", count=5)
    cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1, CALLED_OFF)
    reopen_order(ctx(session, who="Tobiah", shop=shop, catalogue=catalogue, now=at(8)), order.number)
    assert (order.state, order.version, order.batches[0].filled) == ("open", 3, 5)
    assert [entry.act for entry in history_of(session, order)] == ["saved", "cancelled", "reopened"]


def test_a_reopened_order_has_no_fee_and_no_reason_for_cancelling(session, shop, catalogue, order):
    cancel_order(ctx(session), order.number, 1, Cancellation(CancelReason.CUSTOMER, fee_minor=500))
    reopen_order(ctx(session, shop=shop, catalogue=catalogue, now=at(8)), order.number)
    assert (order.cancelled_at, order.cancel_reason, order.cancel_fee_minor) == (None, "", 0)
    assert ["cancellation fee", "5.00", ""] in history_of(session, order)[-1].changes


def test_an_open_order_stays_as_it_is(session, shop, catalogue, order):
    reopen_order(ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING), order.number)
    assert (order.version, len(history_of(session, order))) == (1, 1)


def test_an_order_handed_over_is_not_opened_this_way(session, shop, catalogue, order):
    tap(session, order.batches[0], "finish")
    for step in steps_of(treated=False):
        take_step(ctx(session, who="Maren", now=MORNING), order.number, step, f"step {step}", sure=ANYWAY)
    with pytest.raises(Refused):
        reopen_order(ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING), order.number)


def test_an_order_that_never_was_is_not_opened(session, shop, catalogue):
    with pytest.raises(NotFound):
        reopen_order(ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=MORNING), 12345)
