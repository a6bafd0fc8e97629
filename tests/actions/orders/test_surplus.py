"""Filled balloons that a changed order no longer needs: asked about, saved in the history and in stock."""

from datetime import date

import pytest
from sqlalchemy import select

from app.actions.bench.taps import NOT_AT_THE_BENCH, Press, tap_batch
from app.actions.orders.surplus import NO_FATE
from app.actions.orders.take import change_order
from app.actions.records.history import history_of
from app.actions.stock.articles import Article
from app.actions.stock.lots import Arrival, receive
from app.quoting.errors import Refused
from app.quoting.states import FilledFate, TapAction
from app.store.models import StockMove
from tests.actions.builders import at, balloon_type_id, ctx, line, order_request, take

FEWER = 20


@pytest.fixture
def lot(session, catalogue):
    article = Article(balloon_type_id=balloon_type_id(catalogue))
    return receive(ctx(session), Arrival(article, "red", 100.0, date(2026, 11, 20)), "lot-1")


@pytest.fixture
def filled(session, catalogue, lot):
    """An order of 24, all filled."""
    order = take(session, order_request(catalogue))
    return _tap(session, order, TapAction.FINISH)


def _tap(session, order, act, count=0):
    press = Press(act, f"{order.number} {act} {count}", count=count, sure=True)
    tap_batch(ctx(session, now=at(12)), order.batches[0].key, press)
    return order


def _change(session, catalogue, order, fate, *lines):
    request = order_request(catalogue, *(lines or (line(catalogue, quantity=FEWER),)))
    return change_order(ctx(session, now=at(12, 30)), order.number, order.version, request, fate)


def _moves(session):
    """What is gone from the shelf, by reason."""
    gone = {}
    for move in session.scalars(select(StockMove).where(StockMove.batch_id.is_not(None))):
        gone[move.sort] = gone.get(move.sort, 0) - move.change
    return gone


def test_fewer_than_are_filled_is_asked_about_and_saves_nothing(session, catalogue, filled):
    with pytest.raises(Refused) as refusal:
        _change(session, catalogue, filled, None)
    assert refusal.value.problems == (NO_FATE,)
    assert (filled.version, filled.batches[0].quantity) == (1, 24)


@pytest.mark.parametrize(
    ("fate", "filled_now", "bursts", "gone", "on_hand"),
    [
        (FilledFate.SPARES, 24, [], {"filled": 24}, 76),
        (FilledFate.STOCK, 20, [], {"filled": 20}, 80),
        (FilledFate.LOST, 20, [["red", 4]], {"filled": 20, "burst": 4}, 76),
    ],
)
def test_what_was_chosen_is_in_the_batch_in_stock_and_in_the_history(
    session, catalogue, lot, filled, fate, filled_now, bursts, gone, on_hand
):
    _change(session, catalogue, filled, fate)
    (batch,) = filled.batches
    assert (batch.quantity, batch.filled, batch.bursts) == (20, filled_now, bursts)
    assert batch.filled_at is not None
    assert (_moves(session), lot.on_hand) == (gone, on_hand)
    what, was, now = history_of(session, filled)[-1].changes[-1]
    assert (what, was) == (f"filled of {batch.key}", "24")
    assert now.startswith("20, 4 ")


def test_a_line_that_is_removed_leaves_over_all_that_was_filled(session, catalogue, lot):
    order = _tap(session, take(session, order_request(catalogue)), TapAction.FILL, 7)
    other = line(catalogue, "12 in latex", quantity=5)
    with pytest.raises(Refused):
        _change(session, catalogue, order, None, other)
    _change(session, catalogue, order, FilledFate.STOCK, other)
    assert (order.batches[0].quantity, order.batches[0].filled, lot.on_hand) == (0, 0, 100)


def test_nothing_is_asked_where_no_more_is_filled_than_is_needed(session, catalogue, lot):
    order = _tap(session, take(session, order_request(catalogue)), TapAction.FILL, FEWER)
    _change(session, catalogue, order, None)
    assert (order.batches[0].filled, lot.on_hand) == (FEWER, 80)


def test_spares_are_not_asked_about_again_and_count_when_the_order_grows(session, catalogue, lot, filled):
    _change(session, catalogue, filled, FilledFate.SPARES)
    _change(session, catalogue, filled, None, line(catalogue, quantity=FEWER, hung_g=0.0))
    _change(session, catalogue, filled, None, line(catalogue, quantity=22))
    assert (filled.batches[0].quantity, filled.batches[0].filled) == (22, 24)
    _change(session, catalogue, filled, None, line(catalogue, quantity=26))
    assert (filled.batches[0].filled, filled.batches[0].filled_at) == (24, None)


def test_the_colour_that_is_no_longer_wanted_is_the_lost_one(session, catalogue):
    two = line(catalogue, quantity=24, colours="14 red, 10 gold")
    order = _tap(session, take(session, order_request(catalogue, two)), TapAction.FINISH)
    _change(session, catalogue, order, FilledFate.LOST, line(catalogue, quantity=20, colours="14 red, 6 gold"))
    assert order.batches[0].bursts == [["gold", 4]]


def test_nobody_puts_back_at_the_bench(session, filled):
    with pytest.raises(Refused) as refusal:
        _tap(session, filled, TapAction.PUT_BACK, 1)
    assert refusal.value.problems[0].sentence == NOT_AT_THE_BENCH
