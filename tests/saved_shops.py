"""A shop and its catalogue as they are saved, for tests that ask for them again and again."""

from weakref import WeakKeyDictionary

from app.actions.records.shop import ShopCache

_caches = WeakKeyDictionary()
"""By the connections of a database."""


def begin_with(database, cache):
    """Its shop is the one of this cache, until a change raises its version."""
    _caches[database.engine.pool] = cache


def saved_shop(session):
    """Shop and catalogue as this session sees them."""
    return _caches.setdefault(session.get_bind().pool, ShopCache()).load(session)
