"""Whose order it is: found again by name and phone, corrected, and duplicates merged into one."""

import pytest
from sqlalchemy import func, select

from app.actions.errors import CustomerChangedMeanwhile, MergedMeanwhile, NotFound
from app.actions.orders.customer_history import CustomerDetails, history_of_customer
from app.actions.orders.customers import (
    change_customer,
    customer_of,
    load_customer,
    merge_customers,
)
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.quoting.request import OVER_THE_COUNTER, Occasion
from app.store.models import Customer
from app.store.queries.customers import find_customer, find_customers, find_duplicates, past_orders
from tests.actions.builders import MORNING, WHO, at, change, ctx, order_request, problems, take


def _count(session):
    return session.scalar(select(func.count()).select_from(Customer))


def _phones(customer):
    return [phone.shown for phone in customer.phones]


def _save(session, customer_id, name, phones, shown=None):
    """Their page saved as it is shown now, unless it showed something else; a field left out is one left empty."""
    shown = shown or CustomerDetails.of(load_customer(session, customer_id))
    phones = [*phones, *[""] * (len(shown.phones) - len(phones))]
    wanted = CustomerDetails(name, tuple(phones), shown.latex_allergy)
    return change_customer(ctx(session, who="Isolde", now=at(10)), customer_id, shown, wanted)


def _described(session, customer):
    return [(entry.who, entry.at, entry.act, entry.changes) for entry in history_of_customer(session, customer)]


def test_an_order_makes_a_customer(session, order):
    row = find_customer(session, order.customer_id)
    assert (row.name, row.phones, row.last_order_at) == ("Wilhelmina Hart", ("01632 960101",), MORNING)
    assert (order.customer, order.phone) == ("Wilhelmina Hart", "01632 960101")


@pytest.mark.parametrize("phone", ["01632 960101", "(01632) 96-01-01", "+44 1632 960101", "0044 (0)1632 960101"])
def test_the_same_name_and_phone_in_any_format_are_the_same_customer(session, catalogue, phone):
    first = take(session, order_request(catalogue))
    second = take(session, order_request(catalogue, customer="wilhelmina HÁRT", phone=phone), at(9), key="key-2")
    assert second.customer_id == first.customer_id is not None


def test_accents_and_capitals_make_no_other_customer(session):
    first = customer_of(session, "Élodie Åberg", "01632 960101", None)
    assert customer_of(session, "ELODIE ABERG", "+44 1632 960101", None) is first
    assert _phones(first) == ["01632 960101"]


def test_two_names_with_one_phone_are_two_customers(session, catalogue):
    first, second = (
        take(session, order_request(catalogue)),
        take(session, order_request(catalogue, customer="Jory Hart"), key="key-2"),
    )
    assert first.customer_id != second.customer_id
    assert {row.name for row in find_customers(session, "960101")} == {"Wilhelmina Hart", "Jory Hart"}


def test_one_name_with_two_phones_is_two_customers_until_somebody_chooses(session):
    first = customer_of(session, "Wilhelmina Hart", "01632 960101", None)
    assert customer_of(session, "Wilhelmina Hart", "01632 960999", None) is not first
    assert customer_of(session, "Wilhelmina Hart", "01632 960555", first.id) is first
    assert _phones(first) == ["01632 960101", "01632 960555"]
    assert [row.id for row in find_customers(session, "960555")] == [first.id]


def test_short_numbers_are_alike_only_when_they_are_equal(session):
    first = customer_of(session, "Bo Lind", "60101", None)
    assert customer_of(session, "Bo Lind", "960101", None) is not first
    assert customer_of(session, "Bo Lind", "6-01-01", None) is first


def test_whoever_was_chosen_counts_only_while_the_name_is_theirs(session, catalogue):
    chosen = take(session, order_request(catalogue)).customer_id
    other = take(session, order_request(catalogue, customer="Jory Hart", customer_id=chosen), key="key-2")
    assert other.customer_id != chosen


def test_a_customer_who_was_chosen_but_is_not_there_is_no_harm(session, catalogue):
    assert take(session, order_request(catalogue, customer_id=999)).customer_id is not None


@pytest.mark.parametrize(
    ("name", "phone"), [(OVER_THE_COUNTER, ""), (OVER_THE_COUNTER, "01632 960101"), ("Wilhelmina Hart", "")]
)
def test_a_sale_without_name_or_phone_has_no_customer(session, catalogue, name, phone):
    sale = {"occasion": Occasion.NOW, "ready_by": None, "event_start": None, "lasts_until": None}
    order = take(session, order_request(catalogue, customer=name, phone=phone, **sale), at(9))
    assert order.customer_id is None
    assert _count(session) == 0


def test_the_same_form_again_makes_no_second_customer(session, catalogue):
    take(session, order_request(catalogue))
    take(session, order_request(catalogue, customer_id=None))
    assert _count(session) == 1


def test_the_latest_order_is_known(session, catalogue):
    first = take(session, order_request(catalogue), MORNING)
    take(session, order_request(catalogue), at(9), key="key-2")
    take(session, order_request(catalogue), at(8), key="key-3")
    assert load_customer(session, first.customer_id).last_order_at == at(9)
    assert [past.number for past in past_orders(session, first.customer_id)] == [1003, 1002, 1001]


def test_an_order_given_another_name_goes_to_another_customer(session, catalogue):
    first, order = (
        take(session, order_request(catalogue)),
        take(session, order_request(catalogue), at(9), key="key-2"),
    )
    change(session, order, order_request(catalogue, customer="Jory Hart", customer_id=order.customer_id))
    assert order.customer_id != first.customer_id
    assert load_customer(session, first.customer_id).last_order_at == MORNING
    assert [past.number for past in past_orders(session, first.customer_id)] == [first.number]


def test_an_order_given_another_phone_stays_and_the_customer_has_both(session, catalogue, order):
    take(session, order_request(catalogue), at(9), key="key-2")
    before = order.customer_id
    change(session, order, order_request(catalogue, phone="01632 960777"))
    assert order.customer_id == before
    assert _phones(load_customer(session, before)) == ["01632 960101", "01632 960777"]


def test_a_typing_error_corrected_in_the_only_order_leaves_no_second_customer(session, catalogue):
    order = take(session, order_request(catalogue, customer="Typo Tess", phone="01632 960100"))
    customer = load_customer(session, order.customer_id)
    change(session, order, order_request(catalogue, customer="Tess", phone="01632 960101", customer_id=customer.id))
    assert (order.customer_id, _count(session)) == (customer.id, 1)
    assert (customer.name, _phones(customer)) == ("Tess", ["01632 960101"])
    assert [row.name for row in find_customers(session, "tess")] == ["Tess"]
    assert find_customers(session, "960100") == []
    changes = [["name", "Typo Tess", "Tess"], ["phone numbers", "01632 960100", "01632 960101"]]
    assert _described(session, customer) == [("Tobiah", MORNING, f"corrected with order {order.number}", changes)]


def test_a_typing_error_that_was_a_known_customer_is_deleted(session, catalogue):
    known = take(session, order_request(catalogue, customer="Tess")).customer_id
    order = take(session, order_request(catalogue, customer="Typo Tess"), at(9), key="key-2")
    change(session, order, order_request(catalogue, customer="Tess", customer_id=order.customer_id), at(9))
    assert (order.customer_id, _count(session)) == (known, 1)
    assert load_customer(session, known).last_order_at == at(9)


@pytest.mark.parametrize("spared", ["phone", "history", "duplicate"])
def test_whoever_is_more_than_a_slip_stays_without_an_order(session, catalogue, spared):
    known = take(session, order_request(catalogue, customer="Tess")).customer_id
    order = take(session, order_request(catalogue, customer="Tessa"), at(9), key="key-2")
    before = order.customer_id
    if spared == "duplicate":
        duplicate = customer_of(session, "Tessie", "01632 960101", None)
        _merge(session, before, duplicate.id)
    else:
        phone = "01632 960555" if spared == "phone" else "01632 960101"
        _save(session, before, "Tessa Vik", [phone])
    change(session, order, order_request(catalogue, customer="Tess", customer_id=known), at(9))
    assert order.customer_id == known
    assert load_customer(session, before).last_order_at is None


def test_an_order_stays_with_a_customer_whose_name_was_corrected(session, catalogue):
    order = take(session, order_request(catalogue, customer="Wilhelmna Hart"))
    customer = _save(session, order.customer_id, "Wilhelmina Hart", ["01632 960101"])
    change(
        session,
        order,
        order_request(catalogue, customer="Wilhelmna Hart", notes="side door", customer_id=customer.id),
    )
    change(
        session,
        order,
        order_request(catalogue, customer="Wilhelmna Hart", phone="01632 960777", customer_id=customer.id),
    )
    assert order.customer_id == customer.id
    assert _count(session) == 1


def test_name_and_phones_are_corrected_and_an_emptied_phone_goes(session):
    customer = customer_of(session, "Wilhelmna Hart", "01632 960101", None)
    _save(session, customer.id, "  Wilhelmina  Hart ", ["", " 01632  960202", "020 7946 0999"])
    assert (customer.name, _phones(customer)) == ("Wilhelmina Hart", ["01632 960202", "020 7946 0999"])
    assert [row.id for row in find_customers(session, "wilhelmina")] == [customer.id]
    assert [row.id for row in find_customers(session, "79460")] == [customer.id]
    assert find_customers(session, "960101") == []


def test_what_was_put_right_is_kept_with_who_and_when(session):
    customer = customer_of(session, "Wilhelmna Hart", "01632 960101", None)
    _save(session, customer.id, "Wilhelmina Hart", ["01632 960101", "01632 960202"])
    _save(session, customer.id, "Wilhelmina Hart", ["01632 960101", "01632 960202"])
    changes = [
        ["name", "Wilhelmna Hart", "Wilhelmina Hart"],
        ["phone numbers", "01632 960101", "01632 960101 · 01632 960202"],
    ]
    assert _described(session, customer) == [("Isolde", at(10), "changed", changes)]


def test_a_page_that_no_longer_shows_them_as_they_are_is_not_saved(session):
    customer = customer_of(session, "Bo Lind", "01632 960101", None)
    shown = CustomerDetails.of(customer)
    _save(session, customer.id, "Bo Lind", ["01632 960101", "01632 960202"])
    with pytest.raises(CustomerChangedMeanwhile):
        _save(session, customer.id, "Bo Lind", ["01632 960101", "01632 960303"], shown)
    assert _phones(customer) == ["01632 960101", "01632 960202"]


def test_a_form_that_came_without_its_phones_takes_none_away(session):
    customer = customer_of(session, "Bo Lind", "01632 960101", None)
    wanted = CustomerDetails("Bo Lind", (), latex_allergy=False)
    shown = CustomerDetails.of(customer)
    with pytest.raises(CustomerChangedMeanwhile):
        change_customer(ctx(session, who="Isolde", now=at(10)), customer.id, shown, wanted)
    assert _phones(customer) == ["01632 960101"]


def test_a_duplicate_that_was_merged_meanwhile_is_not_saved(session):
    keep = customer_of(session, "Wilhelmina Hart", "01632 960101", None)
    duplicate = customer_of(session, "Mina Hart", "01632 960202", None)
    shown = CustomerDetails.of(duplicate)
    _merge(session, keep.id, duplicate.id)
    with pytest.raises(MergedMeanwhile) as merged:
        _save(session, duplicate.id, "Mina Hart", ["01632 960202"], shown)
    assert (merged.value.duplicate, merged.value.merged_into) == (duplicate, keep)
    assert (keep.name, _phones(keep)) == ("Wilhelmina Hart", ["01632 960101", "01632 960202"])


def test_the_same_phone_twice_is_kept_once_as_it_was_given_first(session):
    customer = customer_of(session, "Bo Lind", "01632 960101", None)
    _save(session, customer.id, "Bo Lind", ["01632 960101", "+44 1632 960101"])
    assert _phones(customer) == ["01632 960101"]


@pytest.mark.parametrize(
    ("name", "phones", "field"),
    [
        ("", [], "name"),
        ("12 34", [], "name"),
        ("x" * 81, [], "name"),
        ("Bo Lind", ["01632 960101", "ask for Bo"], "phones.1"),
        ("Bo Lind", ["()"], "phones.0"),
        ("Bo Lind", ["1" * 41], "phones.0"),
        ("Bo Lind", [f"0163296010{n}" for n in range(9)], "phones.8"),
    ],
)
def test_what_cannot_be_a_name_or_a_phone_is_refused(session, name, phones, field):
    customer = customer_of(session, "Bo Lind", "01632 960101", None)
    with pytest.raises(Refused) as refusal:
        _save(session, customer.id, name, phones)
    assert set(problems(refusal)) == {field}
    assert (customer.name, _phones(customer)) == ("Bo Lind", ["01632 960101"])


def test_a_customer_who_never_was_is_not_there(session):
    for ask in (lambda: load_customer(session, 7), lambda: _save(session, 7, "Bo", [])):
        with pytest.raises(NotFound):
            ask()


@pytest.fixture
def two(session, catalogue):
    """One person twice: two orders as Wilhelmina, one as Mina with a phone more."""
    saved = take(session, order_request(catalogue))
    take(session, order_request(catalogue), at(8), key="key-2")
    duplicate = take(
        session, order_request(catalogue, customer="Mina Hart", phone="01632 960222"), at(9), key="key-3"
    )
    return saved, duplicate


def _merge(session, keep, duplicate):
    return merge_customers(ctx(session, who="Isolde", now=at(10)), keep, duplicate)


def test_a_duplicate_gives_its_orders_and_phones_away(session, two):
    saved, duplicate = two
    customer = _merge(session, saved.customer_id, duplicate.customer_id)
    assert duplicate.customer_id == saved.customer_id == customer.id
    assert _phones(customer) == ["01632 960101", "01632 960222"]
    assert customer.last_order_at == at(9)
    assert [row.name for row in find_customers(session, "hart")] == ["Wilhelmina Hart"]
    assert [row.id for row in find_customers(session, "960222")] == [customer.id]


def test_each_order_that_moved_says_so_in_its_history(session, two):
    saved, duplicate = two
    _merge(session, saved.customer_id, duplicate.customer_id)
    entry = history_of(session, duplicate)[-1]
    assert (entry.who, entry.at, entry.order_version) == ("Isolde", at(10), duplicate.version)
    assert entry.act == "moved from customer Mina Hart to customer Wilhelmina Hart"
    assert duplicate.customer == "Mina Hart"
    assert [entry.who for entry in history_of(session, saved)] == [WHO]


def test_the_duplicate_is_found_as_the_one_who_was_kept(session, catalogue, two):
    saved, duplicate = two
    was = duplicate.customer_id
    customer = _merge(session, saved.customer_id, was)
    assert load_customer(session, was) is customer
    assert find_customer(session, was) is None
    again = take(
        session, order_request(catalogue, customer="Mina Hart", phone="+44 1632 960222"), at(10), key="key-4"
    )
    chosen = take(
        session, order_request(catalogue, customer="Mina Hart", phone="", customer_id=was), at(10), key="key-5"
    )
    assert (again.customer_id, chosen.customer_id) == (customer.id, customer.id)


def test_a_duplicate_of_a_duplicate_leads_to_the_last(session, catalogue, two):
    saved, duplicate = two
    was = duplicate.customer_id
    third = take(session, order_request(catalogue, customer="Billie Hart"), at(9), key="key-4")
    first = _merge(session, saved.customer_id, was).id
    last = _merge(session, third.customer_id, first)
    assert load_customer(session, was) is load_customer(session, first) is last


def test_nobody_is_merged_with_themselves(session, two):
    with pytest.raises(Refused) as refusal:
        _merge(session, two[0].customer_id, two[0].customer_id)
    assert set(problems(refusal)) == {"duplicate"}


def test_a_second_press_on_merge_finds_it_done(session, two):
    keep, duplicate = two[0].customer_id, two[1].customer_id
    customer = _merge(session, keep, duplicate)
    assert _merge(session, keep, duplicate) is customer
    merged = (
        ["merged", "Mina Hart", "Wilhelmina Hart"],
        ["phone numbers", "01632 960101", "01632 960101 · 01632 960222"],
    )
    assert _described(session, customer) == [("Isolde", at(10), "merged with a duplicate", list(merged))]


def test_nobody_is_merged_twice(session, catalogue, two):
    keep, duplicate = two[0].customer_id, two[1].customer_id
    other = take(session, order_request(catalogue, customer="Billie Hart"), at(9), key="key-4").customer_id
    _merge(session, keep, duplicate)
    for pair in ((duplicate, keep), (other, duplicate), (duplicate, other)):
        with pytest.raises(Refused) as refusal:
            _merge(session, *pair)
        assert set(problems(refusal)) == {"duplicate"}


def test_nobody_is_merged_with_somebody_who_is_not_there(session, two):
    with pytest.raises(NotFound):
        _merge(session, two[0].customer_id, 999)


def test_alike_names_or_alike_phones_may_be_duplicates(session):
    one = customer_of(session, "Wilhelmina Hart", "01632 960101", None)
    named = customer_of(session, "wilhelmina hart", "01632 960999", None)
    phoned = customer_of(session, "Mina", "+44 1632 960101", None)
    for name, phone in (("Jory", "01632 96010"), ("Ulf", "1632 9601"), ("Ada", "01632 960102"), ("Bo", "960101")):
        customer_of(session, name, phone, None)
    assert {row.id for row in find_duplicates(session, one)} == {named.id, phoned.id}


def test_short_phones_make_duplicates_only_when_they_are_equal(session):
    one = customer_of(session, "Ada", "960101", None)
    customer_of(session, "Bo", "01632 960101", None)
    same = customer_of(session, "Ulf", "96 01 01", None)
    assert [row.id for row in find_duplicates(session, one)] == [same.id]
