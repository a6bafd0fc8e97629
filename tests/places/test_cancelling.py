"""Cancelling at the counter: its reason, the fee that is kept, and what every page then says about the money."""

import csv
import io

import pytest

from app.actions.records.orders import load_order
from app.actions.shop.office import change_settings
from tests.numbers_in import numbers_in
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import CALLED_OFF, Page, take


@pytest.fixture
def quarter(database, number):
    """The number of an order of £26.40, in a shop that keeps a quarter."""
    with database.writing() as session:
        change_settings(session, {"cancellation_fee_percent": 25})
    return number


def _cancel(client, number, **sent):
    return client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF | sent)


def _pay(client, number, amount, seen="0"):
    sent = {"client_key": f"pay-{amount}", "seen": seen, "amount": amount, "how": "cash", "what": "price"}
    answer = client.post(f"/counter/orders/{number}/payments", data=sent | {"direction": "in", "pay": "typed"})
    assert answer.status_code == 303


def _saved(database, number):
    with database.reading() as session:
        order = load_order(session, number)
        return order.state, order.cancel_reason, order.cancel_fee_minor


def test_the_usual_fee_is_filled_in(client, quarter):
    assert Page(client.get(f"/counter/orders/{quarter}").text).values["fee"] == "6.60"


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ({"fee": "6.60"}, 660),
        ({"fee": "6.60", "reason": "mistake"}, 0),
        ({"fee": "6.60", "reason": "cannot make"}, 0),
        ({"fee": "2", "reason": "cannot make"}, 200),
        ({"fee": "0"}, 0),
        ({"fee": "26.40"}, 2640),
    ],
)
def test_the_fee_is_the_one_typed_and_nothing_if_it_lies_with_the_shop(client, database, quarter, sent, kept):
    assert _cancel(client, quarter, **sent).status_code == 303
    state, _, fee = _saved(database, quarter)
    assert (state, fee) == ("cancelled", kept)
    assert marks(client.get(f"/counter/orders/{quarter}").text, "fee") == [str(kept)]


@pytest.mark.parametrize(
    ("sent", "target"),
    [
        ({"reason": ""}, "reason-customer"),
        ({"reason": "other"}, "reason_note"),
        ({"reason_note": "x" * 301}, "reason_note"),
        ({"fee": "26.41"}, "fee"),
        ({"fee": ""}, "fee"),
    ],
)
def test_what_is_missing_or_wrong_is_asked_for_and_nothing_typed_is_lost(client, database, number, sent, target):
    answer = _cancel(client, number, **sent)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.links == [target]
    assert page.values["fee"] == sent.get("fee", "0")
    assert _saved(database, number) == ("open", "", 0)


def test_a_second_press_finds_it_cancelled(client, database, number):
    _cancel(client, number, reason="other", reason_note="Rained off")
    assert _cancel(client, number, reason="customer").status_code == 303
    assert _saved(database, number) == ("cancelled", "Rained off", 0)


def _money(client, page):
    return marks(client.get(page).text, "money")


@pytest.mark.parametrize(
    ("paid", "fee", "state", "due"),
    [
        ("", None, "to pay", "2640"),
        ("10", None, "part paid", "1640"),
        ("26.40", None, "paid", "0"),
        ("", "0", "settled", "0"),
        ("10", "0", "to refund", "-1000"),
        ("10", "6.60", "to refund", "-340"),
        ("", "6.60", "fee to pay", "660"),
        ("6.60", "6.60", "fee kept", "0"),
    ],
)
def test_every_list_and_page_of_an_order_says_the_same_of_money(client, database, number, paid, fee, state, due):
    if paid:
        _pay(client, number, paid)
    if fee is not None:
        _cancel(client, number, fee=fee)
    with database.reading() as session:
        customer = load_order(session, number).customer_id
    assert _money(client, "/counter/orders?q=hart") == [state]
    assert _money(client, f"/counter/customers/{customer}") == [state]
    assert _money(client, "/pickups/") == ([] if fee is not None else [state])
    for page in ("", "/confirmation"):
        (shown,) = marked(client.get(f"/counter/orders/{number}{page}").text, "due")
        assert (shown["data-owing"], shown["data-due"]) == (state, due)


def test_the_review_counts_cancelled_orders_and_their_fees_apart_from_sales(client, number):
    second = take(client, client_key="key-2")
    _cancel(client, number, fee="6.60", reason="customer", reason_note="The party moved")
    _cancel(client, second, reason="mistake")
    text = client.get("/office/review/orders").text
    (totals,) = marked(text, "fees")
    assert [totals[f"data-{name}"] for name in ("orders", "revenue", "cancelled", "fees")] == ["0", "0", "2", "660"]
    rows = marked(text, "cancelled-order")
    assert [(row["data-cancelled-order"], row["data-fee"]) for row in rows] == [
        (str(number), "660"),
        (str(second), "0"),
    ]
    table = list(csv.DictReader(io.StringIO(client.get("/office/review.csv").data.decode("utf-8-sig"), newline="")))
    columns = ("order", "revenue", "balloons", "payment", "to_pay", "cancelled_at", "cancellation_fee")
    assert [tuple(row[name] for name in columns) for row in table] == [
        (str(number), "", "", "fee to pay", "6.60", "2026-11-21T07:00:00+00:00", "6.60"),
        (str(second), "", "", "settled", "0.00", "2026-11-21T07:00:00+00:00", "0.00"),
    ]


@pytest.mark.parametrize(("paid", "kept", "due"), [("", 0, 660), ("4", 400, 260), ("6.60", 660, 0), ("10", 660, 0)])
def test_the_review_tells_fees_that_were_kept_from_those_still_to_pay(client, number, paid, kept, due):
    if paid:
        _pay(client, number, paid)
    _cancel(client, number, fee="6.60")
    text = client.get("/office/review/orders").text
    (totals,) = marked(text, "fees")
    assert (totals["data-fees-kept"], totals["data-fees-due"]) == (str(kept), str(due))
    assert marks(text, "fee-kept") == [str(kept)]


@pytest.mark.parametrize(
    ("settings", "is_first"), [({}, True), ({"locale": "en_DE", "currency_symbol": "€"}, False)]
)
def test_the_currency_of_a_field_stands_where_that_of_a_price_does(client, number, settings, is_first):
    if settings:
        assert client.post("/office/settings", data=settings).status_code == 303
    for address, field in ((f"/counter/orders/{number}", "fee"), ("/office/balloon-types/4", "price")):
        before, _, after = client.get(address).text.partition(f'id="{field}"')
        box = before.rpartition('class="field-box"')[2]
        assert ('class="unit"' in box) is is_first
        assert ('class="unit"' in after.partition("</div>")[0]) is not is_first


def test_a_quick_sale_that_was_undone_is_no_cancelled_order(client):
    client.post("/counter/quick-sale", data={"client_key": "sale", "what": "sold-4", "quantity": "3"})
    client.post("/counter/quick-sale/1001/undo")
    (totals,) = marked(client.get("/office/review/orders").text, "fees")
    assert totals["data-cancelled"] == "0"


def test_the_form_says_what_is_lost_once_something_is_filled(client, number):
    page = client.get(f"/counter/orders/{number}").text
    assert "cancel-loss" not in Page(page).by_id
    sent = {"act": "fill", "count": "10", "client_key": "ten", "sure": "yes"}
    client.post(f"/bench/batches/{number}-1/taps", data=sent)
    page = client.get(f"/counter/orders/{number}").text
    said = text_of(page, "cancel-loss")
    assert numbers_in(said)[:2] == [10, 11]
    assert "14 × 11 in latex" in said
    _cancel(client, number)
    assert "cancel-loss" not in Page(client.get(f"/counter/orders/{number}").text).by_id
