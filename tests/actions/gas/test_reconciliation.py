"""What the gauges say was used against what was filled: a leak shows, and so does a wrong gauge."""

from datetime import timedelta

import pytest

from app.actions.gas.moves import change_state
from app.actions.gas.readings import undo_reading
from app.actions.gas.reconciliation import GasFinding, compare_used_with_filled
from app.craft.gas import PressureReading
from app.quoting.states import CylinderState
from app.store.queries.gas import all_cylinders, readings
from tests.actions.builders import BENCH_REASON, MORNING, WHO, at, ctx
from tests.actions.cylinder_helpers import bar_after, cylinder, elevens, fill, in_use, read

TOLERANCE = 0.15


def found(session, shop):
    """Findings, the oldest first."""
    periods = compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session))
    return [one.finding(TOLERANCE) for one in reversed(periods)]


@pytest.fixture
def filled(session, catalogue):
    """100 balloons between seven and nine: about 1180 L."""
    row = in_use(session, bar=150)
    fill(session, catalogue, 100, at(8), bench_override=BENCH_REASON)
    return row


def test_one_reading_shows_nothing(session, shop, filled):
    assert compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session)) == []


def test_a_gauge_that_fell_by_what_was_filled_is_as_it_should_be(session, shop, filled):
    read(session, filled, bar_after(shop, 150, 100), at(9))
    (one,) = compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session))
    assert one.used == pytest.approx(one.filled, rel=1e-6)
    assert one.filled == pytest.approx(elevens(shop, 100))
    assert (one.starts, one.ends, one.names) == (MORNING, at(9), ("Ada",))
    assert one.finding(TOLERANCE) is GasFinding.MATCHES


def test_more_used_than_filled_is_told(session, shop, filled):
    read(session, filled, bar_after(shop, 150, 130), at(9))
    assert found(session, shop) == [GasFinding.MORE_USED]


def test_less_used_than_filled_is_told(session, shop, filled):
    read(session, filled, bar_after(shop, 150, 70), at(9))
    assert found(session, shop) == [GasFinding.LESS_USED]


def test_within_the_tolerance_or_what_a_gauge_can_show_nothing_is_told(session, shop, filled):
    read(session, filled, bar_after(shop, 150, 110), at(9))
    read(session, filled, bar_after(shop, 150, 115), at(10))
    assert found(session, shop) == [GasFinding.MATCHES, GasFinding.MATCHES]


def test_each_period_is_told_by_itself_the_latest_first(session, shop, filled):
    after = bar_after(shop, 150, 100)
    read(session, filled, after, at(9))
    read(session, filled, after - 20, at(18))
    first, second = reversed(compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session)))
    assert (first.ends, second.starts) == (at(9), at(9))
    assert [first.finding(TOLERANCE), second.finding(TOLERANCE)] == [GasFinding.MATCHES, GasFinding.MORE_USED]
    assert second.filled == 0


def test_two_in_use_are_compared_together(session, shop, catalogue):
    """Ada gives three quarters and Bo the rest, their gauges read ten minutes apart."""
    ada, bo = in_use(session, bar=150), in_use(session, bar=150, name="Bo", now=MORNING + timedelta(minutes=10))
    fill(session, catalogue, 100, at(8), bench_override=BENCH_REASON)
    read(session, ada, bar_after(shop, 150, 75), at(9))
    read(session, bo, bar_after(shop, 150, 25), at(9, 10))
    fill(session, catalogue, 40, at(10), key="more", bench_override=BENCH_REASON)
    read(session, ada, bar_after(shop, 150, 95), at(11, 10))
    read(session, bo, bar_after(shop, 150, 45), at(11))
    periods = list(reversed(compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session))))
    assert [one.names for one in periods] == [("Ada", "Bo"), ("Ada", "Bo")]
    assert [one.filled for one in periods] == [
        pytest.approx(elevens(shop, 100)),
        pytest.approx(elevens(shop, 40)),
    ]
    assert [one.used for one in periods] == [pytest.approx(one.filled, rel=1e-6) for one in periods]


def test_one_that_was_not_read_is_waited_for(session, shop, filled):
    bo = in_use(session, bar=150, name="Bo")
    read(session, filled, bar_after(shop, 150, 50), at(9))
    (one,) = compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session))
    assert one.finding(TOLERANCE) is GasFinding.INCOMPLETE
    assert one.unread == ("Bo",)
    read(session, bo, bar_after(shop, 150, 50), at(9, 5))
    assert found(session, shop) == [GasFinding.MATCHES]


def test_one_that_stood_by_does_not_blur_what_the_other_shows(session, shop, filled):
    spare = cylinder(session, name="Bo")
    read(session, spare, 200, MORNING)
    read(session, filled, bar_after(shop, 150, 100), at(9))
    read(session, filled, bar_after(shop, 150, 140), at(12))
    read(session, spare, 200, at(18))
    assert found(session, shop) == [GasFinding.MATCHES, GasFinding.MORE_USED]


def test_a_stuck_gauge_shows(session, shop, filled):
    read(session, filled, 150, at(9))
    assert found(session, shop) == [GasFinding.LESS_USED]


def test_a_cylinder_that_is_emptied_and_the_next_one_are_one_story(session, shop, catalogue):
    ada = in_use(session, bar=30)
    fill(session, catalogue, 100, at(8), bench_override=BENCH_REASON)
    change_state(
        ctx(session, who=WHO, now=at(9)),
        ada.id,
        CylinderState.EMPTY,
        PressureReading(bar_after(shop, 30, 100), 20),
        "empty",
    )
    bo = in_use(session, bar=200, name="Bo", now=at(9))
    fill(session, catalogue, 50, at(10), key="more", bench_override=BENCH_REASON)
    read(session, bo, bar_after(shop, 200, 50), at(12))
    assert found(session, shop) == [GasFinding.MATCHES, GasFinding.MATCHES]


def test_an_undone_reading_is_no_end_of_a_period(session, shop, filled):
    read(session, filled, 10, at(8, 30))
    undo_reading(ctx(session, who=WHO, now=at(8, 31)), filled.id, readings(session)[-1].id)
    read(session, filled, bar_after(shop, 150, 100), at(9))
    assert found(session, shop) == [GasFinding.MATCHES]


def test_a_gauge_that_is_read_twice_at_once_is_read_once(session, shop, filled):
    """The second look, four minutes later, counts; after an hour it is another round."""
    read(session, filled, 20, at(9))
    read(session, filled, bar_after(shop, 150, 100), at(9, 4), key="again", sure=True)
    (one,) = compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session))
    assert (one.starts, one.ends) == (MORNING, at(9, 4))
    assert one.used == pytest.approx(one.filled, rel=1e-6)
    read(session, filled, bar_after(shop, 150, 100), at(10, 4))
    assert len(found(session, shop)) == 2
