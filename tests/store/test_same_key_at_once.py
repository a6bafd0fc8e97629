"""A form that is sent twice at one moment: both get the answer of the first, and its content is saved once.

Each press comes from a database opened apart, as from two processes, which have no lock in common.
"""

import shutil
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from sqlalchemy import func, select

from app.actions.bench.taps import Press, TapAction, tap_batch
from app.actions.gas.cylinders import CylinderFigures, add_cylinder
from app.actions.gas.readings import add_reading
from app.actions.money.payments import PaymentInput, add_payment, pay_what_is_due
from app.actions.orders.hand_over import take_step
from app.actions.orders.quick_sale import make_quick_sale
from app.actions.records.catalogue import load_catalogue
from app.actions.rentals.returns import return_all
from app.actions.shop.new_shop import fill_new_shop
from app.actions.shop.office import change_settings
from app.actions.stock.deliveries import add_delivery
from app.actions.stock.lots import Arrival, receive
from app.craft.gas import PressureReading
from app.quoting.request import LineRequest
from app.quoting.states import HandOverStep, PaymentMethod
from app.store.engine import Database
from app.store.migrate import upgrade
from app.store.models import (
    BalloonTypeRow,
    Cylinder,
    CylinderReading,
    Delivery,
    Lot,
    Order,
    OrderBatch,
    Payment,
    RentalReturn,
    Tap,
)
from tests.actions.builders import EIGHT, MORNING, WHO, at, balloon_type_id, ctx, line, order_request, take, tap
from tests.actions.rental_helpers import hand_over, pole, rental
from tests.actions.stock_helpers import balloon_type, lot
from tests.store.conftest import address_of, new_database

ATTEMPTS = 3
"""How often each form is sent twice, since who comes first, and by how much, is a matter of chance."""
NUMBER = 1001
CAME, DUE = MORNING.date() - timedelta(days=9), MORNING.date() + timedelta(days=9)
FIGURES = CylinderFigures("A", 50.0, 200.0, 99.0, CAME)


def _at_eight(session):
    return ctx(session, now=EIGHT)


def _order(session, key):
    return take(session, order_request(load_catalogue(session)), key=key).number


def _order_for_all_hands(session, key):
    """Two of them would not fit: the second must not be refused for want of what the first took."""
    catalogue = load_catalogue(session)
    wanted = order_request(catalogue, line(catalogue, quantity=60), ready_by=at(9, 30))
    return take(session, wanted, key=key).number


def _quick_sale(session, key):
    catalogue = load_catalogue(session)
    return make_quick_sale(_at_eight(session), LineRequest(balloon_type_id(catalogue), None, 3), key).number


def _payment(session, key):
    return add_payment(_at_eight(session), NUMBER, PaymentInput(500), key, seen=0).id


def _due(session, key):
    order = session.scalars(select(Order)).one()
    return pay_what_is_due(_at_eight(session), NUMBER, PaymentMethod.CASH, order.total_minor, key).number


def _tap(session, key):
    return tap_batch(_at_eight(session), f"{NUMBER}-1", Press(TapAction.FILL, key, count=24)).filled


def _step(session, key):
    return take_step(_at_eight(session), NUMBER, HandOverStep.WEIGHTED, key).number


def _lot(session, key):
    arrival = Arrival(balloon_type(load_catalogue(session), "11 in latex"), "red", 50, CAME)
    return receive(_at_eight(session), arrival, key).id


def _delivery(session, key):
    article = balloon_type(load_catalogue(session), "11 in latex")
    return add_delivery(_at_eight(session), article, "red", 2, DUE, key).id


def _cylinder(session, key):
    return add_cylinder(_at_eight(session), FIGURES, key).id


def _reading(session, key):
    cylinder = session.scalars(select(Cylinder)).one()
    return add_reading(_at_eight(session), cylinder.id, PressureReading(150.0, 15.0), key).id


def _return(session, key):
    return return_all(ctx(session, who=WHO, now=at(14)), NUMBER, key).number


def _nothing(_session):
    """What the form needs is in every new shop."""


def _taken(session):
    _order(session, "before")


def _filled(session):
    _taken(session)
    tap(session, session.scalars(select(OrderBatch)).one(), "finish", sure=True)


def _lot_of_24(session):
    lot(session, 24, "red")


def _bought(session):
    _cylinder(session, "before")


def _lent(session):
    lent = {"extras": (rental(pole(session), 2),), "return_by": at(10, days=1)}
    hand_over(session, take(session, order_request(load_catalogue(session), **lent)))


FORMS = {
    "an order": (_nothing, _order, Order),
    "an order for all hands": (_nothing, _order_for_all_hands, Order),
    "an order for all that is in stock": (_lot_of_24, _order, Order),
    "a quick sale": (_nothing, _quick_sale, Order),
    "a payment": (_taken, _payment, Payment),
    "all that is due": (_taken, _due, Payment),
    "a tap": (_taken, _tap, Tap),
    "a step": (_filled, _step, Tap),
    "a lot": (_nothing, _lot, Lot),
    "a delivery": (_nothing, _delivery, Delivery),
    "a cylinder": (_nothing, _cylinder, Cylinder),
    "a reading": (_bought, _reading, CylinderReading),
    "a return": (_lent, _return, RentalReturn),
}
"""What was there before, what the form saves, and where."""


@pytest.fixture(scope="module")
def postgres_shop(postgres_url):
    """A new shop on PostgreSQL: copied for each test, never opened by one."""
    with new_database(postgres_url) as name:
        _fill(address_of(name, postgres_url))
        yield name


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.database)])
def address(request, tmp_path):
    """The address of a new shop on either sort of database."""
    if request.param == "sqlite":
        yield f"sqlite:///{shutil.copy(request.getfixturevalue('shop_file'), tmp_path / 'shop.sqlite')}"
        return
    server, template = request.getfixturevalue("postgres_url"), request.getfixturevalue("postgres_shop")
    with new_database(server, template) as name:
        yield address_of(name, server)


def _fill(url):
    upgrade(url)
    database = Database(url)
    with database.writing() as session:
        fill_new_shop(session)
        change_settings(session, {"zone": "Europe/London", "currency_symbol": "£", "spares_percent": 0})
        for balloon_type in session.scalars(select(BalloonTypeRow)):
            balloon_type.price_minor = round(balloon_type.nominal_in * 10)
    database.engine.dispose()


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("attempt", range(ATTEMPTS))
def test_both_get_the_answer_of_the_first(address, open_store, form, attempt):
    prepare, save, table = FORMS[form]
    stores, together = [open_store(address), open_store(address)], Barrier(2, timeout=20)
    with stores[0].writing() as session:
        prepare(session)
        before = session.scalar(select(func.count()).select_from(table))

    def press(place):
        together.wait()
        with stores[place].writing() as session:
            return save(session, f"form {attempt}")

    with ThreadPoolExecutor(2) as staff:
        answers = list(staff.map(press, range(2)))
    assert answers[0] == answers[1]
    with stores[0].reading() as session:
        saved = session.scalar(select(func.count()).select_from(table)) - before
    assert saved == 1
