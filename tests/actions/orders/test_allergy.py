"""A latex allergy is saved with the order and with its customer."""

import pytest

from app.actions.errors import CustomerChangedMeanwhile
from app.actions.orders.customer_history import CustomerDetails, history_of_customer
from app.actions.orders.customers import change_customer, customer_of, load_customer, merge_customers
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.store.models import Customer
from app.store.queries.customers import find_customer
from tests.actions.builders import WHO, at, change, ctx, order_request, take

MARK = [["latex allergy", "no", "yes"]]


def _described(session, customer):
    return [(entry.act, entry.changes) for entry in history_of_customer(session, customer)]


def _allergic(session, name="Wilhelmina Hart", phone="01632 960101"):
    customer = customer_of(session, name, phone, None)
    customer.latex_allergy = True
    session.flush()
    return customer


def test_an_order_sets_it_on_the_customer_whom_it_makes(session, catalogue):
    order = take(session, order_request(catalogue, latex_allergy=True))
    customer = load_customer(session, order.customer_id)
    assert (order.latex_allergy, customer.latex_allergy) == (True, True)
    assert find_customer(session, customer.id).latex_allergy
    assert _described(session, customer) == []


def test_an_order_sets_it_on_a_customer_who_was_there_with_a_history(session, order, catalogue):
    later = take(session, order_request(catalogue, latex_allergy=True), key="key-2")
    customer = load_customer(session, order.customer_id)
    assert customer.latex_allergy
    assert _described(session, customer) == [(f"changed with order {later.number}", MARK)]
    assert not order.latex_allergy


def test_an_order_without_it_takes_it_from_nobody(session, catalogue):
    customer = _allergic(session)
    order = take(session, order_request(catalogue, customer_id=customer.id))
    assert not order.latex_allergy
    assert customer.latex_allergy


def test_a_customer_who_was_not_chosen_brings_it_to_the_order(session, catalogue):
    """The form could not show it, because nobody had chosen them."""
    customer = _allergic(session)
    order = take(session, order_request(catalogue))
    assert order.customer_id == customer.id
    assert order.latex_allergy
    assert take(session, order_request(catalogue)) is order


def test_the_same_form_with_the_tick_is_another_order(session, order, catalogue):
    with pytest.raises(Refused):
        take(session, order_request(catalogue, latex_allergy=True))


def test_a_change_of_an_order_sets_it_and_its_history_says_so(session, order, catalogue):
    change(session, order, order_request(catalogue, latex_allergy=True, customer_id=order.customer_id))
    assert load_customer(session, order.customer_id).latex_allergy
    assert history_of(session, order)[-1].changes == MARK
    was = history_of(session, order)[-1].description
    assert ["latex allergy", "yes"] in [list(pair) for pair in was]


def test_a_change_of_something_else_leaves_the_customer_as_their_page_says(session, catalogue):
    order = take(session, order_request(catalogue, latex_allergy=True))
    customer = load_customer(session, order.customer_id)
    customer.latex_allergy = False
    wanted = order_request(catalogue, latex_allergy=True, notes="ring", customer_id=customer.id)
    change(session, order, wanted)
    assert (order.latex_allergy, customer.latex_allergy) == (True, False)


def test_an_order_given_to_another_customer_takes_it_along(session, catalogue):
    first = take(session, order_request(catalogue, latex_allergy=True))
    take(session, order_request(catalogue), key="key-2")
    other = order_request(catalogue, latex_allergy=True, customer="Runa Vik", phone="01632 960303")
    change(session, first, other)
    assert session.get_one(Customer, first.customer_id).name == "Runa Vik"
    assert session.get_one(Customer, first.customer_id).latex_allergy


def test_their_page_changes_it_with_its_history(session, order):
    customer = load_customer(session, order.customer_id)
    shown = CustomerDetails.of(customer)
    wanted = CustomerDetails(shown.name, shown.phones, latex_allergy=True)
    change_customer(ctx(session, who=WHO, now=at(10)), customer.id, shown, wanted)
    assert customer.latex_allergy
    assert _described(session, customer) == [("changed", MARK)]
    with pytest.raises(CustomerChangedMeanwhile):
        change_customer(ctx(session, who=WHO, now=at(10)), customer.id, shown, shown)
    assert customer.latex_allergy


def test_a_merged_duplicate_brings_it_along(session):
    keep = customer_of(session, "Wilhelmina Hart", "01632 960101", None)
    duplicate = _allergic(session, "Mina Hart", "01632 960202")
    merge_customers(ctx(session, now=at(9)), keep.id, duplicate.id)
    assert keep.latex_allergy
    assert MARK[0] in [list(one) for one in _described(session, keep)[-1][1]]
