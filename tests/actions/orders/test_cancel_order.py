"""Cancelling an order."""

import pytest

from app.actions.errors import ChangedMeanwhile, NotFound
from app.actions.orders.cancel import FEE_OUT_OF_RANGE, NO_REASON, Cancellation, cancel_order, usual_fee
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings
from app.quoting.errors import Refused
from app.quoting.states import CancelReason
from app.store.models import Counter
from tests.actions.builders import ANYWAY, CALLED_OFF, MORNING, at, change, ctx, order_request, problems, tap


def test_it_is_cancelled_with_its_history_and_the_board_learns_of_it(session, order):
    board = session.get(Counter, "board").value
    cancel_order(ctx(session, who="Tobiah", now=at(8)), order.number, 1, CALLED_OFF)
    entry = history_of(session, order)[-1]
    assert (order.state, order.version, entry.act, entry.who) == ("cancelled", 2, "cancelled", "Tobiah")
    session.expire_all()
    assert session.get(Counter, "board").value > board


def test_cancelling_twice_is_cancelling_once(session, order):
    for _ in range(2):
        cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1, CALLED_OFF)
    assert (order.version, len(history_of(session, order))) == (2, 2)


def test_an_order_changed_meanwhile_is_not_cancelled_unseen(session, catalogue, order):
    change(session, order, order_request(catalogue, notes="They want more."))
    with pytest.raises(ChangedMeanwhile) as stale:
        cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1, CALLED_OFF)
    assert len(stale.value.since) == 1
    assert order.state == "open"


def test_an_order_handed_over_is_not_cancelled(session, order):
    tap(session, order.batches[0], "finish")
    for step in steps_of(treated=False):
        take_step(ctx(session, who="Maren", now=MORNING), order.number, step, f"step {step}", sure=ANYWAY)
    with pytest.raises(Refused) as refusal:
        cancel_order(ctx(session, who="Maren", now=MORNING), order.number, order.version, CALLED_OFF)
    assert set(problems(refusal)) == {"order"}


def test_an_order_that_never_was_is_not_cancelled(session):
    with pytest.raises(NotFound):
        cancel_order(ctx(session, who="Maren", now=MORNING), 12345, 1, CALLED_OFF)


def test_the_reason_and_the_fee_are_saved_with_their_moment_and_told_by_the_history(session, order):
    kept = Cancellation(CancelReason.CUSTOMER, " The party moved. ", 660)
    cancel_order(ctx(session, now=at(8)), order.number, 1, kept)
    saved = (order.cancelled_at, order.cancel_reason, order.cancel_fee_minor)
    assert saved == (at(8), "Customer cancelled: The party moved.", 660)
    changes = history_of(session, order)[-1].changes
    assert ["reason for cancelling", "", "Customer cancelled: The party moved."] in changes
    assert ["cancellation fee", "", "6.60"] in changes


@pytest.mark.parametrize(
    ("cancellation", "refused"),
    [
        (Cancellation(CancelReason.OTHER, "  "), {"reason_note": [NO_REASON]}),
        (Cancellation(CancelReason.CUSTOMER, fee_minor=2641), {"fee": [FEE_OUT_OF_RANGE]}),
        (Cancellation(CancelReason.CUSTOMER, fee_minor=-1), {"fee": [FEE_OUT_OF_RANGE]}),
    ],
)
def test_without_a_reason_or_with_a_fee_that_cannot_be_it_stays_open(session, order, cancellation, refused):
    with pytest.raises(Refused) as refusal:
        cancel_order(ctx(session, now=at(8)), order.number, 1, cancellation)
    assert problems(refusal) == refused
    assert (order.state, order.version) == ("open", 1)


@pytest.mark.parametrize("fee", [0, 2640])
def test_a_fee_may_be_nothing_and_the_whole_price(session, order, fee):
    cancel_order(ctx(session), order.number, 1, Cancellation(CancelReason.MISTAKE, fee_minor=fee))
    assert (order.state, order.cancel_fee_minor) == ("cancelled", fee)


@pytest.mark.parametrize(
    ("reason", "fee"),
    [
        (CancelReason.CUSTOMER, 331),
        (CancelReason.OTHER, 331),
        (CancelReason.CANNOT_MAKE, 0),
        (CancelReason.MISTAKE, 0),
    ],
)
def test_the_usual_fee_is_a_share_rounded_half_up_and_nothing_if_it_lies_with_the_shop(session, reason, fee):
    """12.5% of £26.44 is £3.305."""
    assert usual_fee(2644, reason, load_shop(session).pricing) == 0
    change_settings(session, {"cancellation_fee_percent": 12.5})
    assert usual_fee(2644, reason, load_shop(session).pricing) == fee
