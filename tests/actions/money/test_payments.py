"""Money noted after an order is taken: what is due follows, and what is undone gives everything back."""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from app.actions.errors import NotFound
from app.actions.money.account import account_of, bill_of_order, load_account
from app.actions.money.payments import (
    ALREADY_SAVED,
    CARD_NUMBER,
    MORE_THAN_PAID,
    NO_AMOUNT,
    NO_RENTAL_DEPOSIT,
    NOTHING_TO_PAY,
    PAYMENT_TOO_LARGE,
    PURPOSE_WORDS,
    REFUND_FIRST,
    SALE_IS_PAID,
    MoreThanDue,
    PaymentInput,
    add_payment,
    check_sum,
    describe_payment,
    holds_card_number,
    payments_so_far,
    undo_payment,
)
from app.actions.orders.cancel import Cancellation, cancel_order
from app.actions.orders.hand_over import steps_of, take_step
from app.actions.orders.quick_sale import make_quick_sale, undo_quick_sale
from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import board_version, history_of
from app.actions.rentals.returns import ReturnedGoods, return_goods, undo_return
from app.actions.shop.office import change_settings
from app.craft.money import Percent
from app.craft.price import PaymentState
from app.quoting.errors import Refused
from app.quoting.request import ExtraRequest, ExtraSort
from app.quoting.states import CancelReason, PaymentDirection, PaymentMethod
from app.store.models import Order, Payment, RentalReturn, SupplyRow
from app.store.queries.money import active_payments, balance_due, payments_of
from tests.actions.builders import (
    ANYWAY,
    CALLED_OFF,
    MORNING,
    at,
    change,
    ctx,
    line,
    order_request,
    problems,
    take,
    tap,
)
from tests.numbers_in import numbers_in

CARD = "4111 1111 1111 1111"
"""A number that card schemes publish for tests; from memory."""


def _note(session, order, minor, key="", who="Maren", seen=None, *, sure=True, **more):
    """Saves a payment; of more than is due without a question, because few tests are about that."""
    context, money = ctx(session, who=who, now=at(9)), PaymentInput(minor, **more)
    return add_payment(context, order.number, money, key or f"{minor} {more}", seen, sure=sure)


def _back(session, order, minor, **more):
    return _note(session, order, minor, direction=PaymentDirection.BACK, **more)


def _undo(session, order, payment):
    return undo_payment(ctx(session, who="Isolde", now=at(10)), order.number, payment.id)


def _account(session, order):
    return load_account(session, order)


def _due(session, order):
    return _account(session, order).due_minor


def frame(session, deposit=5000, price=2500):
    """Something to hire."""
    supply = SupplyRow(
        name="Long stand", sort="rental", unit="piece", pack_size=1, pack_minor=9000, price_minor=price,
        deposit_minor=deposit,
    )  # fmt: skip
    session.add(supply)
    session.flush()
    return supply


@pytest.fixture
def rentals(session, catalogue):
    """£26.40 and two frames at £25.00, with £100.00 of deposits on them."""
    rentals = ExtraRequest(ExtraSort.RENTAL, 2, frame(session).id)
    return take(session, order_request(catalogue, extras=(rentals,), return_by=at(10, days=2)), key="hiring")


def test_what_is_paid_is_due_no_more(session, order):
    assert _due(session, order) == 2640
    _note(session, order, 1000, how=PaymentMethod.CARD, note="  rang in ")
    (saved,) = payments_of(session, order.id)
    assert (saved.amount_minor, saved.how, saved.note, saved.who, saved.at) == (
        1000,
        "card",
        "rang in",
        "Maren",
        at(9),
    )
    assert _due(session, order) == 1640
    _note(session, order, 1640)
    assert _account(session, order).owing is PaymentState.PAID


def test_it_stands_in_the_history_and_the_pages_that_poll_notice(session, order):
    before = board_version(session)
    payment = _note(session, order, 123_450, how=PaymentMethod.TRANSFER)
    noted_as = history_of(session, order)[-1].act
    assert noted_as == describe_payment(payment, "£1,234.50")
    noted = board_version(session)
    _undo(session, order, payment)
    assert history_of(session, order)[-1].act == f"undone: {noted_as}"
    assert before < noted < board_version(session)


def test_amounts_in_the_history_have_the_shops_decimals(session, order):
    change_settings(session, {"currency_decimals": 0, "currency_symbol": "¥"})
    payment = _note(session, order, 500)
    assert history_of(session, order)[-1].act == describe_payment(payment, "¥500")


def test_the_version_of_the_order_stays_so_that_an_open_form_is_not_stale(session, catalogue, order):
    _note(session, order, 1000)
    change(session, order, order_request(catalogue, line(catalogue, quantity=30)), version=1)
    assert _due(session, order) == 3300 - 1000


def test_the_same_key_twice_is_one_payment(session, order):
    first = _note(session, order, 1000, key="once")
    assert _note(session, order, 1000, key="once") is first
    assert _due(session, order) == 1640


@pytest.mark.parametrize(
    "other", [{"minor": 1100}, {"how": PaymentMethod.CARD}, {"direction": PaymentDirection.BACK}, {"note": "x"}]
)
def test_the_same_key_with_something_else_is_a_slip(session, order, other):
    _note(session, order, 1000, key="once")
    with pytest.raises(Refused) as refusal:
        _note(session, order, **({"minor": 1000, "key": "once"} | other))
    assert problems(refusal) == {"amount": [ALREADY_SAVED]}
    assert len(payments_of(session, order.id)) == 1


def test_the_same_key_at_another_order_is_a_slip(session, catalogue, order):
    other = take(session, order_request(catalogue, bench_override="By turns."), key="key-2")
    _note(session, order, 1000, key="once")
    with pytest.raises(Refused) as refusal:
        _note(session, other, 1000, key="once")
    assert problems(refusal) == {"amount": [ALREADY_SAVED]}


@pytest.mark.parametrize(("minor", "sentence"), [(0, NO_AMOUNT), (-5, NO_AMOUNT), (10**9, PAYMENT_TOO_LARGE)])
def test_an_amount_that_cannot_be_is_refused(session, order, minor, sentence):
    with pytest.raises(Refused) as refusal:
        _note(session, order, minor)
    assert problems(refusal) == {"amount": [sentence]}
    assert payments_of(session, order.id) == []


def test_money_of_no_order_is_noted_nowhere(session):
    with pytest.raises(NotFound):
        add_payment(ctx(session, who="Maren", now=MORNING), 12345, PaymentInput(100), "key")


def test_more_than_is_due_is_to_be_paid_back_and_no_more_than_was_paid(session, order):
    _note(session, order, 3000)
    assert _account(session, order).owing is PaymentState.TO_REFUND
    with pytest.raises(Refused) as refusal:
        _back(session, order, 3001)
    assert problems(refusal) == {"amount": [MORE_THAN_PAID.format(purpose=PURPOSE_WORDS[False])]}
    _back(session, order, 360)
    assert _account(session, order).owing is PaymentState.PAID


def test_a_deposit_on_hired_goods_stands_apart_from_the_price(session, rentals):
    account = _account(session, rentals)
    assert (account.price.due_minor, account.rental.due_minor, account.due_minor) == (7640, 10_000, 17_640)
    _note(session, rentals, 10_000, rental=True)
    with pytest.raises(Refused) as refusal:
        _back(session, rentals, 1)
    assert problems(refusal) == {"amount": [MORE_THAN_PAID.format(purpose=PURPOSE_WORDS[False])]}
    refund = _back(session, rentals, 4000, rental=True)
    with pytest.raises(Refused) as refusal:
        _back(session, rentals, 6001, rental=True)
    assert problems(refusal) == {"amount": [MORE_THAN_PAID.format(purpose=PURPOSE_WORDS[True])]}
    account = _account(session, rentals)
    assert (account.price.due_minor, account.rental.due_minor) == (7640, 4000)
    assert history_of(session, rentals)[-1].act == describe_payment(refund, "£40.00")


def test_a_deposit_on_nothing_hired_is_refused(session, order):
    with pytest.raises(Refused) as refusal:
        _note(session, order, 100, rental=True)
    assert problems(refusal) == {"rental": [NO_RENTAL_DEPOSIT]}


def test_the_deposit_asked_is_paid_from_the_price_alone(session, catalogue):
    change_settings(session, {"deposit_percent": 50})
    rentals = ExtraRequest(ExtraSort.RENTAL, 1, frame(session, price=0).id)
    order = take(session, order_request(catalogue, extras=(rentals,), return_by=at(10, days=2)))
    assert _account(session, order).price.deposit_due_minor == 1320
    _note(session, order, 5000, rental=True)
    assert _account(session, order).price.deposit_due_minor == 1320
    _note(session, order, 1000)
    assert _account(session, order).price.deposit_due_minor == 320


def test_undone_it_counts_no_more_but_stays_to_be_seen(session, order):
    payment = _note(session, order, 1000)
    _undo(session, order, payment)
    assert _due(session, order) == 2640
    (saved,) = payments_of(session, order.id)
    assert (saved.undone_at, saved.undone_by) == (at(10), "Isolde")


def test_undoing_twice_is_undoing_once(session, order):
    payment = _note(session, order, 1000)
    _undo(session, order, payment)
    undo_payment(ctx(session, who="Tobiah", now=at(12)), order.number, payment.id)
    assert (payment.undone_at, payment.undone_by) == (at(10), "Isolde")
    undone = f"undone: {describe_payment(payment, '£10.00')}"
    assert [entry.act for entry in history_of(session, order)].count(undone) == 1


def test_money_that_went_back_is_undone_before_what_it_was_paid_from(session, order):
    paid, back = _note(session, order, 1000), _back(session, order, 600)
    with pytest.raises(Refused) as refusal:
        _undo(session, order, paid)
    assert problems(refusal) == {"payment": [REFUND_FIRST]}
    assert paid.undone_at is None
    _undo(session, order, back)
    _undo(session, order, paid)
    assert _due(session, order) == 2640


def test_a_payment_of_another_order_is_not_undone_from_here(session, catalogue, order):
    other = take(session, order_request(catalogue, bench_override="By turns."), key="key-2")
    payment = _note(session, other, 1000)
    with pytest.raises(NotFound):
        _undo(session, order, payment)
    assert payment.undone_at is None


def _names(refusal, *facts):
    """The refusal says who did what."""
    ((_, (sentence,)),) = problems(refusal).items()
    assert all(fact in sentence for fact in facts)


def test_who_did_not_see_the_payment_of_another_is_shown_it_first(session, order):
    first = _note(session, order, 2640, key="a", seen=0)
    with pytest.raises(Refused) as refusal:
        _note(session, order, 2640, key="b", who="Isolde", seen=0)
    _names(refusal, "Maren", describe_payment(first, "£26.40"))
    _note(session, order, 100, key="c", who="Isolde", seen=payments_so_far(payments_of(session, order.id)))
    assert _due(session, order) == -100


def test_who_did_not_see_that_a_payment_was_undone_is_shown_that(session, order):
    payment = _note(session, order, 1000)
    _undo(session, order, payment)
    with pytest.raises(Refused) as refusal:
        _note(session, order, 1640, seen=1)
    _names(refusal, "Isolde", describe_payment(payment, "£10.00"))


def test_a_cancelled_order_asks_nothing_and_gives_back_what_was_paid(session, order):
    _note(session, order, 1000)
    cancel_order(ctx(session, who="Maren", now=at(10)), order.number, order.version, CALLED_OFF)
    assert _account(session, order).due_minor == -1000
    with pytest.raises(Refused) as refusal:
        _note(session, order, 100)
    assert problems(refusal) == {"amount": [NOTHING_TO_PAY.format(number=order.number)]}
    _back(session, order, 1000)
    assert _account(session, order).owing is PaymentState.SETTLED


def test_a_fee_is_due_on_a_cancelled_order_and_what_is_paid_above_it_goes_back(session, order):
    _note(session, order, 1000)
    kept = Cancellation(CancelReason.CUSTOMER, fee_minor=660)
    cancel_order(ctx(session, who="Maren", now=at(10)), order.number, order.version, kept)
    account = _account(session, order)
    assert (account.owing, account.due_minor, account.fee_minor) == (PaymentState.TO_REFUND, -340, 660)
    with pytest.raises(Refused):
        _note(session, order, 100)
    _back(session, order, 340)
    assert _account(session, order).owing is PaymentState.FEE_KEPT
    assert session.scalar(select(balance_due()).where(Order.id == order.id)) == 0


def test_a_fee_that_was_not_paid_yet_can_be_paid(session, order):
    kept = Cancellation(CancelReason.CUSTOMER, fee_minor=660)
    cancel_order(ctx(session, who="Maren", now=at(10)), order.number, order.version, kept)
    assert _account(session, order).owing is PaymentState.FEE_TO_PAY
    assert session.scalar(select(balance_due()).where(Order.id == order.id)) == 660
    _note(session, order, 660)
    assert (_account(session, order).owing, _account(session, order).due_minor) == (PaymentState.FEE_KEPT, 0)


def test_a_sale_at_once_was_paid_in_that_moment(session, shop, catalogue):
    sale = make_quick_sale(
        ctx(session, who="Maren", shop=shop, catalogue=catalogue, now=at(9)), line(catalogue, quantity=3), "sale"
    )
    assert _account(session, sale).owing is PaymentState.PAID
    with pytest.raises(Refused) as refusal:
        _note(session, sale, 100)
    assert problems(refusal) == {"amount": [SALE_IS_PAID.format(number=sale.number)]}
    undo_quick_sale(ctx(session, who="Maren", now=at(10)), sale.number)
    account = _account(session, sale)
    assert (account.is_quick_sale, account.due_minor, account.paid_minor) == (True, 0, 0)


def test_the_sum_in_one_statement_is_the_bills(session, catalogue, rentals):
    change_settings(session, {"tax_mode": "on top", "tax_percent": 8.875})
    order = take(
        session,
        order_request(catalogue, discount=Percent(Decimal("12.5")), bench_override="By turns."),
        key="taxed",
    )
    _note(session, rentals, 10_000, rental=True)
    _back(session, rentals, 2500, rental=True)
    _undo(session, rentals, _note(session, rentals, 77))
    _note(session, order, 5000)
    due = dict(session.execute(select(Order.id, balance_due())).all())
    assert due == {one.id: _due(session, one) for one in (rentals, order)}
    assert due[rentals.id] == 7640 + 10_000 - 7500


def _hand_over(session, order):
    tap(session, order.batches[0], "finish", now=at(8))
    for step in steps_of(treated=False):
        take_step(ctx(session, who="Maren", now=at(9)), order.number, step, f"{order.number} {step}", sure=ANYWAY)


def _came_back(session, order, back, lost=0, saved=0):
    came = [ReturnedGoods(order.rentals[0].id, back, lost, saved)]
    return return_goods(ctx(session, who="Maren", now=at(18)), order.number, came, "", f"back {back} {lost}")


def _due_in_one_statement(session, order):
    return session.scalar(select(balance_due()).where(Order.id == order.id))


def test_what_comes_back_gives_its_deposit_back_less_what_is_kept(session, rentals):
    """Of £100.00 on two frames: one comes back whole, of the other £30.00 are kept."""
    _note(session, rentals, 7640)
    _note(session, rentals, 10_000, rental=True)
    _hand_over(session, rentals)
    _came_back(session, rentals, 1)
    assert _due(session, rentals) == _due_in_one_statement(session, rentals) == -5000
    _came_back(session, rentals, 0, lost=1, saved=3000)
    account = _account(session, rentals)
    assert (account.price.due_minor, account.rental.due_minor) == (0, -7000)
    assert _due_in_one_statement(session, rentals) == -7000
    _back(session, rentals, 7000, rental=True)
    assert _account(session, rentals).owing is PaymentState.PAID
    undo_return(
        ctx(session, who="Maren", now=at(19)), rentals.number, session.scalars(select(RentalReturn.id)).all()[-1]
    )
    assert _due(session, rentals) == _due_in_one_statement(session, rentals) == 2000


MOVES = st.lists(
    st.tuples(st.sampled_from(["in", "back", "undo"]), st.booleans(), st.integers(1, 6000), st.integers(0, 20)),
    max_size=10,
)


def _try(session, order, place, move):
    """One of the moves, refused or not."""
    act, rental, minor, which = move
    payments = payments_of(session, order.id)
    try:
        if act != "undo":
            _note(session, order, minor, key=f"{order.id} {place}", direction=PaymentDirection(act), rental=rental)
        elif payments:
            _undo(session, order, payments[which % len(payments)])
    except Refused:
        return False
    return True


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(moves=MOVES)
def test_whatever_is_paid_and_undone_no_more_goes_back_than_came_and_undoing_all_gives_all_back(
    session, rentals, moves
):
    with session.begin_nested() as aside:
        for place, move in enumerate(moves):
            before = _account(session, rentals)
            changed = _try(session, rentals, place, move)
            account = _account(session, rentals)
            assert changed or account == before
            assert account.price.paid_minor >= 0
            assert account.rental.paid_minor >= 0
            assert account.due_minor == account.price.due_minor + account.rental.due_minor
            stands = active_payments(session, rentals.id)
            assert account.due_minor == bill_of_order(rentals, stands).due_minor
            assert session.scalar(select(balance_due())) == account.due_minor
        for back_first in ("back", "in"):
            for payment in active_payments(session, rentals.id):
                if payment.direction == back_first:
                    _undo(session, rentals, payment)
        assert _account(session, rentals) == account_of(rentals, [])
        aside.rollback()


@pytest.mark.parametrize(
    "note",
    [CARD, "4111-1111-1111-1111", "4111111111111111", f"card {CARD} 12/27", f"ref 77 {CARD}", "3782 822463 10005"],
)
def test_what_looks_like_a_card_number_is_never_kept(session, order, note):
    with pytest.raises(Refused) as refusal:
        _note(session, order, 1000, note=note)
    assert problems(refusal) == {"note": [CARD_NUMBER]}
    assert session.scalars(select(Payment)).all() == []


@pytest.mark.parametrize("note", ["01632 960101", "4111 1111 1111 1112", "1111 ends the card", "Order 1001, 26.40"])
def test_other_figures_may_stand_in_a_note(session, order, note):
    assert _note(session, order, 1000, note=note).note == note


def test_a_note_that_is_too_long_is_refused(session, order):
    with pytest.raises(Refused) as refusal:
        _note(session, order, 1000, note="x" * 301)
    assert numbers_in(problems(refusal)["note"][0]) == [300]


def test_the_check_digit_by_hand():
    """79927398713, the worked number in the literature on Luhn's check; from memory: 70."""
    assert check_sum("79927398713") == 70


@given(st.integers(10**10, 10**18 - 1).map(str), st.sampled_from(["", " ", "-", " – "]), st.integers(1, 9))
def test_every_number_with_a_right_check_digit_is_found_and_one_digit_off_it_is_not(body, between, off):
    check = -check_sum(body + "0") % 10
    right = body + str(check)
    assert holds_card_number(f"paid with {between.join([right[:4], right[4:8], right[8:]])}, thanks")
    assert not holds_card_number(body + str((check + off) % 10))


def test_two_people_at_once_pay_back_no_more_than_was_paid(database):
    with database.writing() as session:
        number = take(session, order_request(load_catalogue(session))).number
        add_payment(ctx(session, who="Maren", now=at(9)), number, PaymentInput(1000), "paid")

    def pay_back(press):
        try:
            with database.writing() as session:
                add_payment(
                    ctx(session, who="Maren", now=at(9)),
                    number,
                    PaymentInput(600, direction=PaymentDirection.BACK),
                    f"back-{press}",
                )
        except Refused:
            return 0
        return 600

    with ThreadPoolExecutor(2) as staff:
        assert sorted(staff.map(pay_back, range(4))) == [0, 0, 0, 600]


def test_what_was_handed_over_before_payments_were_noted_is_no_debt(session, order):
    order.cost_minor = None
    _hand_over(session, order)
    account = _account(session, order)
    assert (account.payments_unknown, account.due_minor, _due_in_one_statement(session, order)) == (True, 0, 0)
    _note(session, order, 100)
    assert _due(session, order) == _due_in_one_statement(session, order) == order.total_minor - 100


@pytest.mark.parametrize("minor", [1, 2639, 2640])
def test_a_payment_within_what_is_due_is_never_asked_about(session, order, minor):
    _note(session, order, minor, sure=False)
    assert _due(session, order) == 2640 - minor


def test_more_than_is_due_is_asked_about_and_saved_once_somebody_is_sure(session, order):
    _note(session, order, 640, sure=False)
    with pytest.raises(MoreThanDue) as question:
        _note(session, order, 2001, key="much", sure=False)
    assert (question.value.due_minor, _due(session, order)) == (2000, 2000)
    _note(session, order, 2001, key="much", sure=True)
    assert _due(session, order) == -1
    with pytest.raises(MoreThanDue) as question:
        _note(session, order, 5, sure=False)
    assert question.value.due_minor == 0


def test_what_is_due_counts_the_security_deposits_and_no_refund_is_asked_about(session, rentals):
    price, deposit = rentals.total_minor, rentals.rental_deposit_minor
    assert deposit > 0
    _note(session, rentals, price + deposit, key="all", sure=False)
    _note(session, rentals, deposit, key="held", sure=False, rental=True)
    with pytest.raises(MoreThanDue) as question:
        _note(session, rentals, 1, key="one more", sure=False)
    assert question.value.due_minor == 0
    _back(session, rentals, price, sure=False)
    assert _due(session, rentals) == price - deposit
