"""A customer's own page: their orders, their name and phones corrected, their duplicates merged."""

import re

import pytest
from sqlalchemy import select

from app.actions.orders.customers import MERGED, TOO_MANY_PHONES, name_problem, phone_problem
from app.store.models import Order
from tests.begun import begins_with_presses
from tests.places.marks import marked, marks
from tests.places.payloads import Page, take, words


def _take_three(client):
    take(client)
    take(client, client_key="key-2")
    take(client, client_key="key-3", customer="Mina Hart", phone="+44 1632 960101")


template = begins_with_presses("two", _take_three)


@pytest.fixture
def two(client):
    """Wilhelmina with two orders, and Mina with one from the same phone: customers 1 and 2."""
    return [1001, 1002, 1003]


def _shown(client, number):
    """What a browser would send of the page as it stands."""
    values = Page(client.get(f"/counter/customers/{number}").text).values
    return {name: value for name, value in values.items() if name.startswith(("shown_", "name", "phones-"))}


def _save(client, number=1, opened=None, **sent):
    """The page saved as it was opened, or as it stands now, with something else typed."""
    sent = {name.replace("__", "-"): value for name, value in sent.items()}
    opened = _shown(client, number) if opened is None else opened
    return client.post(f"/counter/customers/{number}", data=opened | sent)


def _merge(client, keep=1, duplicate=2):
    return client.post(f"/counter/customers/{keep}/merge", data={"duplicate": str(duplicate)})


def test_it_shows_name_phones_and_all_orders_the_latest_first(client, two):
    answer = client.get("/counter/customers/1")
    page, links = Page(answer.text), re.findall(r'href="/counter/orders/(\d+)"', answer.text)
    assert page.values["name"] == "Wilhelmina Hart"
    assert page.values["phones-0"] == "01632 960101"
    assert page.values["phones-1"] == ""
    assert links == [str(two[1]), str(two[0])]


def test_the_order_leads_to_its_customer(client, two):
    page = client.get(f"/counter/orders/{two[2]}").text
    assert re.search(r'<a\s+class="whose"\s+href="/counter/customers/2">Mina Hart</a>', page)


def test_an_order_of_nobody_leads_nowhere(client):
    number = take(client, occasion="now", customer="", phone="")
    assert "/counter/customers/" not in client.get(f"/counter/orders/{number}").text


def test_finding_an_order_shows_its_customers_first(client, two):
    text = client.get("/counter/orders", query_string={"q": "hart"}).text
    assert (
        text.index("/counter/customers/2") < text.index("/counter/customers/1") < text.index("/counter/orders/10")
    )
    assert "/counter/customers/" not in client.get("/counter/orders").text


def test_name_and_phones_are_corrected(client, two):
    answer = _save(client, name="Wilhelmina Harte", phones__0="", phones__1="020 7946 0999")
    assert (answer.status_code, answer.location) == (303, "/counter/customers/1")
    page = Page(client.get("/counter/customers/1").text)
    assert (page.values["name"], page.values["phones-0"]) == ("Wilhelmina Harte", "020 7946 0999")
    assert "Wilhelmina Hart " in words(client.get(f"/counter/orders/{two[0]}").text)


def test_what_is_wrong_is_said_at_its_field_and_nothing_typed_is_lost(client, two):
    answer = _save(client, name="", phones__0="ask for Bo", phones__1="01632 960202")
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("name") == name_problem("")
    assert page.problem("phones-0") == phone_problem("ask for Bo")
    assert page.links == ["name", "phones-0"]
    assert page.describes("phones-0")
    assert (page.values["phones-0"], page.values["phones-1"]) == ("ask for Bo", "01632 960202")
    assert Page(client.get("/counter/customers/1").text).values["name"] == "Wilhelmina Hart"


def test_a_customer_without_a_phone_can_be_given_one(client, two):
    _save(client, name="Wilhelmina Hart", phones__0="")
    assert Page(client.get("/counter/customers/1").text).values["phones-0"] == ""
    _save(client, name="Wilhelmina Hart", phones__0="01632 960555")
    assert Page(client.get("/counter/customers/1").text).values["phones-0"] == "01632 960555"


def test_there_is_room_for_eight_phones_and_no_more(client, two):
    phones = {f"phones__{place}": f"0163296010{place}" for place in range(8)}
    assert _save(client, name="Wilhelmina Hart", **phones).status_code == 303
    assert "phones-8" not in Page(client.get("/counter/customers/1").text).values
    nine = phones | {"phones__8": "01632960109"}
    answer = _save(client, name="Wilhelmina Hart", **nine)
    assert answer.status_code == 422
    assert Page(answer.text).problem("phones-8") == TOO_MANY_PHONES


def test_a_possible_duplicate_is_offered_behind_a_question(client, two):
    page = client.get("/counter/customers/1").text
    assert marks(page, "duplicate") == ["2"]
    assert "Mina Hart +44 1632 960101" in words(page)
    assert re.search(r'<details class="confirm">.*?action="/counter/customers/1/merge"', page, re.DOTALL)


def test_who_has_no_duplicate_is_offered_none(client):
    take(client)
    assert marks(client.get("/counter/customers/1").text, "duplicate") == []


def test_a_merge_brings_orders_and_phones_and_the_old_address_leads_on(client, database, two):
    answer = _merge(client)
    assert (answer.status_code, answer.location) == (303, "/counter/customers/1")
    old = client.get("/counter/customers/2")
    assert (old.status_code, old.location) == (302, "/counter/customers/1")
    text = client.get("/counter/customers/1").text
    assert all(f"/counter/orders/{number}" in text for number in two)
    assert marks(text, "duplicate") == []
    with database.reading() as session:
        assert set(session.scalars(select(Order.customer_id))) == {1}


def test_an_order_that_moved_says_so(client, two):
    client.post("/staff/new", data={"name": "Isolde"})
    client.post("/staff/", data={"name": "Isolde"})
    _merge(client)
    last = marked(client.get(f"/counter/orders/{two[2]}").text, "who")[-1]
    assert last["data-who"] == "Isolde"
    assert re.findall(r"\w+ Hart", last["data-act"]) == ["Mina Hart", "Wilhelmina Hart"]
    assert last["data-act"].startswith("moved")


def test_a_second_press_on_merge_just_shows_the_customer(client, two):
    _merge(client)
    again = _merge(client)
    assert (again.status_code, again.location) == (303, "/counter/customers/1")


def test_the_page_tells_what_was_done_to_it(client, two):
    client.post("/staff/new", data={"name": "Isolde"})
    client.post("/staff/", data={"name": "Isolde"})
    assert marks(client.get("/counter/customers/1").text, "act") == []
    _save(client, name="Wilhelmina Harte")
    _merge(client)
    page = client.get("/counter/customers/1").text
    done = [(one["data-who"], one["data-act"]) for one in marked(page, "act")]
    assert done == [("Isolde", "changed"), ("Isolde", MERGED)]
    changes = [(one["data-was"], one["data-is"]) for one in marked(page, "was")]
    assert changes[:2] == [("Wilhelmina Hart", "Wilhelmina Harte"), ("Mina Hart", "Wilhelmina Harte")]


def test_two_tabs_on_one_customer_lose_no_phone(client, two):
    opened = _shown(client, 1)
    _save(client, phones__1="01632 960222")
    late = _save(client, opened=opened, phones__1="01632 960333")
    page = Page(late.text)
    assert late.status_code == 409
    assert marks(late.text, "saved-phones") == ["01632 960101 · 01632 960222"]
    phones = [page.values[f"phones-{place}"] for place in range(4)]
    assert phones == ["01632 960101", "01632 960333", "01632 960222", ""]
    assert _save(client, opened=page.values).status_code == 303
    assert "01632 960101 · 01632 960333 · 01632 960222" in words(client.get("/counter/customers/1").text)


def test_a_form_without_its_phones_takes_none_away(client, two):
    answer = client.post("/counter/customers/1", data={"name": "Wilhelmina Hart"})
    assert answer.status_code == 409
    assert Page(answer.text).values["phones-0"] == "01632 960101"
    assert Page(client.get("/counter/customers/1").text).values["phones-0"] == "01632 960101"


def test_saving_a_duplicate_that_was_merged_meanwhile_leaves_the_other_alone(client, two):
    opened = _shown(client, 2)
    _merge(client)
    saved = _shown(client, 1)
    late = _save(client, number=2, opened=opened, name="Mina Harte")
    assert late.status_code == 409
    assert marks(late.text, "merged-into") == ["1"]
    assert 'href="/counter/customers/1"' in late.text
    assert Page(late.text).values["name"] == "Mina Harte"
    assert _shown(client, 1) == saved


@pytest.mark.parametrize("duplicate", ["1", "", "x", "999"])
def test_a_merge_with_nobody_is_refused(client, two, duplicate):
    assert _merge(client, duplicate=duplicate).status_code in (404, 422)


def test_a_customer_who_never_was_is_not_there(client):
    assert client.get("/counter/customers/7").status_code == 404
    assert _save(client, number=7, opened={}, name="Bo").status_code == 404
