"""Which cylinder gave the gas of a fill: those in use when it was filled, or those with its order's crew."""

import pytest

from app.actions.gas.balance import gas_now
from app.actions.gas.moves import bring_back, change_state, send_along
from app.actions.gas.readings import undo_reading
from app.actions.gas.reconciliation import GasFinding, compare_used_with_filled
from app.actions.records.history import board_version, history_of
from app.craft.gas import PressureReading
from app.physics.air import Air
from app.quoting.states import CylinderState, TapAction
from app.store.models import CylinderReading
from app.store.queries.gas import all_cylinders, readings
from app.store.queries.gas_filled import filled_since
from tests.actions.builders import EIGHT, MORNING, WHO, at, ctx, line, tap
from tests.actions.cylinder_helpers import ROOM_C, bar_after, by_gauge, cylinder, elevens, fill, in_use, left, read
from tests.actions.gas.test_readings import venue_order


@pytest.fixture
def ada(session):
    """In use and read at nine."""
    return in_use(session, bar=150, now=at(9))


@pytest.fixture
def order(session, catalogue):
    """200 that a crew fills at a hall."""
    return venue_order(session, catalogue, lines=(line(catalogue, quantity=200),))


def at_hall(shop, count):
    """As measured in the shop: the hall is as warm as indoors is taken to be."""
    return elevens(shop, count) * Air(shop.air.celsius, 0).kelvin / Air(shop.indoors_celsius, 0).kelvin


def fill_there(session, order, now, key="there"):
    tap(session, order.batches[0], TapAction.FINISH, now, key, sure=True)


def send(session, row, order, now, gauge=None):
    send_along(ctx(session, who=WHO, now=now), row.id, order.number, gauge, f"{row.name} along {now}")


def back(session, row, bar, now):
    bring_back(ctx(session, who=WHO, now=now), row.id, PressureReading(bar, ROOM_C), f"{row.name} back {now}")


def compared(session, shop, now):
    return compare_used_with_filled(ctx(session, shop=shop, now=now), all_cylinders(session))


def test_what_a_venue_took_is_not_charged_again_once_its_cylinder_is_back(session, shop, order, ada):
    bo = cylinder(session, name="Bo")
    send(session, bo, order, at(13))
    fill_there(session, order, at(14))
    assert left(session, shop)["Bo"] == pytest.approx(by_gauge(shop, 200, 15) - at_hall(shop, 200))
    back(session, bo, 80, at(18))
    assert left(session, shop) == {
        "Ada": pytest.approx(by_gauge(shop, 150)),
        "Bo": pytest.approx(by_gauge(shop, 80)),
    }


def test_what_the_crew_taps_only_when_it_is_back_its_gauge_has_told(session, shop, order, ada):
    bo = cylinder(session, name="Bo")
    send(session, bo, order, at(13))
    back(session, bo, 80, at(18))
    fill_there(session, order, at(18, 10))
    assert left(session, shop) == {
        "Ada": pytest.approx(by_gauge(shop, 150)),
        "Bo": pytest.approx(by_gauge(shop, 80)),
    }


def test_what_was_filled_before_the_crew_took_its_cylinder_is_of_the_bench(session, shop, order, ada):
    fill_there(session, order, at(10))
    send(session, cylinder(session, name="Bo"), order, at(13))
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - at_hall(shop, 200))


def test_while_one_is_away_it_gives_nothing_to_the_bench(session, shop, catalogue, order, ada):
    bo = in_use(session, bar=150, name="Bo", now=at(9))
    send(session, bo, order, at(10), PressureReading(150, ROOM_C))
    fill(session, catalogue, 24, at(11))
    back(session, bo, 150, at(12))
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 24))


def test_one_that_was_read_when_it_came_shares_only_from_when_it_is_in_use(session, shop, catalogue, ada):
    bo = cylinder(session, name="Bo")
    read(session, bo, 200, at(9))
    fill(session, catalogue, 24, at(10))
    change_state(
        ctx(session, who=WHO, now=at(11)),
        bo.id,
        CylinderState.IN_USE,
        PressureReading(200, ROOM_C),
        "into use",
    )
    fill(session, catalogue, 10, at(12), key="both")
    assert left(session, shop) == {
        "Ada": pytest.approx(by_gauge(shop, 150) - elevens(shop, 24 + 5)),
        "Bo": pytest.approx(by_gauge(shop, 200) - elevens(shop, 5)),
    }


@pytest.mark.parametrize("gone_too", [False, True])
def test_what_one_shared_before_it_was_empty_does_not_fall_on_the_other(session, shop, catalogue, ada, gone_too):
    in_use(session, bar=150, name="Bo", now=at(9))
    fill(session, catalogue, 24, at(10))
    change_state(
        ctx(session, who=WHO, now=at(11)), ada.id, CylinderState.EMPTY, PressureReading(3, ROOM_C), "empty"
    )
    if gone_too:
        change_state(ctx(session, who=WHO, now=at(11, 5)), ada.id, CylinderState.GONE_BACK, None, "gone")
    fill(session, catalogue, 10, at(12), key="more")
    assert left(session, shop) == {"Bo": pytest.approx(by_gauge(shop, 150) - elevens(shop, 12 + 10))}


def test_one_read_between_keeps_sharing_before_and_after(session, shop, catalogue, ada):
    in_use(session, bar=150, name="Bo", now=at(9))
    for hour in (10, 12):
        fill(session, catalogue, 10, at(hour), key=f"at {hour}")
        read(session, ada, 140, at(hour + 1))
    assert left(session, shop)["Bo"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 10))


def test_undone_it_never_went_into_use(session, shop, catalogue):
    row = in_use(session, bar=150)
    fill(session, catalogue, 24)
    undo_reading(ctx(session, who=WHO, now=at(9)), row.id, readings(session)[0].id)
    assert row.state == CylinderState.FULL
    assert left(session, shop) == {"Ada": pytest.approx(by_gauge(shop, 200, 15))}


def test_undone_it_never_went_out_of_use(session, shop, catalogue, ada):
    change_state(
        ctx(session, who=WHO, now=at(11)), ada.id, CylinderState.EMPTY, PressureReading(3, ROOM_C), "empty"
    )
    undo_reading(ctx(session, who=WHO, now=at(11, 5)), ada.id, readings(session)[-1].id)
    fill(session, catalogue, 24, at(12))
    assert left(session, shop) == {"Ada": pytest.approx(by_gauge(shop, 150) - elevens(shop, 24))}


def test_an_earlier_reading_undone_or_a_move_without_one_leaves_it_as_it_is(session, ada):
    change_state(
        ctx(session, who=WHO, now=at(11)), ada.id, CylinderState.EMPTY, PressureReading(3, ROOM_C), "empty"
    )
    first, last = readings(session)
    undo_reading(ctx(session, who=WHO, now=at(12)), ada.id, first.id)
    assert ada.state == CylinderState.EMPTY
    change_state(ctx(session, who=WHO, now=at(13)), ada.id, CylinderState.GONE_BACK, None, "gone")
    undo_reading(ctx(session, who=WHO, now=at(14)), ada.id, last.id)
    assert ada.state == CylinderState.GONE_BACK


def test_undone_it_never_went_along_and_its_order_is_told(session, order):
    bo = cylinder(session, name="Bo")
    send(session, bo, order, EIGHT)
    before = board_version(session)
    undo_reading(ctx(session, who=WHO, now=at(9)), bo.id, readings(session)[0].id)
    assert (bo.order_id, bo.state) == (None, CylinderState.FULL)
    assert board_version(session) > before
    assert history_of(session, order)[-1].act == "cylinder Bo does not go to the venue"


def test_undone_it_is_still_with_its_crew(session, order):
    bo = cylinder(session, name="Bo")
    send(session, bo, order, EIGHT)
    back(session, bo, 0, at(9))
    undo_reading(ctx(session, who=WHO, now=at(10)), bo.id, readings(session)[-1].id)
    assert (bo.order_id, bo.state) == (order.id, CylinderState.FULL)
    assert history_of(session, order)[-1].act == "cylinder Bo goes to the venue again"


def test_one_that_was_never_read_goes_along_as_full_and_another_as_it_was_read(session, shop, order):
    ada, bo = cylinder(session), cylinder(session, name="Bo")
    read(session, bo, 90, MORNING)
    for row in (ada, bo):
        send(session, row, order, EIGHT)
    saved = [(one.bar, one.celsius, one.state, one.order_id) for one in readings(session)[1:]]
    assert saved == [(200, 15, CylinderState.FULL, order.id), (90, ROOM_C, CylinderState.FULL, order.id)]
    assert [one.read_at for one in gas_now(ctx(session, shop=shop))] == [EIGHT, EIGHT]


def test_a_press_that_comes_again_later_does_not_send_it_along_again(session, order):
    bo = cylinder(session, name="Bo")
    send(session, bo, order, EIGHT)
    back(session, bo, 80, at(9))
    send(session, bo, order, EIGHT)
    assert bo.order_id is None
    assert session.query(CylinderReading).count() == 2


def test_a_venue_between_two_readings_is_no_wrong_gauge(session, shop, order, ada):
    """Ada gives nothing, and all comes from the full one that went along."""
    bo = cylinder(session, name="Bo")
    send(session, bo, order, at(13))
    fill_there(session, order, at(14))
    read(session, ada, 147, at(15))
    (absences,) = compared(session, shop, at(15))
    assert (absences.finding(0.15), absences.unread) == (GasFinding.INCOMPLETE, ("Bo",))
    back(session, bo, bar_after(shop, 203.5, 200), at(18))
    read(session, ada, 147, at(18, 5))
    (whole,) = compared(session, shop, at(19))
    assert whole.finding(0.15) is GasFinding.MATCHES
    assert whole.names == ("Ada", "Bo")
    assert whole.filled == pytest.approx(at_hall(shop, 200))


def test_what_is_filled_alike_between_two_readings_is_one_row_however_many_orders(session, catalogue, ada):
    for number in range(4):
        fill(session, catalogue, 10, at(10, number), key=f"before {number}")
    read(session, ada, 140, at(11))
    for number in range(3):
        fill(session, catalogue, 10, at(12, number), key=f"after {number}")
    found = [(row.after, row.order_id, row.count) for row in filled_since(session, at(9))]
    assert found == [(at(9), None, 40), (at(11), None, 30)]
