"""The flags of open orders say what the sums over their payments and returns say, after each press that changes
them, and after the migration that adds them."""

import random
import shutil

import pytest
from sqlalchemy import case, or_, select

from app.actions.errors import NotFound
from app.actions.money.account import load_account
from app.actions.money.payments import PaymentInput, add_payment, undo_payment
from app.actions.orders.cancel import cancel_order, reopen_order
from app.actions.orders.quick_sale import make_quick_sale, undo_quick_sale
from app.actions.records.catalogue import load_catalogue
from app.actions.rentals.returns import cut_and_bin, return_all, undo_cut_and_bin, undo_return
from app.craft.price import PaymentState
from app.quoting.errors import Refused
from app.quoting.states import HandOverStep, OrderPart, OrderState, PaymentDirection
from app.store.migrate import downgrade, upgrade
from app.store.models import Order, Payment, RentalReturn, Tap
from app.store.open_flags import says_unpaid, says_unreturned
from app.store.queries.order_list import OrderSearch, search_orders
from app.store.queries.rentals import TAKEN_DOWN
from app.web.wording.bill import balance_of_row
from tests.actions.builders import CALLED_OFF, WHO, at, ctx, order_request, take
from tests.actions.rental_helpers import hand_over, pole, rental
from tests.amounts import amount
from tests.conftest import open_unsafely

BEFORE_THE_FLAGS = "f3a86d20b915"
SAID = {Order.unpaid: says_unpaid(), Order.unreturned: says_unreturned()}


def _wrong(session):
    """The numbers of orders of which a flag says another thing than the sums."""
    differs = (flag != case((said, 1), else_=0) for flag, said in SAID.items())
    return session.scalars(select(Order.number).where(or_(*differs))).all()


def _flags(session, number):
    return tuple(session.execute(select(Order.unpaid, Order.unreturned).where(Order.number == number)).one())


def _lent(session, **due):
    """An order with three poles on rental."""
    extras, catalogue = (rental(pole(session), 3),), load_catalogue(session)
    return take(session, order_request(catalogue, extras=extras, **due or {"return_by": at(21)}))


def test_an_order_is_unpaid_until_all_is_paid(session):
    order = take(session, order_request(load_catalogue(session)))
    here, due = ctx(session, who=WHO), order.total_minor
    assert _flags(session, order.number) == (True, False)
    add_payment(here, order.number, PaymentInput(due - 1), "first")
    assert _flags(session, order.number)[0]
    last = add_payment(here, order.number, PaymentInput(1), "last")
    assert not _flags(session, order.number)[0]
    undo_payment(here, order.number, last.id)
    assert _flags(session, order.number)[0]


def test_what_is_lent_is_unreturned_until_it_is_back(session):
    order = _lent(session)
    assert _flags(session, order.number)[1]
    hand_over(session, order)
    here = ctx(session, who=WHO, now=at(18))
    return_all(here, order.number, "back")
    assert not _flags(session, order.number)[1]
    undo_return(here, order.number, session.scalar(select(RentalReturn.id)))
    assert _flags(session, order.number)[1]


def test_a_take_down_is_unreturned_until_the_balloons_are_cut(session):
    order = _lent(session, take_down_at=at(22), address="4 Mill Lane")
    hand_over(session, order)
    here = ctx(session, who=WHO, now=at(22))
    return_all(here, order.number, "back")
    assert _flags(session, order.number)[1]
    cut_and_bin(here, order.number, "cut")
    assert not _flags(session, order.number)[1]
    undo_cut_and_bin(here, order.number, session.scalar(select(Tap.id).where(Tap.act == TAKEN_DOWN)))
    assert _flags(session, order.number)[1]


def test_a_cancelled_order_owes_nothing_and_brings_nothing_back(session):
    order = _lent(session)
    cancel_order(ctx(session), order.number, order.version, CALLED_OFF)
    assert _flags(session, order.number) == (False, False)
    reopen_order(ctx(session), order.number)
    assert _flags(session, order.number) == (True, True)


def _not_made(session, order):
    order.not_made_at = at(8, days=1)
    session.flush()


def test_an_order_that_was_not_made_owes_nothing_until_that_is_undone(session):
    order = take(session, order_request(load_catalogue(session)))
    add_payment(ctx(session), order.number, PaymentInput(500), "deposit")
    _not_made(session, order)
    found = search_orders(session, OrderSearch(), 9)[0]
    assert (_flags(session, order.number), found.due_minor, load_account(session, order).due_minor) == (
        (False, False),
        -500,
        -500,
    )
    assert balance_of_row(found).state is load_account(session, order).owing is PaymentState.TO_REFUND
    order.not_made_at = None
    session.flush()
    assert _flags(session, order.number) == (True, False)
    assert search_orders(session, OrderSearch(), 9)[0].due_minor == order.total_minor - 500


def test_what_was_handed_over_of_an_order_is_paid_though_the_rest_was_not_made(session):
    order = _lent(session)
    due = load_account(session, order).due_minor
    _not_made(session, order)
    assert load_account(session, order).owing is PaymentState.SETTLED
    gone = Tap(
        **{"client_key": "gone", "order_id": order.id, "act": HandOverStep.HANDED_OVER, "part": OrderPart.MAIN},
        **{"colour": "", "count": 0, "at": at(14), "who": WHO},
    )
    session.add(gone)
    session.flush()
    found = search_orders(session, OrderSearch(), 9)[0]
    assert (found.due_minor, load_account(session, order).due_minor) == (due, due)
    assert balance_of_row(found).state is PaymentState.TO_PAY
    assert _flags(session, order.number)[0]


def test_a_sale_owes_nothing_made_or_undone(session):
    catalogue = load_catalogue(session)
    sale = make_quick_sale(ctx(session), order_request(catalogue).lines[0], "sale")
    assert _flags(session, sale.number) == (False, False)
    undo_quick_sale(ctx(session), sale.number)
    assert _flags(session, sale.number) == (False, False)


def _presses(session, dice, number):
    """What somebody may press for an order, wherever it stands: some of it is refused."""
    here, key = ctx(session, now=at(14)), f"press {dice.random()}"
    order = session.scalars(select(Order).where(Order.number == number)).one()
    minor = dice.randrange(1, order.total_minor * 2)
    yield lambda: add_payment(here, number, PaymentInput(minor), key, sure=True)
    yield lambda: add_payment(here, number, PaymentInput(500, rental=True), key, sure=True)
    yield lambda: add_payment(here, number, PaymentInput(minor // 3, direction=PaymentDirection.BACK), key)
    for payment_id in session.scalars(select(Payment.id).where(Payment.order_id == order.id)):
        yield lambda one=payment_id: undo_payment(here, number, one)
    for return_id in session.scalars(select(RentalReturn.id)):
        yield lambda one=return_id: undo_return(here, number, one)
    if order.state == OrderState.OPEN:
        yield lambda: hand_over(session, order, at(14))
    yield lambda: return_all(here, number, key)
    yield lambda: cancel_order(here, number, order.version, CALLED_OFF)
    yield from (lambda: reopen_order(ctx(session), number) for _ in range(4))  # so that it is mostly open


def test_whatever_is_pressed_the_flags_say_what_the_sums_say(session):
    dice, number, seen = random.Random(17), _lent(session).number, set()
    for _ in range(amount(60, deep=600)):
        try:
            with session.begin_nested():
                dice.choice([*_presses(session, dice, number)])()
        except (Refused, NotFound):
            session.expire_all()
        session.flush()
        assert not _wrong(session)
        seen.add(_flags(session, number))
    assert all({*said} == {True, False} for said in zip(*seen, strict=True))


@pytest.fixture
def demo(demo_file, tmp_path):
    file = shutil.copy(demo_file, tmp_path / "demo.sqlite")
    database = open_unsafely(file)
    yield database
    database.engine.dispose()


def test_on_the_demo_the_flags_say_what_the_sums_say_before_and_after_the_migration(demo):
    url = demo.engine.url.render_as_string()

    def flagged():
        with demo.reading() as session:
            assert not _wrong(session)
            return [session.scalars(select(Order.number).where(flag.is_(True))).all() for flag in SAID]

    before = flagged()
    assert all(before)
    demo.engine.dispose()
    downgrade(url, BEFORE_THE_FLAGS)
    upgrade(url)
    assert flagged() == before
