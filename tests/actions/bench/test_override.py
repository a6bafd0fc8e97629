"""An order with which the bench does not fit is taken only with a reason, which is kept."""

from dataclasses import replace

import pytest

from app.actions.orders.cancel import cancel_order, reopen_order
from app.actions.orders.overrides import NO_BENCH_OVERRIDE, Overrides
from app.actions.orders.quick_sale import make_quick_sale
from app.actions.records.history import history_of
from app.actions.records.rebuild_request import rebuild_request
from app.actions.shop.office import change_settings
from app.actions.shop.staff import change_staff
from app.planning.roster import StaffChange
from app.quoting.errors import Refused
from tests.actions.builders import (
    BENCH_REASON,
    CALLED_OFF,
    MORNING,
    WHO,
    at,
    change,
    ctx,
    line,
    order_request,
    take,
    tap,
)

WHY = "Isolde stays an hour longer."
NOON = {"ready_by": at(12), "event_start": at(15), "lasts_until": at(17)}


def _hour(catalogue, **changes):
    """About three quarters of an hour of work: five of them are too many for the four hours until noon."""
    return order_request(catalogue, line(catalogue, quantity=60), **(NOON | changes))


@pytest.fixture
def others(session, catalogue):
    """A bench that is as good as full until noon."""
    return [take(session, _hour(catalogue), key=f"other-{place}") for place in range(4)]


def test_without_a_reason_it_is_not_taken(session, catalogue, others):
    with pytest.raises(Refused) as refusal:
        take(session, _hour(catalogue))
    assert refusal.value.problems == (NO_BENCH_OVERRIDE,)


def test_spaces_are_no_reason(session, catalogue, others):
    with pytest.raises(Refused):
        take(session, _hour(catalogue, bench_override="  "))


def test_with_a_reason_it_is_taken_and_its_history_tells_it(session, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=f" {WHY} "))
    assert order.bench_override == WHY
    (taken,) = history_of(session, order)
    assert dict(taken.description)["reason for accepting it anyway (bench)"] == WHY


def test_where_the_bench_fits_no_reason_is_kept(session, catalogue):
    assert take(session, _hour(catalogue, bench_override=WHY)).bench_override == ""


def test_the_same_form_sent_twice_is_one_order_whatever_its_reason(session, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=WHY))
    assert take(session, _hour(catalogue, bench_override="Another.")) is order
    assert order.bench_override == WHY


def test_a_change_that_no_longer_fits_needs_a_reason(session, catalogue, others):
    order = take(session, _hour(catalogue, ready_by=at(14)))
    with pytest.raises(Refused) as refusal:
        change(session, order, _hour(catalogue))
    assert refusal.value.problems == (NO_BENCH_OVERRIDE,)
    change(session, order, _hour(catalogue, bench_override=WHY))
    assert order.bench_override == WHY
    assert ["reason for accepting it anyway (bench)", "", WHY] in history_of(session, order)[-1].changes


def test_a_change_with_which_it_fits_empties_the_reason(session, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=WHY))
    change(session, order, _hour(catalogue, ready_by=at(14), bench_override=WHY))
    assert order.bench_override == ""


@pytest.mark.parametrize(
    "said",
    [
        {"customer": "Odd Larsen"},
        {"phone": "01632 960777"},
        {"notes": "Ring the bell."},
        {"address": "4 Mill Lane"},
    ],
)
def test_a_change_that_asks_the_bench_for_nothing_else_keeps_its_reason(session, catalogue, others, said):
    order = take(session, _hour(catalogue, bench_override=WHY))
    change(session, order, _hour(catalogue, **said))
    assert order.bench_override == WHY


def test_other_colours_ask_the_bench_for_nothing_else(session, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=WHY))
    change(session, order, order_request(catalogue, line(catalogue, quantity=60, colours="blue"), **NOON))
    assert order.bench_override == WHY


def test_a_new_name_on_an_order_that_fitted_when_it_was_taken_needs_no_reason(session, catalogue, others):
    take(session, _hour(catalogue, bench_override=BENCH_REASON))
    first = others[0]
    change(session, first, replace(rebuild_request(first), customer="Odd Larsen"))
    assert (first.customer, first.bench_override) == ("Odd Larsen", "")


def test_more_balloons_need_a_reason_of_their_own(session, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=WHY))
    with pytest.raises(Refused):
        change(session, order, order_request(catalogue, line(catalogue, quantity=61), **NOON))


def test_what_is_refused_leaves_the_order_as_it_was(session, catalogue, others):
    order = take(session, _hour(catalogue, ready_by=at(14)))
    with pytest.raises(Refused):
        change(session, order, _hour(catalogue))
    assert (order.ready_by, order.version) == (at(14), 1)


def test_a_sale_at_once_asks_the_bench_nothing(session, shop, catalogue, others):
    sale = make_quick_sale(
        ctx(session, who=WHO, shop=shop, catalogue=catalogue, now=MORNING),
        line(catalogue, quantity=60),
        "sale",
    )
    assert (sale.state, sale.bench_override) == ("handed over", "")


def test_what_was_cancelled_does_not_stand_in_the_way(session, catalogue, others):
    cancel_order(ctx(session, who=WHO, now=MORNING), others[0].number, 1, CALLED_OFF)
    assert take(session, _hour(catalogue)).bench_override == ""


@pytest.fixture
def nobody_until_noon(session):
    """Called once orders are taken: somebody got ill."""
    return lambda: change_staff(session, StaffChange(MORNING.date(), 8 * 60, 12 * 60, -1))


def test_fewer_balloons_after_somebody_got_ill_need_no_reason(session, catalogue, nobody_until_noon):
    order = take(session, _hour(catalogue))
    nobody_until_noon()
    change(session, order, order_request(catalogue, line(catalogue, quantity=59), **NOON))
    assert (order.lines[0].quantity, order.bench_override) == (59, "")


def test_a_later_hour_that_still_does_not_fit_needs_no_reason(session, catalogue, nobody_until_noon):
    order = take(session, _hour(catalogue))
    nobody_until_noon()
    change(session, order, _hour(catalogue, ready_by=at(12, 10)))
    assert (order.ready_by, order.bench_override) == (at(12, 10), "")


def test_fewer_balloons_keep_the_reason_that_is_kept(session, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=WHY))
    change(session, order, order_request(catalogue, line(catalogue, quantity=59), **NOON))
    assert order.bench_override == WHY


def test_an_earlier_hour_after_somebody_got_ill_needs_a_reason(session, catalogue, nobody_until_noon):
    order = take(session, _hour(catalogue, ready_by=at(12, 10)))
    nobody_until_noon()
    with pytest.raises(Refused) as refusal:
        change(session, order, _hour(catalogue))
    assert refusal.value.problems == (NO_BENCH_OVERRIDE,)
    change(session, order, _hour(catalogue, bench_override=WHY))
    assert order.bench_override == WHY


def test_where_the_order_as_it_stands_can_no_longer_be_reckoned_a_change_needs_a_reason(
    session, catalogue, nobody_until_noon
):
    """So high up no 18-inch foil rises; 11-inch latex still does."""
    order = take(session, order_request(catalogue, line(catalogue, "18 in foil", quantity=60), **NOON))
    nobody_until_noon()
    change_settings(session, {"shop_elevation_m": 5000})
    with pytest.raises(Refused) as refusal:
        change(session, order, _hour(catalogue, accepted_risk="Fine."))
    assert refusal.value.problems == (NO_BENCH_OVERRIDE,)


@pytest.fixture
def cancelled(session, catalogue):
    """Calls an order off and gives its place at the bench to others."""

    def call_off(**said):
        order = take(session, _hour(catalogue, **said))
        cancel_order(ctx(session, who=WHO, now=MORNING), order.number, 1, CALLED_OFF)
        for place in range(4):
            take(session, _hour(catalogue), key=f"other-{place}")
        return order

    return call_off


def _reopen(session, shop, catalogue, order, reason=""):
    return reopen_order(
        ctx(session, who="Tobiah", shop=shop, catalogue=catalogue, now=MORNING),
        order.number,
        Overrides(reason),
    )


@pytest.mark.parametrize("reason", ["", "  "])
def test_a_cancelled_order_with_which_the_bench_does_not_fit_is_not_opened_without_a_reason(
    session, shop, catalogue, cancelled, reason
):
    order = cancelled()
    with pytest.raises(Refused) as refusal:
        _reopen(session, shop, catalogue, order, reason)
    assert refusal.value.problems == (NO_BENCH_OVERRIDE,)
    assert (order.state, order.version) == ("cancelled", 2)


def test_with_a_reason_it_is_opened_and_its_history_tells_it(session, shop, catalogue, cancelled):
    order = _reopen(session, shop, catalogue, cancelled(), f" {WHY} ")
    assert (order.state, order.bench_override) == ("open", WHY)
    opened = history_of(session, order)[-1]
    assert opened.act == "reopened"
    assert opened.changes[1:] == [["reason for accepting it anyway (bench)", "", WHY]]
    assert [(what, is_now) for what, _, is_now in opened.changes[:1]] == [("reason for cancelling", "")]


@pytest.mark.parametrize(("typed", "saved"), [("", WHY), ("Maren comes in.", "Maren comes in.")])
def test_the_reason_that_is_kept_will_do_to_open_it_unless_another_is_typed(
    session, shop, catalogue, others, typed, saved
):
    order = take(session, _hour(catalogue, bench_override=WHY))
    cancel_order(ctx(session, who=WHO, now=MORNING), order.number, 1, CALLED_OFF)
    assert _reopen(session, shop, catalogue, order, typed).bench_override == saved


def test_where_the_bench_fits_it_is_opened_as_it_was(session, shop, catalogue, others):
    order = take(session, _hour(catalogue, bench_override=WHY))
    cancel_order(ctx(session, who=WHO, now=MORNING), order.number, 1, CALLED_OFF)
    cancel_order(ctx(session, who=WHO, now=MORNING), others[0].number, 1, CALLED_OFF)
    assert _reopen(session, shop, catalogue, order).bench_override == WHY
    assert [what for what, _, _ in history_of(session, order)[-1].changes] == ["reason for cancelling"]


def test_what_is_filled_of_it_already_is_not_asked_of_the_bench_again(session, shop, catalogue):
    order = take(session, _hour(catalogue))
    tap(session, order.batches[0], "finish")
    cancel_order(ctx(session, who=WHO, now=MORNING), order.number, 1, CALLED_OFF)
    for place in range(4):
        take(session, _hour(catalogue, ready_by=at(13)), key=f"other-{place}")
    assert _reopen(session, shop, catalogue, order).state == "open"
