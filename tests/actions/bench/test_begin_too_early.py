"""Beginning a batch before its hour: asked first, and noted with who was sure."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.actions.bench.taps import undo_tap
from app.actions.errors import TooEarly
from app.actions.records.history import history_of
from app.planning.early import Early, EarlyReason
from app.store.models import Counter, Tap
from tests.actions.builders import MORNING, at, ctx, order_request, take, tap
from tests.numbers_in import numbers_in

MINUTE = timedelta(minutes=1)


@pytest.fixture
def batch(session, catalogue):
    """To be up until 20:00, so not to be started before some hour of the morning."""
    batch = take(session, order_request(catalogue, lasts_until=at(20))).batches[0]
    assert at(8) < batch.not_before < batch.inflate_by
    return batch


@pytest.fixture
def hopeless(session, catalogue):
    """To be up until the next evening: no hour is right, the caller's word was taken."""
    batch = take(session, order_request(catalogue, lasts_until=at(20, days=1), accepted_risk="Fine.")).batches[0]
    assert batch.not_before > batch.inflate_by
    return batch


def _taps(session):
    return session.scalar(select(func.count()).select_from(Tap))


def _notes(session, batch):
    return [entry for entry in history_of(session, batch.order) if entry.act == "started too early"]


@pytest.mark.parametrize(("act", "more"), [("start", {}), ("fill", {"count": 5}), ("finish", {})])
def test_it_begins_when_somebody_is_sure_and_the_history_says_who(session, batch, act, more):
    tap(session, batch, act, now=at(8), sure=True, **more)
    assert batch.started_at == at(8)
    (note,) = _notes(session, batch)
    assert (note.who, note.at, note.order_version, batch.order.version) == ("Maren", at(8), 1, 1)
    ((what, planned, started),) = note.changes
    assert batch.key in what
    assert numbers_in(started)[0] < 95 <= numbers_in(planned)[0]


@pytest.mark.parametrize(("act", "more"), [("start", {}), ("fill", {"count": 5}), ("finish", {})])
def test_it_asks_first_and_keeps_nothing(session, batch, act, more):
    board = session.get(Counter, "board").value
    with pytest.raises(TooEarly) as early:
        tap(session, batch, act, now=at(8), **more)
    assert 0 < early.value.chance < 0.95 <= early.value.planned
    assert early.value.planned == pytest.approx(batch.chance)
    assert (batch.started_at, batch.filled, _taps(session), _notes(session, batch)) == (None, 0, 0, [])
    assert session.get(Counter, "board").value == board


def test_it_asks_until_the_minute_of_its_hour(session, batch):
    with pytest.raises(TooEarly):
        tap(session, batch, "start", now=batch.not_before - MINUTE)
    tap(session, batch, "start", now=batch.not_before, sure=True)
    assert batch.started_at == batch.not_before
    assert _notes(session, batch) == []


def test_an_hour_before_the_door_opens_waits_for_the_door(session, catalogue):
    batch = take(session, order_request(catalogue, lasts_until=at(16, 45))).batches[0]
    assert batch.not_before < at(7, 30)
    with pytest.raises(TooEarly) as asked:
        tap(session, batch, "start", now=at(7, 30))
    assert asked.value.early == Early(EarlyReason.CLOSED, at(8), no_earlier=False)
    tap(session, batch, "start", now=at(7, 30), sure=True)
    assert batch.started_at == at(7, 30)
    assert _notes(session, batch) == []  # its balloons last all the same


def test_an_empty_window_asks_until_the_minute_of_the_latest_start(session, hopeless):
    latest = hopeless.inflate_by
    with pytest.raises(TooEarly) as asked:
        tap(session, hopeless, "start", now=latest - timedelta(seconds=1))
    assert asked.value.early == Early(EarlyReason.SINKS, latest, no_earlier=True)
    assert asked.value.chance < asked.value.planned < 0.95
    tap(session, hopeless, "start", now=latest)
    assert hopeless.started_at == latest


def test_a_late_batch_is_not_asked_about(session, hopeless):
    tap(session, hopeless, "start", now=hopeless.inflate_by + MINUTE)
    assert _notes(session, hopeless) == []


def test_once_started_nothing_more_is_asked(session, batch):
    tap(session, batch, "start", now=at(8), sure=True)
    tap(session, batch, "fill", now=at(8, 5), count=5)
    tap(session, batch, "finish", now=at(8, 10))
    assert batch.filled == 24
    assert len(_notes(session, batch)) == 1


def test_the_same_client_key_twice_is_one_note_and_no_question(session, batch):
    tap(session, batch, "start", now=at(8), key="once", sure=True)
    tap(session, batch, "start", now=at(8), key="once")
    assert (_taps(session), len(_notes(session, batch))) == (1, 1)


def test_a_start_taken_back_is_asked_about_again(session, batch):
    tap(session, batch, "start", now=at(8), sure=True)
    undo_tap(ctx(session, who="Isolde", now=at(8)), batch.key, session.scalars(select(Tap.id)).one())
    with pytest.raises(TooEarly):
        tap(session, batch, "start", now=at(8, 5))


def test_air_on_a_base_that_may_be_filled_at_any_time_is_not_asked_about(session, batch):
    batch.not_before = None
    tap(session, batch, "start", now=MORNING)
    assert batch.started_at == MORNING
