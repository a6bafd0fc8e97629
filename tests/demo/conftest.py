"""The demo with its year, made once for all tests of this folder."""

import shutil
from collections import defaultdict

import pytest
from sqlalchemy import select

import seed_demo
from app.store.models import (
    Order,
    Tap,
)
from tests.conftest import DEMO_NOON, open_unsafely

DAYS = 365
OF_YEAR = Order.client_key.like("year %")


@pytest.fixture(scope="session")
def year_file(shop_file, tmp_path_factory):
    """The demo with its year, in a file that nothing is written to."""
    file = shutil.copy(shop_file, tmp_path_factory.mktemp("year") / "demo.sqlite")
    database = open_unsafely(file)
    with database.writing() as session:
        seed_demo.fill_shop(session, DEMO_NOON, DAYS)
    database.engine.dispose()
    return file


@pytest.fixture
def made(year_file):
    """A session on the demo with its year."""
    database = open_unsafely(year_file)
    with database.reading() as session:
        yield session
    database.engine.dispose()


@pytest.fixture
def orders(made):
    """The orders of the year, in the order of their numbers."""
    return made.scalars(select(Order).where(OF_YEAR).order_by(Order.number)).all()


@pytest.fixture
def taps(made):
    """The taps, by order, in their order."""
    found = defaultdict(list)
    for tap in made.scalars(select(Tap).order_by(Tap.id)):
        found[tap.order_id].append(tap)
    return found
