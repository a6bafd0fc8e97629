"""How long a batch that was started counts as being filled."""

from datetime import UTC, datetime, timedelta

import pytest

from app.planning.going_on import GoingOn, going_on

TEN = datetime(2026, 11, 21, 10, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
WAIT = 40 * MINUTE


@pytest.mark.parametrize(
    ("burst", "since", "until"),
    [(None, 0, 40), (-5, 0, 40), (30, 0, 70), (40, 40, 80), (90, 90, 130)],
    ids=["no burst", "before it", "while it goes on", "when it is idle", "long after"],
)
def test_it_goes_on_for_the_wait_after_its_last_tap_and_a_burst_is_no_progress(burst, since, until):
    last_burst = None if burst is None else TEN + burst * MINUTE
    assert going_on(TEN, last_burst, WAIT) == GoingOn(TEN + since * MINUTE, TEN + until * MINUTE)


def test_what_was_not_started_or_was_stopped_does_not_go_on():
    assert going_on(None, TEN, WAIT) is None
