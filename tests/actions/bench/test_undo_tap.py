"""Undoing a tap at the bench: what stands is the sum of the others."""

import pytest
from sqlalchemy import select

from app.actions.bench.taps import undo_tap
from app.actions.errors import NotFound
from app.actions.orders.cancel import cancel_order
from app.quoting.errors import Refused
from app.store.models import Counter, Tap
from tests.actions.builders import CALLED_OFF, MORNING, at, ctx, tap


@pytest.fixture
def batch(usual):
    return usual.batches[0]


def _latest(session):
    return session.scalars(select(Tap).order_by(Tap.id.desc())).first()


def test_an_undone_fill_is_to_be_filled_again(session, batch):
    tap(session, batch, "fill", now=at(8), count=10)
    tap(session, batch, "finish", now=at(9))
    undo_tap(ctx(session, who="Isolde", now=at(10)), batch.key, _latest(session).id)
    assert (batch.filled, batch.filled_at, batch.started_at) == (10, None, at(8))
    assert _latest(session).undone_at == at(10)


def test_an_undone_burst_did_not_burst(session, batch):
    tap(session, batch, "burst", colour="red", now=at(8))
    tap(session, batch, "burst", colour="red", now=at(9))
    undo_tap(ctx(session, who="Isolde", now=at(10)), batch.key, _latest(session).id)
    assert batch.bursts == [["red", 1]]


def test_a_batch_without_standing_taps_was_never_started(session, batch):
    tap(session, batch, "start")
    undo_tap(ctx(session, who="Isolde", now=at(8)), batch.key, _latest(session).id)
    assert (batch.started_at, batch.started_as) == (None, None)


def test_an_earlier_tap_can_be_undone_as_well(session, batch):
    tap(session, batch, "fill", now=at(8), count=10)
    first = _latest(session).id
    tap(session, batch, "fill", now=at(9), count=5)
    undo_tap(ctx(session, who="Isolde", now=at(10)), batch.key, first)
    assert (batch.filled, batch.started_at) == (5, at(9))


def test_fills_can_be_undone_although_one_of_them_burst_later(session, batch):
    tap(session, batch, "finish", now=at(8))
    finish = _latest(session).id
    tap(session, batch, "burst", now=at(9), colour="red")
    undo_tap(ctx(session, who="Isolde", now=at(10)), batch.key, finish)
    session.flush()
    assert batch.filled == 0
    tap(session, batch, "fill", now=at(11), count=24)
    assert (batch.filled, batch.filled_at) == (24, at(11))


def test_undoing_twice_is_undoing_once(session, batch):
    tap(session, batch, "fill", count=10)
    first = _latest(session).id
    undo_tap(ctx(session, who="Isolde", now=at(8)), batch.key, first)
    tap(session, batch, "fill", now=at(9), count=7)
    board = session.get(Counter, "board").value
    undo_tap(ctx(session, who="Isolde", now=at(10)), batch.key, first)
    assert batch.filled == 7
    assert session.get(Tap, first).undone_at == at(8)
    assert session.get(Counter, "board").value == board


def test_nothing_is_undone_for_a_cancelled_order(session, batch):
    tap(session, batch, "fill", count=10)
    cancel_order(ctx(session, who="Maren", now=MORNING), batch.order.number, 1, CALLED_OFF)
    with pytest.raises(Refused):
        undo_tap(ctx(session, who="Isolde", now=at(8)), batch.key, _latest(session).id)
    assert batch.filled == 10


def test_there_is_no_undo_of_a_tap_that_never_was(session, batch):
    with pytest.raises(NotFound):
        undo_tap(ctx(session, who="Isolde", now=MORNING), batch.key, 12345)


def test_a_burst_that_was_replaced_is_undone_after_its_replacement(session, batch):
    tap(session, batch, "finish", now=at(8))
    tap(session, batch, "burst", now=at(9), colour="red")
    burst = _latest(session).id
    tap(session, batch, "fill", now=at(10), count=1)
    replacement = _latest(session).id
    with pytest.raises(Refused):
        undo_tap(ctx(session, now=at(11)), batch.key, burst)
    assert batch.filled == 24
    for tap_id in (replacement, burst):
        undo_tap(ctx(session, now=at(11)), batch.key, tap_id)
    assert (batch.filled, batch.bursts) == (24, [])
