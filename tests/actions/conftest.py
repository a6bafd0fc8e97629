"""The usual order, taken once for all tests that begin with it."""

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.store.models import Order
from tests.actions.builders import order_request, take
from tests.begun import begins_with


def _take_usual(database):
    with database.writing() as session:
        take(session, order_request(load_catalogue(session)))


template = begins_with("usual", _take_usual)


@pytest.fixture
def usual(session):
    """Two dozen red 11-inch latex for this afternoon, the only order there is."""
    return session.scalars(select(Order)).one()


@pytest.fixture
def order(usual):
    return usual
