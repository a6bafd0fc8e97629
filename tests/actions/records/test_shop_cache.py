"""The shop and its catalogue are built once for each version of what they come from, never of unsaved changes."""

import pytest
from sqlalchemy import select

from app.actions.records.shop import ShopCache
from app.actions.shop.office import change_settings, change_week
from app.store.models import BalloonTypeRow
from app.store.shop_version import shop_version
from tests.actions.builders import new_design, order_request, take


@pytest.fixture
def cache():
    return ShopCache()


def _load(cache, database):
    with database.reading() as session:
        return cache.load(session)


def _reprice(session, minor=777):
    session.scalars(select(BalloonTypeRow).order_by(BalloonTypeRow.id)).first().price_minor = minor


def test_it_is_built_once(cache, database):
    assert _load(cache, database) is _load(cache, database)


def test_an_order_leaves_it_as_it_is(cache, database):
    first = _load(cache, database)
    with database.writing() as session:
        take(session, order_request(first.catalogue))
    assert _load(cache, database) is first


@pytest.mark.parametrize(
    "change",
    [
        _reprice,
        lambda session: change_settings(session, {"treat_minor": 99}),
        lambda session: change_week(session, {0: (600, 700)}),
        lambda session: new_design(session, ShopCache().load(session).catalogue),
    ],
    ids=["a balloon type", "a setting", "the opening hours", "a design"],
)
def test_a_change_of_what_it_comes_from_builds_it_again(cache, database, change):
    first = _load(cache, database)
    with database.writing() as session:
        change(session)
    second = _load(cache, database)
    assert second.version == first.version + 1
    assert (second.shop, second.catalogue) != (first.shop, first.catalogue)


def test_what_a_session_changed_itself_is_seen_there_and_nowhere_else(cache, database):
    first = _load(cache, database)
    with pytest.raises(LookupError), database.writing() as session:  # noqa: PT012
        _reprice(session)
        inside = cache.load(session)
        assert next(iter(inside.catalogue.balloon_types.values())).price_minor == 777
        assert shop_version(session) is None
        raise LookupError("undone")
    assert _load(cache, database) is first


def test_many_changes_of_one_transaction_are_one_version(database):
    with database.reading() as session:
        before = shop_version(session)
    with database.writing() as session:
        for minor in (1, 2, 3):
            _reprice(session, minor)
            session.flush()
    with database.reading() as session:
        assert shop_version(session) == before + 1
