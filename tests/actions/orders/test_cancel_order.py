"""Cancelling an order."""

import pytest

from app.actions.errors import ChangedMeanwhile, NotFound
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.store.models import Counter
from tests.actions.builders import MORNING, at, change, ctx, order_request, problems, tap


def test_it_is_cancelled_with_its_history_and_the_board_learns_of_it(session, order):
    board = session.get(Counter, "board").value
    cancel_order(ctx(session, who="Tobiah", now=at(8)), order.number, 1)
    entry = history_of(session, order)[-1]
    assert (order.state, order.version, entry.act, entry.who) == ("cancelled", 2, "cancelled", "Tobiah")
    session.expire_all()
    assert session.get(Counter, "board").value > board


def test_cancelling_twice_is_cancelling_once(session, order):
    for _ in range(2):
        cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1)
    assert (order.version, len(history_of(session, order))) == (2, 2)


def test_an_order_changed_meanwhile_is_not_cancelled_unseen(session, catalogue, order):
    change(session, order, order_request(catalogue, notes="They want more."))
    with pytest.raises(ChangedMeanwhile) as stale:
        cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1)
    assert len(stale.value.since) == 1
    assert order.state == "open"


def test_an_order_handed_over_is_not_cancelled(session, order):
    tap(session, order.batches[0], "finish")
    for step in steps_of(treated=False):
        take_step(ctx(session, who="Maren", now=MORNING), order.number, step, f"step {step}")
    with pytest.raises(Refused) as refusal:
        cancel_order(ctx(session, who="Maren", now=MORNING), order.number, order.version)
    assert set(problems(refusal)) == {"order"}


def test_an_order_that_never_was_is_not_cancelled(session):
    with pytest.raises(NotFound):
        cancel_order(ctx(session, who="Maren", now=MORNING), 12345, 1)
