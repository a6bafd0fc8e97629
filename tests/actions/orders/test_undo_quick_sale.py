"""A sale that was a mistake: undone, it was never filled, and its history says so."""

import pytest
from sqlalchemy import select

from app.actions.errors import NotFound
from app.actions.orders.cancel import reopen_order
from app.actions.orders.hand_over import undo_step
from app.actions.orders.quick_sale import undo_quick_sale
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.quoting.request import LineRequest, Service
from app.store.models import Tap
from app.store.queries.bench import batches_of_day
from app.store.queries.pickups import pickups_of_day
from app.store.queries.review import completed
from app.store.queries.sales import one_quick_sale, quick_sales_between
from tests.actions.builders import at, balloon_type_id, ctx, problems
from tests.actions.orders.test_quick_sale import DAY, NOON, sell


@pytest.fixture
def sold(session, catalogue):
    return sell(session, LineRequest(balloon_type_id(catalogue), None, 3))


def _undo(session, order, now=None):
    return undo_quick_sale(ctx(session, who="Isolde", now=now or at(12, 5)), order.number)


def test_it_is_cancelled_and_the_history_tells_who(session, sold):
    _undo(session, sold)
    assert (sold.state, sold.version) == ("cancelled", 2)
    last = history_of(session, sold)[-1]
    assert (last.who, last.act, last.at) == ("Isolde", "sale undone", at(12, 5))


def test_nothing_counts_as_filled_for_it(session, sold):
    _undo(session, sold)
    (batch,) = sold.batches
    assert (batch.filled, batch.filled_at, batch.started_at) == (0, None, None)
    assert all(tap.undone_by == "Isolde" for tap in session.scalars(select(Tap)))
    assert completed(session, *DAY) == []
    assert batches_of_day(session, *DAY, is_today=True) == []
    assert pickups_of_day(session, *DAY, is_today=True) == []


def test_it_stays_among_the_days_sales(session, sold):
    _undo(session, sold)
    (row,) = quick_sales_between(session, *DAY)
    assert (row.number, row.at, row.is_undone) == (sold.number, NOON, True)
    assert one_quick_sale(session, sold.number) == row


def test_a_top_up_is_taken_back_too(session, catalogue):
    order = sell(session, LineRequest(balloon_type_id(catalogue, "18 in foil"), None, 1, service=Service.TOP_UP))
    assert _undo(session, order).state == "cancelled"


def test_a_second_press_changes_nothing(session, sold):
    _undo(session, sold)
    _undo(session, sold, now=at(13))
    assert sold.version == 2
    assert [entry.act for entry in history_of(session, sold)].count("sale undone") == 1


def test_an_order_that_was_not_sold_over_the_counter_is_left_alone(session, order):
    with pytest.raises(Refused) as refusal:
        _undo(session, order)
    assert set(problems(refusal)) == {"order"}
    assert order.state == "open"
    assert one_quick_sale(session, order.number) is None


def test_a_sale_that_never_was_is_not_there(session):
    with pytest.raises(NotFound):
        undo_quick_sale(ctx(session, who="Isolde", now=NOON), 999)


def test_the_key_of_a_sale_that_was_undone_sells_nothing(session, sold, catalogue):
    _undo(session, sold)
    with pytest.raises(Refused) as refusal:
        sell(session, LineRequest(balloon_type_id(catalogue), None, 3))
    assert str(sold.number) in problems(refusal)["order"][0]


def test_a_sale_that_was_undone_is_not_reopened(session, shop, catalogue, sold):
    _undo(session, sold)
    with pytest.raises(Refused) as refusal:
        reopen_order(ctx(session, who="Isolde", shop=shop, catalogue=catalogue, now=at(13)), sold.number)
    assert set(problems(refusal)) == {"order"}
    assert sold.state == "cancelled"


def test_its_hand_over_is_not_undone_at_the_pick_ups(session, sold):
    handed = session.scalars(select(Tap).where(Tap.act == "handed over")).one()
    with pytest.raises(Refused) as refusal:
        undo_step(ctx(session, who="Isolde", now=at(13)), sold.number, handed.id)
    assert set(problems(refusal)) == {"step"}
    assert handed.undone_at is None
