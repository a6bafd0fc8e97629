"""What an order costs the customer: kept as it was sold, whatever becomes of the shop's prices."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.money.account import bill_of_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, replan_open_orders
from app.craft.cost import Margin, cost_minor
from app.craft.money import Amount, Percent, to_decimal
from app.quoting.alternatives import find_alternatives
from app.quoting.bill import read_discount, write_discount
from app.quoting.checks import check_hours
from app.quoting.order_cost import cost_of, floor_total
from app.quoting.quote import make_quote
from app.quoting.request import ExtraRequest, ExtraSort
from tests.actions.builders import BENCH_REASON, MORNING, at, change, ctx, design_line, line, order_request, take
from tests.actions.supply_helpers import bouquet_on, priced, stand, supply

TEN = Percent(to_decimal(10))


def _quoted(session, wanted):
    return make_quote(wanted, load_shop(session), load_catalogue(session), MORNING)


def _figures(order):
    bill = bill_of_order(order)
    return bill.total_minor, bill.tax_minor, bill.discount_minor, bill.refundable_minor, bill.deposit_minor


def test_tax_that_prices_contain_changes_no_total(session, catalogue):
    """By hand: 24 × 1.10 less 10 % is 23.76, of which 3.96 is tax."""
    priced(session, tax_mode="inclusive", tax_percent=20)
    order = take(session, order_request(catalogue, discount=TEN))
    assert (order.total_minor, order.tax_minor, order.discount_minor) == (2376, 396, 264)


def test_tax_on_top_is_added(session, catalogue):
    """By hand: 23.76 and 20 % of it, 4.752."""
    priced(session, tax_mode="on top", tax_percent=20)
    order = take(session, order_request(catalogue, discount=TEN))
    assert (order.total_minor, order.tax_minor) == (2376 + 475, 475)


def test_an_amount_takes_off_no_more_than_there_is(session, catalogue):
    order = take(session, order_request(catalogue, discount=Amount(99_999)))
    assert (order.total_minor, order.discount_minor) == (0, 2640)


@pytest.fixture
def sold(session, catalogue):
    """An order with everything on its bill, before the shop changed all its prices."""
    priced(session, tax_mode="inclusive", tax_percent=20, deposit_percent=50)
    bear, arch = supply(session), stand(session)
    extras = (
        ExtraRequest(ExtraSort.SUPPLY, 3, bear.id),
        ExtraRequest(ExtraSort.RENTAL, 1, arch.id),
        ExtraRequest(ExtraSort.DELIVERY, 1),
    )
    order = take(session, order_request(catalogue, extras=extras, discount=TEN, return_by=at(10, days=2)))
    assert order.total_minor == round((2640 + 1350 + 1200 + 1500) * 0.9)
    before = _figures(order)
    for row, price in ((bear, 900), (arch, 9900)):
        row.price_minor, row.deposit_minor = price, 12_300 if row is arch else 0
    fees = {"delivery_minor": 9900, "tax_mode": "on top", "tax_percent": 7}
    priced(session, **fees)
    return order, before


def test_a_kept_order_and_its_bill_agree(session, sold):
    order, before = sold
    saved = (
        order.total_minor,
        order.tax_minor,
        order.discount_minor,
        order.rental_deposit_minor,
        order.deposit_asked_minor,
    )
    assert saved == before == _figures(order)


def test_changed_it_keeps_its_prices_and_its_tax(session, sold):
    order, before = sold
    changed = change(session, order, replace(rebuild_request(order), notes="Side door."))
    assert (changed.notes, _figures(changed)) == ("Side door.", before)
    assert (changed.total_minor, changed.tax_minor, changed.rental_deposit_minor) == (*before[:2], before[3])


def test_planned_anew_it_keeps_its_prices_and_its_tax(session, sold):
    order, before = sold
    replan_open_orders(ctx(session, now=MORNING))
    assert (_figures(order), order.total_minor, order.tax_minor) == (before, *before[:2])


def test_what_is_added_to_it_has_todays_price_and_its_own_tax(session, sold):
    order, _ = sold
    wanted = rebuild_request(order)
    grown = change(session, order, replace(wanted, extras=(*wanted.extras, ExtraRequest(ExtraSort.DELIVERY, 1))))
    assert grown.extras[-1].unit_minor == 9900
    assert (grown.tax_mode, grown.tax_percent) == ("inclusive", 20)
    assert grown.total_minor == round((2640 + 1350 + 1200 + 1500 + 9900) * 0.9)


@given(st.one_of(st.builds(Amount, st.integers(0, 10**9)), st.builds(Percent, st.decimals(0, 100, places=3))))
def test_a_discount_is_read_as_it_was_written(discount):
    assert read_discount(write_discount(discount)) == discount


RARELY = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@RARELY
@given(
    mode=st.sampled_from(["none", "inclusive", "on top"]),
    rate=st.sampled_from([0, 7, 19, 20, 8.875]),
    discount=st.one_of(st.builds(Amount, st.integers(0, 5000)), st.builds(Percent, st.decimals(0, 100, places=1))),
    counts=st.lists(st.tuples(st.integers(1, 9), st.integers(0, 5000)), max_size=4),
)
def test_a_kept_order_has_the_bill_that_was_quoted(session, catalogue, mode, rate, discount, counts):
    priced(session, tax_mode=mode, tax_percent=float(rate), deposit_percent=30)
    extras = tuple(
        ExtraRequest(ExtraSort.OTHER, count, title=f"Extra {count}", unit_minor=unit) for count, unit in counts
    )
    wanted = order_request(catalogue, extras=extras, discount=discount)
    quoted = _quoted(session, wanted).bill
    with session.begin_nested() as undone:
        order = take(session, wanted)
        session.refresh(order)
        assert bill_of_order(order) == replace(quoted, deposit=Amount(quoted.deposit_minor))
        assert (order.total_minor, order.tax_minor) == (quoted.total_minor, quoted.tax_minor)
        undone.rollback()


@pytest.mark.parametrize("mode", ["inclusive", "on top"])
def test_an_alternatives_difference_is_that_of_the_totals_with_discount_and_tax(session, catalogue, mode):
    """By hand: treating 24 at 0.50 each is 12.00, less 10 % 10.80; on top another 20 % of it, 2.16."""
    priced(session, tax_mode=mode, tax_percent=20, treat_minor=50)
    shop = load_shop(session)

    def ask(one):
        check_hours(one, before)
        return make_quote(one, shop, catalogue, before)

    before = MORNING - timedelta(days=3)
    hours = {"ready_by": at(9), "event_start": at(18), "lasts_until": at(0, days=1)}
    quote = ask(order_request(catalogue, discount=TEN, **hours))
    treat = next(way for way in find_alternatives(quote, ask, shop, catalogue, before) if way.change == "treat")
    assert treat.costs_minor == {"inclusive": 1080, "on top": 1080 + 216}[mode]


def test_no_floor_is_no_warning(session, catalogue):
    priced(session, hour_minor=100000)
    quote = _quoted(session, order_request(catalogue))
    assert floor_total(quote, catalogue, load_shop(session)) is None


@pytest.mark.parametrize(("mode", "taxed"), [("none", 1.0), ("inclusive", 1.2), ("on top", 1.2)])
def test_below_the_floor_the_least_total_leaves_it(session, catalogue, mode, taxed):
    """A price of that total, put into one more item, leaves the margin that is asked, and a few less do not."""
    priced(session, floor_percent=40, hour_minor=6000, tax_mode=mode, tax_percent=20)
    shop, wanted = load_shop(session), order_request(catalogue, discount=Percent(to_decimal(50)))
    quote = _quoted(session, wanted)
    cost = cost_minor(cost_of(quote, catalogue, shop))
    floor = shop.pricing.floor_percent
    least = floor_total(quote, catalogue, shop)
    assert Margin(quote.bill.net_minor, cost).below(floor)
    assert least == pytest.approx(cost / 0.6 * taxed, abs=2)
    net = {"none": least, "inclusive": least / 1.2, "on top": least / 1.2}[mode]
    assert not Margin(round(net), cost).below(floor)
    assert Margin(round(net) - 3, cost).below(floor)


def test_at_the_floor_nothing_is_said(session, catalogue):
    priced(session, floor_percent=40, hour_minor=100)
    quote = _quoted(session, order_request(catalogue, line(catalogue, quantity=100)))
    assert floor_total(quote, catalogue, load_shop(session)) is None


def test_changed_it_asks_the_deposit_that_was_asked(session, catalogue, order):
    """None was; then the shop begins to ask half, and a note is added to the order."""
    order = take(session, order_request(catalogue))
    change_settings(session, {"deposit_percent": 50})
    change(session, order, replace(rebuild_request(order), notes="ring twice"))
    assert order.deposit_asked_minor == 0
    later = take(session, order_request(catalogue, customer="Jory Hart"), key="later")
    change_settings(session, {"deposit_percent": 10})
    change(session, later, replace(rebuild_request(later), notes="ring twice"))
    assert later.deposit_asked_minor == later.total_minor / 2


def test_a_deposit_that_was_agreed_holds_for_what_is_added(session, catalogue):
    arch = stand(session)
    order = take(
        session,
        order_request(catalogue, extras=(ExtraRequest(ExtraSort.RENTAL, 1, arch.id),), return_by=at(10, days=2)),
    )
    arch.deposit_minor = 5000
    design = bouquet_on(session, arch)
    catalogue = load_catalogue(session)
    more = replace(rebuild_request(order), lines=(line(catalogue), design_line(design)))
    change(session, order, replace(more, bench_override=BENCH_REASON))
    assert [(rental.quantity, rental.deposit_minor) for rental in order.rentals] == [(2, 3000)]
    assert order.rental_deposit_minor == bill_of_order(order).refundable_minor == 6000
