"""A shop with one order in a file that no program has open, and a backup of it."""

from pathlib import Path

import pytest

from app.store.backup import make_backup
from tests.actions.builders import MORNING
from tests.actions.shop.restore_helpers import take_order_in


@pytest.fixture
def file(database):
    """The file of a shop with one order, which no program has open."""
    take_order_in(database, "first")
    database.engine.dispose()
    return Path(database.engine.url.database)


@pytest.fixture
def url(file):
    return f"sqlite:///{file}"


@pytest.fixture
def backup(file, tmp_path):
    return make_backup(file, tmp_path / "stick", MORNING).file
