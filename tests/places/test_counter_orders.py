"""The page of the list of orders, its filters in the address, and its table for elsewhere."""

import csv
import io
import re

import pytest

from app.places.counter.order_list import CSV_HEAD, PAGE_SIZE
from tests.actions.builders import BENCH_REASON, line, order_request
from tests.actions.builders import take as take_directly
from tests.begun import begins_with_presses
from tests.places.payloads import CALLED_OFF, Page, take


def _numbers(text):
    return [int(one) for one in re.findall(r'<li\s+data-order="(\d+)"', text)]


def _list(client, status=200, **asked):
    page = client.get("/counter/orders", query_string=asked)
    assert page.status_code == status, page.text
    return page.text


def _take_cast(client):
    take(client)
    days = dict.fromkeys(("event_start__day", "lasts_until__day", "hand_over_time__day"), "2026-11-28")
    take(client, client_key="key-2", customer="Odd Larsen", phone="01632 960202", **days)
    off = take(client, client_key="key-3", customer="Bo Vik", lines__0__what="balloon_type:5")
    client.post(f"/counter/orders/{off}/cancel", data=CALLED_OFF)


template = begins_with_presses("cast", _take_cast)


@pytest.fixture
def cast(client):
    """Three orders: for today, for next Saturday, and a cancelled one for today."""
    return {"today": 1001, "later": 1002, "off": 1003}


@pytest.mark.parametrize(
    ("asked", "wanted"),
    [
        ({}, ["today", "later"]),
        ({"from": "today"}, ["today", "off", "later"]),
        ({"from": "today", "to": "sat"}, ["today", "off"]),
        ({"from": "28 nov"}, ["later"]),
        ({"to": "21 nov"}, ["off", "today"]),
        ({"from": "28 nov", "to": "21 nov"}, ["today", "off", "later"]),
        ({"q": "larsen"}, ["later"]),
        ({"q": "960202"}, ["later"]),
        ({"state": "cancelled"}, ["off"]),
        ({"state": "not-started"}, ["later", "today"]),
        ({"state": "handed-over"}, []),
        ({"unpaid": "y"}, ["later", "today"]),
        ({"not_ready": "y"}, ["today", "later"]),
        ({"design": "11 in latex"}, ["later", "today"]),
        ({"design": "12 IN"}, ["off"]),
        ({"q": "hart", "not_ready": "y", "from": "today", "to": "today"}, ["today"]),
        ({"q": "hart", "state": "cancelled"}, []),
        ({"q": "  ", "design": ""}, ["today", "later"]),
    ],
)
def test_each_filter_finds_its_orders(client, cast, asked, wanted):
    assert sorted(_numbers(_list(client, **asked))) == sorted(cast[one] for one in wanted)


def test_with_a_first_day_the_earliest_comes_first_and_else_the_latest(client, cast):
    assert _numbers(_list(client, **{"from": "today"}))[-1] == cast["later"]
    assert _numbers(_list(client, state="not-started"))[0] == cast["later"]


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"from": "soon"}, "orders-from"),
        ({"to": "31 feb"}, "orders-to"),
        ({"state": "lost"}, "state"),
        ({"q": "x" * 81}, "q"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field_and_lists_nothing(client, cast, asked, field):
    page = Page(_list(client, 422, **asked))
    assert page.links == [field]
    assert page.by_id[field]["aria-invalid"] == "true"
    assert _numbers(_list(client, 422, **asked)) == []


def test_a_part_says_what_is_wrong_too(client, cast):
    asked = {"from": "soon"}
    part = client.get("/counter/orders", query_string=asked, headers={"HX-Request-Type": "partial"})
    assert (part.status_code, _numbers(part.text)) == (422, [])
    assert 'data-problems="1"' in part.text
    assert "<form" not in part.text


def test_a_typed_day_is_written_out_so_that_the_address_means_the_same_tomorrow(client, cast):
    page = Page(_list(client, **{"from": "tomorrow", "to": "28 nov"}))
    assert (page.values["from"], page.values["to"]) == ("22 Nov 2026", "28 Nov 2026")


def test_each_row_has_its_state_its_money_and_the_time_with_its_weekday(client, number):
    page = _list(client)
    assert 'data-progress="not-started"' in page
    assert 'data-money="to pay"' in page
    assert 'datetime="2026-11-21T14:00:00+00:00"' in page
    assert page.count('<svg class="swatch') == 2
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert 'class="row-cancelled"' in _list(client, q="hart")


@pytest.fixture
def many(database):
    """Two full pages of orders and one more."""
    with database.writing() as session:
        from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415

        goods = load_catalogue(session)
        wanted = order_request(
            goods, line(goods, quantity=1), bench_override=BENCH_REASON, stock_override=BENCH_REASON
        )
        return [take_directly(session, wanted, key=f"key-{place}").number for place in range(2 * PAGE_SIZE + 1)]


def _table(answer):
    return io.StringIO(answer.data.decode("utf-8-sig"), newline="")


def test_pages_follow_each_other_and_the_table_has_all(many, client, monkeypatch):
    """The table is read in steps, of which there are several here."""
    monkeypatch.setattr("app.places.counter.order_list.CSV_STEP", 10)
    found, sizes, address = [], [], "/counter/orders?q=hart"
    while address:
        text = client.get(address).text
        sizes.append(len(_numbers(text)))
        found += _numbers(text)
        forward = re.search(r'href="([^"]+)">Page \d+ ›', text)
        address = forward and forward[1].replace("&amp;", "&")
    assert sizes == [PAGE_SIZE, PAGE_SIZE, 1]
    assert found == sorted(many, reverse=True)
    rows = list(csv.reader(_table(client.get("/counter/orders.csv?q=hart"))))
    assert rows[0] == [*CSV_HEAD]
    assert [int(row[0]) for row in rows[1:]] == found


@pytest.mark.parametrize("page", ["0", "-1", "x", "99999999", "9" * 40])
def test_a_page_that_is_not_there_is_an_answer_all_the_same(client, number, page):
    assert _numbers(_list(client, page=page)) in ([number], [])


def test_the_table_says_of_each_order_what_its_row_says(client, cast):
    answer = client.get("/counter/orders.csv?from=today")
    rows = {int(row["Order"]): row for row in csv.DictReader(_table(answer))}
    assert answer.mimetype == "text/csv"
    assert set(rows) == set(cast.values())
    today = rows[cast["today"]]
    assert (today["Customer"], today["Phone"]) == ("Wilhelmina Hart", "01632 960101")
    assert (today["Time"], today["What"]) == ("2026-11-21 14:00", "24 × 11 in latex")
    assert (today["Price"], today["Still to pay"]) == ("26.40", "26.40")
    assert rows[cast["off"]]["State"] == "Cancelled"


@pytest.mark.parametrize("name", ["=SUM(A1)", "@SUM(A1)", "+Vik", "-Vik"])
def test_no_name_is_read_as_a_formula(client, name):
    take(client, customer=name)
    (row,) = csv.DictReader(_table(client.get("/counter/orders.csv")))
    assert row["Customer"] == f"'{name}"


def test_a_table_of_a_date_that_cannot_be_read_is_refused(client):
    assert client.get("/counter/orders.csv?from=soon").status_code == 400


def test_the_part_is_what_stands_on_the_page(client, cast):
    asked = {"state": "cancelled"}
    part = client.get("/counter/orders", query_string=asked, headers={"HX-Request-Type": "partial"}).text
    assert part in _list(client, **asked)


def test_a_page_says_what_is_wrong_in_its_form_and_the_list_alone_says_it_itself(client):
    wrong = {"from": "notaday"}
    sentence = client.get("/counter/orders", query_string=wrong, headers={"HX-Request-Type": "partial"}).text
    (said,) = re.findall(r'<p class="problem">[^:]*: ([^<]+)</p>', sentence)
    page = client.get("/counter/orders", query_string=wrong).text
    assert 'data-problems="1"' in page
    assert page.count(said) == 2
