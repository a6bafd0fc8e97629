"""Cylinders, readings, and what is left of the helium, on PostgreSQL as on SQLite."""

import pytest

from app.actions.gas.balance import gas_now
from app.actions.gas.cylinders import load_cylinder
from app.actions.gas.moves import bring_back, change_state, send_along
from app.actions.gas.outlook import gas_is_short, gas_outlook
from app.actions.gas.reconciliation import GasFinding, compare_used_with_filled
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.new_shop import fill_new_shop
from app.craft.gas import PressureReading
from app.quoting.quote import make_quote
from app.quoting.states import CylinderState, TapAction
from app.store.engine import Database
from app.store.migrate import upgrade
from app.store.queries.gas import all_cylinders, helium_balloon_types
from tests.actions.builders import EIGHT, MORNING, WHO, at, ctx, line, order_request, take, tap
from tests.actions.cylinder_helpers import by_gauge, cylinder, elevens, in_use, left, read
from tests.actions.gas.test_readings import venue_order
from tests.store.conftest import address_of, new_database

pytestmark = pytest.mark.database


@pytest.fixture
def store(postgres_url):
    with new_database(postgres_url) as name:
        url = address_of(name, postgres_url)
        upgrade(url)
        store = Database(url)
        with store.writing() as session:
            fill_new_shop(session)
        yield store
        store.engine.dispose()


def test_what_is_left_when_it_runs_out_and_what_was_used(store):
    with store.writing() as session:
        catalogue = load_catalogue(session)
        row = in_use(session, bar=30)
        cylinder(session, name="Bo", water_l=2.0, full_bar=5.0)
        order = take(session, order_request(catalogue, bench_override="They come by turns."))
        tap(session, order.batches[0], TapAction.FILL, EIGHT, count=20, sure=True)
        read(session, row, 20, at(9))
        tap(session, order.batches[0], TapAction.FILL, at(10), key="more", count=2, sure=True)
        take(session, order_request(catalogue, bench_override="They come by turns."), key="key-2")
    with store.reading() as session:
        shop, catalogue = load_shop(session), load_catalogue(session)
        ada, bo = gas_now(ctx(session, shop=shop))
        assert (ada.row.name, bo.read_at) == ("Ada", None)
        assert ada.filled == pytest.approx(elevens(shop, 2))
        asked = make_quote(order_request(catalogue, line(catalogue, quantity=60)), shop, catalogue, MORNING)
        assert gas_outlook(ctx(session, shop=shop, now=MORNING), asked).short.day == MORNING.date()
        assert gas_is_short(ctx(session, shop=shop, now=MORNING), asked)
        (one,) = compare_used_with_filled(ctx(session, shop=shop, now=at(20)), all_cylinders(session))
        assert one.finding(0.15) is GasFinding.MORE_USED
        assert "11 in latex" in [balloon_type.name for balloon_type in helium_balloon_types(session)]


def test_a_cylinder_that_another_counter_moved_meanwhile_is_held_as_it_is_now(store):
    with store.writing() as session:
        number = cylinder(session).id
    other = Database(store.engine.url.render_as_string(hide_password=False))
    with store.writing() as here:
        row = load_cylinder(here, number)
        assert row.state == CylinderState.FULL
        with other.writing() as other_session:
            change_state(
                ctx(other_session, who=WHO, now=MORNING), number, CylinderState.IN_USE, PressureReading(200), "use"
            )
        assert load_cylinder(here, number, to_change=True) is row
        assert row.state == CylinderState.IN_USE
    other.engine.dispose()


def test_what_a_crew_took_along_is_not_charged_twice(store):
    with store.writing() as session:
        shop, catalogue = load_shop(session), load_catalogue(session)
        in_use(session, bar=150)
        bo, order = cylinder(session, name="Bo"), venue_order(session, catalogue)
        send_along(ctx(session, who=WHO, now=EIGHT), bo.id, order.number, None, "along")
        tap(session, order.batches[0], TapAction.FINISH, at(12), sure=True)
        assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150))
        bring_back(ctx(session, who=WHO, now=at(18)), bo.id, PressureReading(180, 20), "back")
    with store.reading() as session:
        assert left(session, shop) == {
            "Ada": pytest.approx(by_gauge(shop, 150)),
            "Bo": pytest.approx(by_gauge(shop, 180)),
        }
