"""Cylinders come, are read, moved and sent back; what cannot be is refused with a sentence."""

import re
from datetime import date

import pytest
from sqlalchemy import select

from app.actions.errors import NotFound
from app.actions.gas.balance import gas_now
from app.actions.gas.cylinders import change_cylinder
from app.actions.gas.moves import READ_IT, bring_back, change_state, send_along
from app.actions.gas.readings import add_reading, undo_reading
from app.actions.records.history import board_version, history_of
from app.craft.gas import PressureReading, usable_litres
from app.quoting.errors import Refused
from app.quoting.states import CylinderState
from app.store.models import CylinderReading
from tests.actions.builders import BENCH_REASON, EIGHT, MORNING, VENUE, WHO, at, ctx, order_request, problems, take
from tests.actions.cylinder_helpers import ROOM_C, cylinder, figures, in_use, read


def venue_order(session, catalogue, key="venue", **changes):
    wanted = VENUE | {"bench_override": BENCH_REASON} | changes
    return take(session, order_request(catalogue, **wanted), key=key)


def test_a_cylinder_that_came_counts_as_full(session, shop):
    row = cylinder(session)
    (one,) = gas_now(ctx(session, shop=shop))
    assert (one.row.id, one.read_at, row.state) == (row.id, None, CylinderState.FULL)
    assert one.left == usable_litres(50, PressureReading(200), shop.stock_defaults.residual_bar, shop.air)


def test_the_same_key_adds_it_once(session, shop):
    assert cylinder(session, "key").id == cylinder(session, "key").id
    assert len(gas_now(ctx(session, shop=shop))) == 1


def test_its_figures_are_put_right(session):
    row = cylinder(session)
    assert change_cylinder(ctx(session), row.id, figures(water_l=40.0)).water_l == 40
    with pytest.raises(NotFound):
        change_cylinder(ctx(session), 99, figures())


def test_two_at_the_shop_do_not_have_one_name(session):
    cylinder(session)
    with pytest.raises(Refused) as refusal:
        cylinder(session, "another")
    assert [*problems(refusal)] == ["name"]
    row = cylinder(session, name="Bo")
    change_state(ctx(session, who=WHO, now=MORNING), row.id, CylinderState.GONE_BACK, None, "gone")
    assert cylinder(session, "Bo again", name="Bo").id != row.id


def test_a_reading_is_noted_once(session):
    row = cylinder(session)
    for _ in range(2):
        read(session, row, 150, EIGHT, key="one")
    assert [(one.bar, one.celsius, one.who) for one in session.scalars(select(CylinderReading))] == [(150, 20, WHO)]


def test_a_gauge_says_at_most_so_much(session):
    """200 bar at 15 °C is 203.5 at 20 °C (Charles, and Z as in craft/gas); 15 % above it is 234."""
    row = cylinder(session)
    read(session, row, 233, EIGHT)
    with pytest.raises(Refused) as refusal:
        read(session, row, 236, EIGHT)
    (sentence,) = problems(refusal)["bar"]
    assert re.findall(r"(\d+) bar", sentence) == ["203", "236"]


def test_it_comes_on_no_later_day(session):
    with pytest.raises(Refused) as refusal:
        cylinder(session, came_on=date(2026, 11, 22))
    assert [*problems(refusal)] == ["came_on"]


def test_more_than_before_is_asked_about_but_not_what_warmth_explains(session):
    """36 bar at 5 °C are 38 at 20 °C (Charles). Within 10 % and within 2 bar nothing is asked."""
    row = in_use(session, bar=36)
    with pytest.raises(Refused) as refusal:
        read(session, row, 50, EIGHT)
    (question,) = problems(refusal)["sure"]
    assert re.findall(r"(\d+) bar", question) == ["36", "50"]
    add_reading(ctx(session, who=WHO, now=EIGHT), row.id, PressureReading(50, ROOM_C), "sure", sure=True)
    read(session, row, 54, EIGHT)
    read(session, row, 1, at(9))
    read(session, row, 3, at(10))
    cold = cylinder(session, name="Bo")
    read(session, cold, 36, EIGHT, celsius=5)
    read(session, cold, 40, at(9))
    with pytest.raises(Refused):
        change_state(
            ctx(session, who=WHO, now=at(10)),
            cold.id,
            CylinderState.IN_USE,
            PressureReading(46, ROOM_C),
            "use Bo",
        )


def test_what_has_gone_back_is_not_read(session):
    row = cylinder(session)
    change_state(ctx(session, who=WHO, now=MORNING), row.id, CylinderState.GONE_BACK, None, "gone")
    with pytest.raises(Refused):
        read(session, row, 100, EIGHT)


def test_an_undone_reading_counts_no_more(session, shop):
    row = in_use(session, bar=150)
    read(session, row, 50, EIGHT)
    latest = session.scalars(select(CylinderReading).order_by(CylinderReading.id.desc())).first()
    for _ in range(2):
        undo_reading(ctx(session, who="Tobiah", now=EIGHT), row.id, latest.id)
    assert (latest.undone_by, latest.undone_at) == ("Tobiah", EIGHT)
    assert gas_now(ctx(session, shop=shop))[0].gauge.bar == 150
    with pytest.raises(NotFound):
        undo_reading(ctx(session, who=WHO, now=EIGHT), cylinder(session, name="Bo").id, latest.id)


def test_into_use_and_out_of_it_only_with_its_gauge(session):
    row = cylinder(session)
    with pytest.raises(Refused) as refusal:
        change_state(ctx(session, who=WHO, now=MORNING), row.id, CylinderState.IN_USE, None, "use")
    assert refusal.value.problems == (READ_IT,)
    change_state(ctx(session, who=WHO, now=MORNING), row.id, CylinderState.IN_USE, PressureReading(200, 20), "use")
    with pytest.raises(Refused):
        change_state(ctx(session, who=WHO, now=EIGHT), row.id, CylinderState.EMPTY, None, "empty")
    change_state(ctx(session, who=WHO, now=EIGHT), row.id, CylinderState.EMPTY, PressureReading(2, 20), "empty")
    assert row.state == CylinderState.EMPTY


def test_a_press_that_comes_again_changes_nothing(session):
    row = in_use(session)
    change_state(ctx(session, who=WHO, now=EIGHT), row.id, CylinderState.FULL, PressureReading(100, 20), "aside")
    change_state(
        ctx(session, who=WHO, now=EIGHT),
        row.id,
        CylinderState.IN_USE,
        PressureReading(150, 20),
        f"use {row.name}",
    )
    assert row.state == CylinderState.FULL


def test_a_cylinder_goes_along_with_a_crew_and_comes_back(session, shop, catalogue):
    order, row = venue_order(session, catalogue), cylinder(session)
    before = board_version(session)
    send_along(ctx(session, who=WHO, now=EIGHT), row.id, order.number, None, "along")
    send_along(ctx(session, who=WHO, now=EIGHT), row.id, order.number, None, "along again")
    assert row.order_id == order.id
    assert board_version(session) > before
    with pytest.raises(Refused):
        bring_back(ctx(session, who=WHO, now=EIGHT), row.id, None, "back")
    bring_back(ctx(session, who=WHO, now=at(18)), row.id, PressureReading(120, 20), "back")
    assert (row.order_id, row.state) == (None, CylinderState.FULL)
    assert gas_now(ctx(session, shop=shop))[0].gauge.bar == 120
    acts = [entry.act for entry in history_of(session, order)]
    assert acts[1:] == ["cylinder Ada goes to the venue", "cylinder Ada is back"]


def test_what_comes_back_with_nothing_is_empty(session, catalogue):
    order, row = venue_order(session, catalogue), cylinder(session)
    send_along(ctx(session, who=WHO, now=EIGHT), row.id, order.number, None, "along")
    assert (
        bring_back(ctx(session, who=WHO, now=at(18)), row.id, PressureReading(0, 20), "back").state
        == CylinderState.EMPTY
    )


def test_what_is_in_use_leaves_only_with_its_gauge(session, catalogue):
    order, row = venue_order(session, catalogue), in_use(session)
    with pytest.raises(Refused):
        send_along(ctx(session, who=WHO, now=EIGHT), row.id, order.number, None, "along")
    send_along(ctx(session, who=WHO, now=EIGHT), row.id, order.number, PressureReading(140, 20), "along")
    assert row.order_id == order.id


def test_it_goes_along_with_no_order_that_is_collected_nor_with_two(session, catalogue):
    row = cylinder(session)
    with pytest.raises(Refused):
        send_along(
            ctx(session, who=WHO, now=EIGHT),
            row.id,
            take(session, order_request(catalogue)).number,
            None,
            "a",
        )
    first, second = (venue_order(session, catalogue, key) for key in ("one", "two"))
    send_along(ctx(session, who=WHO, now=EIGHT), row.id, first.number, None, "b")
    with pytest.raises(Refused) as refusal:
        send_along(ctx(session, who=WHO, now=EIGHT), row.id, second.number, None, "c")
    assert [*problems(refusal)] == ["cylinder"]
    with pytest.raises(Refused):
        change_state(ctx(session, who=WHO, now=EIGHT), row.id, CylinderState.GONE_BACK, None, "gone")
    empty = cylinder(session, name="Bo")
    change_state(ctx(session, who=WHO, now=EIGHT), empty.id, CylinderState.EMPTY, None, "empty")
    with pytest.raises(Refused):
        send_along(ctx(session, who=WHO, now=EIGHT), empty.id, second.number, None, "d")
