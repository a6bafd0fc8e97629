"""Opening a cancelled order again."""

import pytest

from app.actions.errors import NotThere, Refused
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.orders.take import cancel_order, reopen_order
from app.actions.records.history import history_of
from tests.actions.builders import MORNING, at, take, tap, wish


def test_it_is_open_again_as_it_was(session, shop, goods):
    order = take(session, wish(goods))
    tap(session, order.batches[0], "fill", count=5)
    cancel_order(session, "Maren", order.number, 1, MORNING)
    reopen_order(session, "Tobiah", order.number, shop, goods, at(8))
    assert (order.state, order.version, order.batches[0].filled) == ("open", 3, 5)
    assert [entry.act for entry in history_of(session, order)] == ["taken", "cancelled", "opened again"]


def test_an_open_order_stays_as_it_is(session, shop, goods):
    order = take(session, wish(goods))
    reopen_order(session, "Maren", order.number, shop, goods, MORNING)
    assert (order.version, len(history_of(session, order))) == (1, 1)


def test_an_order_handed_over_is_not_opened_this_way(session, shop, goods):
    order = take(session, wish(goods))
    tap(session, order.batches[0], "finish")
    for step in steps_of(treated=False):
        take_step(session, "Maren", order.number, step, MORNING, f"step {step}")
    with pytest.raises(Refused):
        reopen_order(session, "Maren", order.number, shop, goods, MORNING)


def test_an_order_that_never_was_is_not_opened(session, shop, goods):
    with pytest.raises(NotThere):
        reopen_order(session, "Maren", 12345, shop, goods, MORNING)
