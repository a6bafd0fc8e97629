"""Orders that nobody cancelled and that should have left long ago hold no goods, and are named."""

from datetime import timedelta

import pytest

from app.store.queries.forgotten import forgotten_orders
from app.store.queries.stock import promised_batches, promised_supplies
from tests.actions.builders import (
    BENCH_REASON,
    at,
    balloon_type_id,
    bouquet,
    design_line,
    line,
    order_request,
    take,
    tap,
)

SECOND = timedelta(seconds=1)
LEFT = at(14)


def batches(session, since):
    session.flush()
    return [(row.number, row.balloon_type_id) for row in promised_batches(session, since=since)]


def supplies(session, since):
    session.flush()
    return [row.number for row in promised_supplies(session, since=since)]


@pytest.fixture
def plain(usual):
    """Collected at 14:00."""
    return usual


@pytest.fixture
def sold(session, catalogue):
    """A design, collected at 14:00."""
    return take(session, order_request(catalogue, design_line(bouquet(session, catalogue))), key="key-2")


def test_goods_are_held_until_that_moment(session, plain):
    assert len(batches(session, LEFT - SECOND)) == 1
    assert batches(session, LEFT) == []
    assert forgotten_orders(session, LEFT - SECOND) == []
    assert forgotten_orders(session, LEFT) == [plain.number]


def test_nothing_is_forgotten_unless_one_asks(session, plain, sold):
    assert len(promised_batches(session)) == 3
    assert len(promised_supplies(session)) == 1


def test_what_was_begun_is_held_on(session, plain):
    tap(session, plain.batches[0], "start", now=at(9), sure=True)
    assert len(batches(session, at(0, days=9))) == 1
    assert forgotten_orders(session, at(0, days=9)) == []


def test_supplies_are_held_until_that_moment(session, sold):
    assert supplies(session, LEFT - SECOND) == [sold.number]
    assert supplies(session, LEFT) == []


def test_an_order_of_which_only_supplies_are_forgotten_is_named_too(session, sold):
    for batch in sold.batches:
        tap(session, batch, "finish", now=at(9), sure=True)
    assert batches(session, LEFT) == []
    assert forgotten_orders(session, LEFT - SECOND) == []
    assert forgotten_orders(session, LEFT) == [sold.number]


def test_a_later_part_holds_its_own_and_the_supplies(session, catalogue):
    first = design_line(bouquet(session, catalogue))
    more = line(catalogue, "12 in latex", quantity=2, later=True)
    wanted = order_request(catalogue, first, more, later_at=at(14, 45), bench_override=BENCH_REASON)
    number = take(session, wanted).number
    session.flush()
    assert len(batches(session, LEFT - SECOND)) == 3
    assert batches(session, LEFT) == [(number, balloon_type_id(catalogue, "12 in latex"))]
    assert supplies(session, LEFT) == [number]
    assert forgotten_orders(session, LEFT) == [number]
    assert supplies(session, at(14, 45)) == []


def test_what_is_cancelled_is_not_named(session, plain):
    plain.state = "cancelled"
    session.flush()
    assert forgotten_orders(session, LEFT) == []
