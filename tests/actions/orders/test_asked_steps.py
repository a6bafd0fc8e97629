"""What speaks against a step of a hand-over is asked about first; who takes it anyway stands in the history."""

import pytest
from sqlalchemy import select

from app.actions.gas.moves import send_along
from app.actions.money.payments import pay_what_is_due
from app.actions.orders.concerns import ConcernKind, StepAsked
from app.actions.orders.hand_over import save_step, steps_of, take_step, undo_step
from app.actions.records.history import history_of
from app.physics.balloon import Gas
from app.quoting.errors import Refused
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, PaymentMethod
from app.store.models import Payment, Tap
from tests.actions.builders import at, change, ctx, line, order_request, take, tap
from tests.actions.cylinder_helpers import cylinder
from tests.actions.rental_helpers import pole, rental
from tests.numbers_in import numbers_in

DRY, HANDED_OVER, PACKED = HandOverStep.DRY, HandOverStep.HANDED_OVER, HandOverStep.PACKED
ON_ACCOUNT = HandOverStep.ON_ACCOUNT
WET, NO_GAS, UNPAID = ConcernKind.WET, ConcernKind.NO_GAS, ConcernKind.UNPAID
UNDRIED, UNWEIGHTED = ConcernKind.UNDRIED, ConcernKind.UNWEIGHTED
THERE = {
    "hand_over": HandOver.VENUE,
    "ready_by": at(11),
    "arrives_at": at(12),
    "travel_minutes": 30,
    "set_up_minutes": 20,
    "hanging_minutes": 20,
    "crew": 2,
    "event_start": at(15),
}
"""Two dozen 11-inch that a crew fills at the venue."""


def _step(session, order, step, now, sure=()):
    return take_step(ctx(session, who="Isolde", now=now), order.number, step, f"{step} {now}", sure=sure)


def _asked(session, order, step, now, sure=()):
    """What is asked about; then nothing is saved."""
    before = len(session.scalars(select(Tap)).all()), len(history_of(session, order))
    with pytest.raises(StepAsked) as asked:
        _step(session, order, step, now, sure)
    assert (len(session.scalars(select(Tap)).all()), len(history_of(session, order))) == before
    return {concern.kind: concern for concern in asked.value.concerns}


def _last(session, order):
    entry = history_of(session, order)[-1]
    return entry.act, entry.who, [(what, is_) for what, _, is_ in entry.changes]


def _to_the_door(session, order, first="assembled", now=None):
    """All its steps up to the last, as they would be taken."""
    steps = steps_of(treated=True)
    for step in steps[steps.index(first) : -1]:
        save_step(ctx(session, now=now or at(8, 5)), order, step, f"{order.number} {step}")


@pytest.fixture
def treated(session, catalogue):
    """Filled at eight, and dry two hours later (the shop's own default)."""
    order = take(session, order_request(catalogue, line(catalogue, treated=True)))
    tap(session, order.batches[0], "finish", now=at(8))
    return order


@pytest.fixture
def filled(session, catalogue):
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "finish", now=at(8))
    return order


def test_dry_before_its_hour_is_asked_about_and_the_history_says_who_did_it_anyway(session, treated):
    assert _asked(session, treated, DRY, at(9, 59))[WET].dry_at == at(10)
    _step(session, treated, DRY, at(9, 59), {WET})
    assert _last(session, treated) == ("marked dry anyway", "Isolde", [("dry from", "marked dry anyway")])


def test_dry_at_its_hour_is_not_asked_about(session, treated):
    _step(session, treated, DRY, at(10))
    assert [entry.act for entry in history_of(session, treated)] == ["saved"]


def test_what_is_still_wet_at_the_door_is_asked_about_beside_what_is_to_pay(session, treated):
    _to_the_door(session, treated)
    asked = _asked(session, treated, HANDED_OVER, at(9))
    assert (asked[WET].dry_at, asked[UNPAID].due_minor) == (at(10), treated.total_minor)
    assert _asked(session, treated, HANDED_OVER, at(9), {UNPAID}).keys() == {WET, UNPAID}
    _step(session, treated, HANDED_OVER, at(9), {WET, UNPAID})
    anyway = [("dry from", "handed over anyway"), ("still to pay", "handed over anyway")]
    assert _last(session, treated) == ("handed over", "Isolde", anyway)


def test_what_was_asked_about_at_its_own_step_is_not_asked_about_again(session, treated):
    """Dry was ticked too early, knowingly: the door asks about the money only."""
    _step(session, treated, DRY, at(9), {WET})
    _to_the_door(session, treated)
    assert _asked(session, treated, HANDED_OVER, at(9)).keys() == {UNPAID}


def test_all_that_nobody_ticked_is_asked_about_in_one_question(session, treated):
    asked = _asked(session, treated, HANDED_OVER, at(11))
    assert asked.keys() == {UNDRIED, UNWEIGHTED, UNPAID}
    assert asked[UNDRIED].dry_at is None
    _step(session, treated, HANDED_OVER, at(11), {UNDRIED, UNWEIGHTED, UNPAID})
    assert [(what, was) for what, was, _ in history_of(session, treated)[-1].changes] == [
        ("dry", "not checked"),
        ("weights tied on", "not checked"),
        ("still to pay", "38.40"),
    ]


def test_what_is_filled_with_air_needs_no_weight(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue, gas=Gas.AIR)))
    tap(session, order.batches[0], "finish", now=at(8))
    assert _asked(session, order, HANDED_OVER, at(9)).keys() == {UNPAID}


def test_on_account_is_not_asked_about_until_it_is_undone(session, filled):
    """It is known before anything is filled, and stays when balloons are added."""
    _to_the_door(session, filled)
    _step(session, filled, ON_ACCOUNT, at(8, 30))
    account = session.scalars(select(Tap).where(Tap.act == "on account")).one()
    undo_step(ctx(session, now=at(8, 40)), filled.number, account.id)
    assert _asked(session, filled, HANDED_OVER, at(9)).keys() == {UNPAID}
    _step(session, filled, ON_ACCOUNT, at(9, 10))
    _step(session, filled, HANDED_OVER, at(9, 15))
    assert _last(session, filled) == ("handed over", "Isolde", [])


def test_on_account_stays_when_the_order_grows(session, catalogue, filled):
    _to_the_door(session, filled)
    _step(session, filled, ON_ACCOUNT, at(8, 30))
    change(session, filled, order_request(catalogue, line(catalogue, quantity=30)), now=at(10))
    found = session.scalars(select(Tap).where(Tap.batch_id.is_(None), Tap.undone_at.is_(None))).all()
    assert [one.act for one in found] == ["on account"]


def test_what_is_paid_at_the_door_is_not_asked_about(session, filled):
    _to_the_door(session, filled)
    assert _asked(session, filled, HANDED_OVER, at(9)).keys() == {UNPAID}
    pay_what_is_due(ctx(session), filled.number, PaymentMethod.CASH, 2640, "door")
    _step(session, filled, HANDED_OVER, at(9))
    assert _last(session, filled) == ("handed over", "Isolde", [])


def test_one_press_pays_the_deposits_and_the_price_once_and_only_what_was_shown(session, catalogue):
    order = take(session, order_request(catalogue, extras=(rental(pole(session), 2),), return_by=at(18, days=1)))
    due = 2640 + 2 * 1200 + 2 * 2000
    with pytest.raises(Refused):
        pay_what_is_due(ctx(session), order.number, PaymentMethod.CARD, due - 1, "door")
    for _ in range(2):
        pay_what_is_due(ctx(session), order.number, PaymentMethod.CARD, due, "door")
    found = session.scalars(select(Payment).order_by(Payment.id)).all()
    assert [(one.rental, one.amount_minor, one.how) for one in found] == [
        (True, 4000, "card"),
        (False, due - 4000, "card"),
    ]


def test_a_crew_is_asked_about_its_helium_until_a_cylinder_goes_along(session, catalogue):
    order = take(session, order_request(catalogue, **THERE))
    row = cylinder(session)
    asked = _asked(session, order, PACKED, at(10))[NO_GAS]
    assert asked.held == 0 < asked.needed
    send_along(ctx(session), row.id, order.number, None, "along")
    _step(session, order, PACKED, at(10))
    assert "packed anyway" not in [entry.act for entry in history_of(session, order)]


def test_a_crew_that_packs_without_cylinders_anyway_stands_in_the_history(session, catalogue):
    order = take(session, order_request(catalogue, **THERE))
    cylinder(session)
    _step(session, order, PACKED, at(10), {NO_GAS})
    assert _last(session, order) == ("packed anyway", "Isolde", [("helium", "packed anyway")])
    (change,) = history_of(session, order)[-1].changes
    assert numbers_in(change[1])[1] == 0


def test_a_shop_without_cylinders_is_not_asked_about_them(session, catalogue):
    order = take(session, order_request(catalogue, **THERE))
    _step(session, order, PACKED, at(10))
    assert [entry.act for entry in history_of(session, order)] == ["saved"]


def test_the_steps_of_a_hand_over_never_run_backwards(session, filled):
    """The clock goes back by an hour before the third step, and stays there."""
    clock = {"assembled": at(9), "weighted": at(9, 5), "bagged": at(8), "ready": at(8, 5)}
    for step, now in clock.items():
        _step(session, filled, HandOverStep(step), now)
    handed = _step(session, filled, HANDED_OVER, at(8, 10), {UNPAID})
    taps = session.scalars(select(Tap).where(Tap.batch_id.is_(None)).order_by(Tap.id)).all()
    assert [one.at for one in taps] == [at(9), *[at(9, 5)] * 4]
    assert (handed.handed_over_at, history_of(session, handed)[-1].at) == (at(9, 5), at(9, 5))
    undo_step(ctx(session, now=at(8, 15)), filled.number, taps[-1].id)
    assert (taps[-1].undone_at, history_of(session, handed)[-1].at) == (at(9, 5), at(9, 5))
