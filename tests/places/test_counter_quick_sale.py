"""A quick sale at the counter: what, how many, sold."""

import csv
import io
import re
from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.actions.orders.quick_sale import NOT_A_QUICK_SALE, SALE_UNDONE
from app.places.counter.line_form import MOST_OF_A_LINE
from app.places.counter.quick_sale import CHOOSE_BOTH, NO_QUICK_SALE, PRICE_CHANGED
from app.quoting.request import OVER_THE_COUNTER, Service
from app.store.models import BalloonTypeRow, Order
from app.web.wording.forms import PAGE_OUT_OF_DATE, enter_whole
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import Page, take, words

SALE = {"client_key": "sale-1", "what": "sold-4", "quantity": "3"}


def _sell(client, **changes):
    answer = client.post("/counter/quick-sale", data=SALE | changes)
    assert answer.status_code == 303, words(answer.text)
    return int(answer.location.rpartition("=")[2])


def _orders(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(Order))


def _last_sale(text):
    """The number of the sale that the page confirms, and whether it is undone."""
    (sale,) = marked(text, "sold")
    return sale["data-sold"], sale["data-undone"]


def _offered(text):
    return set(re.findall(r'id="what-([a-z0-9-]+)"', text))


def test_three_presses_sell(client, database):
    first = client.get("/counter/quick-sale")
    assert 'href="/counter/quick-sale?what=sold-4"' in first.text
    second = client.get("/counter/quick-sale", query_string={"what": "sold-4"})
    assert 'href="/counter/quick-sale?what=sold-4&amp;quantity=3&amp;key=' in second.text
    third = client.get("/counter/quick-sale", query_string={"what": "sold-4", "quantity": "3"})
    assert marks(third.text, "total") == ["330"]
    sent = Page(third.text).values
    number = _sell(client, **{name: sent[name] for name in ("client_key", "what")}, quantity="3")
    after = client.get("/counter/quick-sale", query_string={"sold": number}).text
    assert _last_sale(after) == (str(number), "no")
    assert marks(after, "sold-today") == ["1"]
    assert _orders(database) == 1


def test_the_three_groups_offer_what_can_be_done(client):
    offered = _offered(client.get("/counter/quick-sale").text)
    assert {"air-1", "sold-4", "air-11", "sold-12", "own-12", "top-up-12"} <= offered
    assert not {"sold-1", "air-4", "own-4", "top-up-4", "own-11", "top-up-11"} & offered


def test_a_kind_without_a_price_for_it_is_not_offered(client, database):
    with database.writing() as session:
        session.get(BalloonTypeRow, 12).top_up_minor = None
    offered = _offered(client.get("/counter/quick-sale").text)
    assert "own-12" in offered
    assert "top-up-12" not in offered


def test_it_is_sold_with_air_where_that_is_chosen(client):
    page = client.get("/counter/quick-sale?what=sold-4&quantity=2").text
    assert 'href="/counter/quick-sale?what=air-4&amp;quantity=2&amp;key=' in page
    number = _sell(client, what="air-4", quantity="2")
    page = client.get(f"/counter/orders/{number}").text
    assert marks(page, "gas") == ["air"]
    assert "2 × 11 in latex" in text_of(page, "sold-0")


@pytest.mark.parametrize(
    ("what", "hints"),
    [
        ("own-12", ["fill", "hours", "safety"]),
        ("top-up-12", ["cold", "seconds", "safety"]),
        ("sold-4", ["fill", "hours", "safety"]),
        ("air-11", ["air"]),
    ],
)
def test_the_hints_are_those_of_what_is_chosen(client, what, hints):
    page = client.get("/counter/quick-sale", query_string={"what": what, "quantity": "1"}).text
    assert marks(page, "hint") == hints


def test_the_float_time_of_what_is_chosen_is_shown(client):
    assert "15 h" in words(client.get("/counter/quick-sale?what=sold-4").text)
    assert re.search(
        r"14 L at 20 °C .* 13\.3 L at 5 °C", words(client.get("/counter/quick-sale?what=top-up-12").text)
    )


def test_the_cold_foil_is_told_in_the_shops_units(client):
    client.post("/office/settings", data={"temperature": "°F", "shop_celsius": "25"})
    page = words(client.get("/counter/quick-sale?what=top-up-12").text)
    assert re.search(r"14 L at 77 °F .* 13\.3 L at 50 °F", page)


@pytest.mark.parametrize("typed", ["0", "-1", "5001", "many", "1.5"])
def test_a_number_that_cannot_be_has_its_sentence_and_stays_typed(client, database, typed):
    for answer in (
        client.get("/counter/quick-sale", query_string={"what": "sold-4", "quantity": typed}),
        client.post("/counter/quick-sale", data=SALE | {"quantity": typed}),
    ):
        page = Page(answer.text)
        assert answer.status_code == 422
        assert page.problem("quantity") == enter_whole(1, MOST_OF_A_LINE).replace("5000", "5,000")
        assert page.describes("quantity")
        assert page.values["quantity"] == typed
        assert 'id="sell"' not in answer.text
    assert _orders(database) == 0


@pytest.mark.parametrize("what", ["sold-999", "balloon_type:4", "own-4", "²"])
def test_what_is_no_quick_sale_has_its_sentence(client, database, what):
    for answer in (
        client.get("/counter/quick-sale", query_string={"what": what}),
        client.post("/counter/quick-sale", data=SALE | {"what": what}),
    ):
        assert answer.status_code == 422
        assert NO_QUICK_SALE in Page(answer.text).summary
    assert _orders(database) == 0


@pytest.mark.parametrize("missing", ["what", "quantity"])
def test_half_a_sale_is_none(client, database, missing):
    answer = client.post("/counter/quick-sale", data={name: sent for name, sent in SALE.items() if name != missing})
    assert answer.status_code == 422
    assert CHOOSE_BOTH in Page(answer.text).summary
    assert _orders(database) == 0


def test_a_sale_without_its_key_is_none(client, database):
    answer = client.post("/counter/quick-sale", data=SALE | {"client_key": ""})
    assert answer.status_code == 422
    assert PAGE_OUT_OF_DATE in Page(answer.text).summary
    assert _orders(database) == 0


def test_the_same_press_twice_is_one_sale(client, database):
    assert _sell(client) == _sell(client)
    assert _orders(database) == 1


def test_what_was_told_is_what_is_paid(client, database):
    """The price on the page that was shown, not one that the owner typed since."""
    sent = Page(client.get("/counter/quick-sale?what=sold-4&quantity=3").text).values
    client.post("/office/balloon-types/4", data={"mass_g": "3", "size_factor": "1", "price": "1.30"})
    answer = client.post("/counter/quick-sale", data=sent)
    assert answer.status_code == 422
    assert PRICE_CHANGED in Page(answer.text).summary
    assert marks(answer.text, "total") == ["390"]
    assert _orders(database) == 0
    assert client.post("/counter/quick-sale", data=Page(answer.text).values).status_code == 303


def test_a_sale_is_undone_once(client):
    number = _sell(client)
    for _ in range(2):
        answer = client.post(f"/counter/quick-sale/{number}/undo", follow_redirects=True)
        assert _last_sale(answer.text) == (str(number), "yes")
        assert f"/counter/quick-sale/{number}/undo" not in answer.text
    assert "data-order=" not in client.get("/office/review/orders").text
    again = client.post("/counter/quick-sale", data=SALE)
    assert again.status_code == 422
    assert SALE_UNDONE.format(number=number) in Page(again.text).summary


def test_an_order_is_not_undone_as_a_sale(client, number):
    answer = client.post(f"/counter/quick-sale/{number}/undo")
    assert answer.status_code == 422
    assert NOT_A_QUICK_SALE.format(number=number) in Page(answer.text).summary


def test_an_order_is_not_confirmed_as_a_sale(client, number):
    assert marked(client.get("/counter/quick-sale", query_string={"sold": number}).text, "sold") == []


def test_a_sale_that_never_was_is_not_there(client):
    assert client.post("/counter/quick-sale/999/undo").status_code == 404


def test_yesterdays_sales_are_not_todays(client, now):
    _sell(client)
    now.tick(timedelta(days=1))
    assert marks(client.get("/counter/quick-sale").text, "sale") == []


def test_its_order_page_reads_as_a_sale_and_undoes_it(client):
    number = _sell(client)
    page = client.get(f"/counter/orders/{number}").text
    assert marks(page, "paid") == ["sale"]
    assert f'action="/counter/quick-sale/{number}/undo"' in page
    client.post(f"/counter/quick-sale/{number}/undo")
    page = client.get(f"/counter/orders/{number}").text
    assert f'action="/counter/orders/{number}/reopen"' not in page
    assert marks(page, "act")[-1] == "sale undone"


def test_a_top_up_is_an_order_without_a_bench(client):
    number = _sell(client, what="top-up-12", quantity="1")
    page = client.get(f"/counter/orders/{number}").text
    assert marks(page, "service") == [Service.TOP_UP]
    assert "1 × 18 in foil" in text_of(page, "sold-0")
    assert "batches" not in Page(page).by_id


def test_neither_bench_nor_pick_ups_list_sales(client):
    number = _sell(client)
    assert f"{number}" not in words(client.get("/bench").text)
    assert f"{number}" not in words(client.get("/pickups/").text)
    assert client.get("/bench.json").json["batches"] == []


def test_the_review_and_its_table_count_sales(client):
    _sell(client)
    _sell(client, client_key="sale-2", what="own-12", quantity="2")
    _sell(client, client_key="sale-3", what="top-up-12", quantity="1")
    review = client.get("/office/review/orders").text
    for name, number in (("orders", 3), ("on-time", 3), ("balloons", 5), ("bursts", 0)):
        assert f'data-{name}="{number}"' in review
    rows = list(csv.DictReader(io.StringIO(client.get("/office/review.csv").data.decode("utf-8-sig"), newline="")))
    assert [(row["customer"], row["balloons"], row["revenue"]) for row in rows] == [
        (OVER_THE_COUNTER, "3", "3.30"),
        (OVER_THE_COUNTER, "2", "0.00"),
        (OVER_THE_COUNTER, "0", "0.00"),
    ]


def test_htmx_gets_the_fragment_and_a_browser_the_page(client):
    whole = client.get("/counter/quick-sale")
    part = client.get("/counter/quick-sale", headers={"HX-Request-Type": "partial"})
    assert "<html" in whole.text
    assert part.text.lstrip().startswith('<div id="sale"')
    assert "HX-Request-Type" in part.headers["Vary"]


def test_the_counter_leads_to_it(client):
    page = client.get("/counter/").text
    assert re.search(r'<a\s[^>]*href="/counter/quick-sale"[^>]*data-keys="Alt\+s"', page)


def _says_it_was_sold(answer, number):
    """The page names what was sold, and as which order."""
    note = Page(answer.text).by_id["already-sold"]["text"]
    assert "3 × 11 in latex" in note
    assert str(number) in note


def test_coming_back_to_what_was_sold_says_so_and_offers_no_second_press(client, database):
    choice = {"what": "sold-4", "quantity": "3", "key": "sale-9"}
    sent = Page(client.get("/counter/quick-sale", query_string=choice).text).values
    assert sent["client_key"] == "sale-9"
    number = _sell(client, client_key="sale-9")
    back = client.get("/counter/quick-sale", query_string=choice)
    _says_it_was_sold(back, number)
    assert 'id="sell"' not in back.text
    client.post(f"/counter/quick-sale/{number}/undo")
    _says_it_was_sold(client.get("/counter/quick-sale", query_string=choice), number)
    assert _orders(database) == 1


def test_the_story_of_a_sale_has_the_filling_before_the_hand_over(client):
    number = _sell(client)
    assert marks(client.get(f"/counter/orders/{number}").text, "act") == ["saved", "finish", "handed over"]
    client.post(f"/counter/quick-sale/{number}/undo")
    acts = marks(client.get(f"/counter/orders/{number}").text, "act")
    assert acts.index("finish") < acts.index("handed over") < acts.index("sale undone")


def test_a_sale_is_not_opened_for_change(client):
    number = _sell(client, what="own-12", quantity="1")
    answer = client.get(f"/counter/orders/{number}/change")
    assert (answer.status_code, answer.location) == (303, f"/counter/orders/{number}")


def test_a_tax_on_top_is_in_what_the_seller_asks(client, database):
    """By hand: 2 × 1.10 and 20 % of it."""
    client.post("/office/settings", data={"tax_mode": "on top", "tax_percent": "20"})
    page = client.get("/counter/quick-sale?what=sold-4&quantity=2").text
    assert "£2.64" in page
    assert marks(page, "tax-on-top") == ["true"]
    assert client.post("/counter/quick-sale", data=Page(page).values).status_code == 303
    with database.reading() as session:
        assert session.scalar(select(Order.total_minor)) == 264


def test_of_a_sale_without_an_end_no_strip_is_drawn_and_no_time_but_that_of_the_sale_is_said(client):
    number = _sell(client)
    page = client.get(f"/counter/orders/{number}").text
    ticket = client.get(f"/bench/batches/{number}-1").text
    assert 'class="strip' not in page
    assert 'class="strip' not in ticket
    (batch,) = re.findall(r'<div class="order-batch">.*?</div>', page, re.DOTALL)
    assert (set(re.findall(r"\d\d:\d\d", batch)), "%" in batch) == ({"07:00"}, False)
    assert marked(page, "promised") == []


def test_an_order_with_an_end_has_its_strip(client):
    assert 'class="strip' in client.get(f"/counter/orders/{take(client)}").text
