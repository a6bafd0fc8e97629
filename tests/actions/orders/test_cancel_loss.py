"""What a cancellation loses: what is filled, with its helium; the rest stays in stock."""

import pytest

from app.actions.orders.cancel_loss import loss_if_cancelled
from app.physics.balloon import Gas
from app.quoting.request import Service
from tests.actions.builders import at, line, order_request, take, tap

LITRES_11 = 11.8
"""Into an 11-inch, with the pressure inside: computed."""


@pytest.fixture
def order(session, catalogue):
    lines = (line(catalogue), line(catalogue, "12 in latex", quantity=6, gas=Gas.AIR))
    return take(session, order_request(catalogue, *lines))


def _of(order, shop, catalogue):
    return loss_if_cancelled(order, shop, catalogue)


def test_before_anything_is_filled_nothing_is_lost(order, shop, catalogue):
    assert _of(order, shop, catalogue) is None


def test_what_is_filled_is_lost_with_its_helium_and_the_rest_goes_back(session, order, shop, catalogue):
    tap(session, order.batches[0], "fill", now=at(8), count=10)
    loss = _of(order, shop, catalogue)
    assert loss.lost == (("11 in latex", 10),)
    assert loss.kept == (("11 in latex", 14), ("12 in latex", 6))
    assert loss.litres == pytest.approx(10 * LITRES_11, rel=0.01)


def test_of_what_is_filled_with_air_no_helium_is_lost(session, order, shop, catalogue):
    tap(session, order.batches[1], "finish", now=at(8))
    loss = _of(order, shop, catalogue)
    assert (loss.lost, loss.kept, loss.litres) == ((("12 in latex", 6),), (("11 in latex", 24),), 0.0)


def test_balloons_that_the_customer_brought_cost_helium_only(session, shop, catalogue):
    own = line(catalogue, "18 in foil", quantity=2, service=Service.OWN, colours="gold")
    order = take(session, order_request(catalogue, own))
    tap(session, order.batches[0], "finish", now=at(8))
    loss = _of(order, shop, catalogue)
    assert (loss.lost, loss.kept) == ((), ())
    assert 20 < loss.litres < 30
