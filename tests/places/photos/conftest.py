"""A design, its photo, and an order that may have one."""

import pytest

from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from tests.actions.builders import bouquet
from tests.actions.photographs import photo_of_design, stand_ready


@pytest.fixture
def design(database):
    with database.writing() as session:
        return bouquet(session, load_catalogue(session)).id


@pytest.fixture
def number(usual, database):
    """Of an order that stands ready."""
    with database.writing() as session:
        stand_ready(session, load_order(session, usual))
    return usual


@pytest.fixture
def shown(database, design):
    """A photo of the design: its name."""
    with database.writing() as session:
        return photo_of_design(session, design).key
