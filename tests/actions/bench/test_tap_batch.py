"""Taps at the bench: start, fill, burst, finish."""

from contextlib import suppress

import pytest
from sqlalchemy import func, select

from app.actions.errors import NotFound
from app.actions.orders.cancel import cancel_order
from app.quoting.errors import Refused
from app.quoting.states import OrderState
from app.store.models import Counter, Tap
from tests.actions.builders import CALLED_OFF, MORNING, at, ctx, line, order_request, problems, take, tap
from tests.numbers_in import numbers_in


@pytest.fixture
def batch(session, catalogue):
    """24 to fill: 14 red, 10 white."""
    return take(session, order_request(catalogue, line(catalogue, colours="14 red, 10 white"))).batches[0]


def _taps(session):
    return session.scalar(select(func.count()).select_from(Tap))


def test_start_marks_when_and_as_what_it_was_started(session, batch):
    tap(session, batch, "start", now=at(8))
    assert batch.started_at == at(8)
    assert batch.started_as == {"colours": [["red", 14], ["white", 10]], "fill_size_in": 11.0}
    assert (batch.filled, batch.filled_at) == (0, None)


def test_fills_add_up_until_the_last_one_fills_the_batch(session, batch):
    tap(session, batch, "fill", now=at(8), count=10)
    assert (batch.filled, batch.filled_at, batch.started_at) == (10, None, at(8))
    tap(session, batch, "fill", now=at(9), count=14)
    assert (batch.filled, batch.filled_at) == (24, at(9))


def test_finish_fills_what_is_left(session, batch):
    tap(session, batch, "fill", now=at(8), count=10)
    tap(session, batch, "finish", now=at(9))
    assert (batch.filled, batch.filled_at) == (24, at(9))


def test_bursts_are_counted_by_colour_and_fill_nothing(session, batch):
    tap(session, batch, "burst", now=at(8), colour="red")
    tap(session, batch, "burst", now=at(9), colour="white")
    tap(session, batch, "burst", now=at(10), colour="red")
    assert batch.bursts == [["red", 2], ["white", 1]]
    assert batch.filled == 0


def test_one_that_bursts_after_all_are_filled_is_to_be_filled_again(session, batch):
    tap(session, batch, "finish", now=at(8))
    tap(session, batch, "burst", now=at(9), colour="white")
    assert (batch.filled, batch.filled_at, batch.bursts) == (23, None, [["white", 1]])
    tap(session, batch, "fill", now=at(10), count=1)
    assert (batch.filled, batch.filled_at) == (24, at(10))


def test_none_is_lost_of_a_batch_of_which_none_is_filled(session, batch):
    with suppress(Refused):
        tap(session, batch, "lose", colour="red")
        session.flush()
    assert batch.filled == 0


@pytest.mark.parametrize("act", ["start", "finish"])
def test_what_a_second_tablet_presses_too_is_not_logged(session, batch, act):
    tap(session, batch, act, now=at(8))
    seen, board = (batch.started_at, batch.filled, batch.filled_at), session.get(Counter, "board").value
    tap(session, batch, act, now=at(12))
    assert (batch.started_at, batch.filled, batch.filled_at) == seen
    assert (_taps(session), session.get(Counter, "board").value) == (1, board)


@pytest.mark.parametrize(
    ("act", "more"), [("start", {}), ("fill", {"count": 5}), ("burst", {"colour": "red"}), ("finish", {})]
)
def test_the_same_client_key_twice_is_one_tap(session, batch, act, more):
    tap(session, batch, act, now=at(8), key="once", **more)
    seen = (batch.filled, batch.bursts, batch.started_at, batch.filled_at)
    board = session.get(Counter, "board").value
    tap(session, batch, act, now=at(9), key="once", **more)
    assert (batch.filled, batch.bursts, batch.started_at, batch.filled_at) == seen
    assert _taps(session) == 1
    assert session.get(Counter, "board").value == board


def test_a_retry_is_no_error_even_when_nothing_is_left_to_fill(session, batch):
    tap(session, batch, "fill", key="once", count=24)
    tap(session, batch, "fill", key="once", count=24)
    assert batch.filled == 24


def test_the_board_learns_of_each_tap(session, batch):
    board = session.get(Counter, "board").value
    tap(session, batch, "start")
    session.expire_all()
    assert session.get(Counter, "board").value == board + 1


@pytest.mark.parametrize("count", [0, -1, 25])
def test_a_count_that_is_not_left_to_fill_is_refused(session, batch, count):
    with pytest.raises(Refused) as refusal:
        tap(session, batch, "fill", count=count)
    (sentence,) = problems(refusal)["count"]
    assert numbers_in(sentence) == [1, 24]
    assert _taps(session) == 0


def test_more_than_what_is_left_is_refused_after_some_are_filled(session, batch):
    tap(session, batch, "fill", count=20)
    with pytest.raises(Refused) as refusal:
        tap(session, batch, "fill", count=5)
    assert numbers_in(problems(refusal)["count"][0]) == [1, 4]


def test_nothing_more_is_filled_when_all_are(session, batch):
    tap(session, batch, "finish")
    with pytest.raises(Refused) as refusal:
        tap(session, batch, "fill", count=1)
    assert len(problems(refusal)["count"]) == 1


@pytest.mark.parametrize("colour", ["green", "", "Red"])
def test_a_colour_that_is_not_in_the_batch_does_not_burst(session, batch, colour):
    with pytest.raises(Refused) as refusal:
        tap(session, batch, "burst", colour=colour)
    assert list(problems(refusal)) == ["colour"]
    assert _taps(session) == 0


def test_a_cancelled_order_is_not_filled(session, batch):
    cancel_order(ctx(session, who="Maren", now=MORNING), batch.order.number, 1, CALLED_OFF)
    for act in ("start", "fill", "burst", "finish"):
        with pytest.raises(Refused) as refusal:
            tap(session, batch, act, count=1, colour="red")
        (told,) = problems(refusal)["tap"]
        assert OrderState.CANCELLED in told
        assert numbers_in(told) == [batch.order.number]
    assert _taps(session) == 0


def test_there_is_no_tap_on_a_batch_that_never_was(session, batch):
    batch.key = "999-1"
    with pytest.raises(NotFound):
        tap(session, type(batch)(key="12345-1"), "start")
