"""The usual order, taken over the counter once for all tests that begin with it."""

import pytest

from tests.begun import begins_with_presses
from tests.conftest import SATURDAY_MORNING, StillClock
from tests.places.payloads import take


@pytest.fixture(scope="session")
def begin_with_client(shared_app):
    """begin_with_client(database, begin): begin(client), on the tests' morning and in a shop that tests only
    copy."""

    def do(database, begin):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("app.web.clock.now", StillClock(SATURDAY_MORNING))
            shared_app.database = database
            shared_app.forget()
            begin(shared_app.test_client())

    return do


template = begins_with_presses("usual", take)


@pytest.fixture
def usual(client):
    """The number of two dozen 11-inch latex for this afternoon, the only order there is."""
    return 1001


@pytest.fixture
def number(usual):
    return usual
