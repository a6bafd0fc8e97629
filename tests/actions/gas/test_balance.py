"""What is left: the gauge, less what was filled since by the taps; on which day it runs out."""

from datetime import timedelta

import pytest

from app.actions.bench.taps import undo_tap
from app.actions.gas.balance import gas_now
from app.actions.gas.moves import send_along
from app.actions.gas.outlook import gas_is_short, gas_outlook
from app.actions.orders.quick_sale import make_quick_sale, undo_quick_sale
from app.physics.balloon import Gas
from app.quoting.quote import make_quote
from app.quoting.request import LineRequest, Service
from app.quoting.states import TapAction
from app.store.models import Tap
from tests.actions.builders import (
    EIGHT,
    MORNING,
    WHO,
    at,
    balloon_type_id,
    change_type,
    ctx,
    line,
    order_request,
    take,
    tap,
)
from tests.actions.cylinder_helpers import by_gauge, cylinder, elevens, fill, in_use, left, read
from tests.actions.gas.test_readings import venue_order

SOON = EIGHT + timedelta(minutes=1)


def test_without_a_cylinder_nothing_is_said(session, shop, catalogue):
    assert gas_now(ctx(session, shop=shop)) is None
    assert gas_outlook(ctx(session, shop=shop, now=MORNING)) is None
    assert not gas_is_short(
        ctx(session, shop=shop, now=MORNING), make_quote(order_request(catalogue), shop, catalogue, MORNING)
    )


def test_what_is_filled_after_the_reading_is_taken_off(session, shop, catalogue):
    in_use(session, bar=150)
    fill(session, catalogue, 24)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 24))


def test_a_reading_after_it_counts_alone(session, shop, catalogue):
    row = in_use(session, bar=150)
    fill(session, catalogue, 24)
    read(session, row, 145, SOON)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 145))


def test_what_bursts_while_it_is_filled_took_its_gas_and_what_is_undone_did_not(session, shop, catalogue):
    in_use(session, bar=150)
    batch = take(session, order_request(catalogue)).batches[0]
    tap(session, batch, TapAction.FILL, EIGHT, count=10)
    tap(session, batch, TapAction.BURST, EIGHT, colour="red")
    tap(session, batch, TapAction.FILL, EIGHT, key="slip", count=5)
    slip = session.query(Tap).filter_by(client_key="slip").one()
    undo_tap(ctx(session, who=WHO, now=EIGHT), batch.key, slip.id)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 11))


def test_one_that_bursts_once_filled_is_filled_anew(session, shop, catalogue):
    in_use(session, bar=150)
    batch = take(session, order_request(catalogue, line(catalogue, quantity=4))).batches[0]
    tap(session, batch, TapAction.FINISH, EIGHT)
    tap(session, batch, TapAction.BURST, EIGHT, colour="red")
    tap(session, batch, TapAction.FINISH, EIGHT, key="again")
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 5))


def test_air_takes_no_helium(session, shop, catalogue):
    in_use(session, bar=150)
    order = take(session, order_request(catalogue, line(catalogue, gas=Gas.AIR)))
    tap(session, order.batches[0], TapAction.FINISH, EIGHT)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150))


def test_sales_at_once_and_the_customers_own_foils_take_it(session, shop, catalogue):
    in_use(session, bar=150)
    catalogue = change_type(session, "18 in foil", fill_minor=300)
    own = LineRequest(balloon_type_id(catalogue, "18 in foil"), None, 2, gas=Gas.HELIUM, service=Service.OWN)
    sale = make_quick_sale(ctx(session, who=WHO, shop=shop, catalogue=catalogue, now=EIGHT), own, "sale")
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - 2 * 14)
    undo_quick_sale(ctx(session, who=WHO, now=EIGHT), sale.number)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150))


def test_two_in_use_share_what_is_filled(session, shop, catalogue):
    for name in ("Ada", "Bo"):
        in_use(session, bar=150, name=name)
    fill(session, catalogue, 24)
    half = by_gauge(shop, 150) - elevens(shop, 12)
    assert left(session, shop) == {"Ada": pytest.approx(half), "Bo": pytest.approx(half)}


def test_one_taken_into_use_later_shares_only_what_comes_after(session, shop, catalogue):
    in_use(session, bar=150)
    fill(session, catalogue, 24)
    in_use(session, bar=200, name="Bo", now=SOON)
    assert left(session, shop) == {
        "Ada": pytest.approx(by_gauge(shop, 150) - elevens(shop, 24)),
        "Bo": pytest.approx(by_gauge(shop, 200)),
    }


def test_what_one_cannot_have_held_is_taken_from_the_next(session, shop, catalogue):
    in_use(session, bar=4)
    cylinder(session, name="Bo")
    fill(session, catalogue, 24)
    litres_left = left(session, shop)
    assert litres_left["Ada"] == 0
    assert litres_left["Bo"] == pytest.approx(by_gauge(shop, 200, 15) + by_gauge(shop, 4) - elevens(shop, 24))


def test_at_a_venue_the_cylinders_along_give_it(session, shop, catalogue):
    in_use(session, bar=150)
    along = cylinder(session, name="Bo")
    order = venue_order(session, catalogue)
    send_along(ctx(session, who=WHO, now=EIGHT), along.id, order.number, None, "along")
    tap(session, order.batches[0], TapAction.FINISH, at(12), sure=True)
    litres_left = left(session, shop)
    warmer = (shop.indoors_celsius + 273.15) / (shop.air.celsius + 273.15)
    assert litres_left["Ada"] == pytest.approx(by_gauge(shop, 150))
    assert litres_left["Bo"] == pytest.approx(by_gauge(shop, 200, 15) - elevens(shop, 24) / warmer)
