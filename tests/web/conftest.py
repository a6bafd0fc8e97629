"""The demo's shop, for tests that read its pages."""

import shutil

import pytest

from app.actions.kept import KeptFindings
from app.actions.records.shop import ShopCache
from tests.conftest import DEMO_NOON, StillClock, open_unsafely


@pytest.fixture
def demo(demo_file, shared_app, tmp_path, monkeypatch):
    """The demo's shop, asked in the middle of its first day."""
    shared_app.database = open_unsafely(shutil.copy(demo_file, tmp_path / "demo.sqlite"))
    shared_app.shop_cache, shared_app.kept = ShopCache(), KeptFindings()
    monkeypatch.setattr("app.web.clock.now", StillClock(DEMO_NOON))
    yield shared_app.test_client()
    shared_app.database.engine.dispose()
