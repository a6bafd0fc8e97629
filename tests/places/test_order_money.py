"""The money of an order on its pages: bill, balance, payments, confirmation, and what only the owner sees."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import select

from app.actions.money.payments import (
    CARD_NUMBER,
    MORE_THAN_PAID,
    NO_AMOUNT,
    NO_RENTAL_DEPOSIT,
    PAYMENT_TOO_LARGE,
    PURPOSE_WORDS,
    REFUND_FIRST,
)
from app.actions.records.catalogue import load_catalogue
from app.actions.shop.office import change_settings
from app.craft.money import Percent
from app.places.counter.payment_form import DIRECTIONS, PAYMENT_METHODS, PAYMENT_PURPOSES
from app.quoting.request import ExtraRequest, ExtraSort
from app.quoting.settings.all_settings import CAUTION
from app.store.models import BalloonTypeRow, Order, Payment
from app.web.wording.forms import choose_from, enter_amount, shorten_to
from tests.actions.builders import at, order_request
from tests.actions.builders import take as take_straight
from tests.actions.money.test_payments import CARD, frame
from tests.numbers_in import numbers_in
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import CALLED_OFF, Page, take, words
from tests.places.test_bench_gas import put_venue_order


def _pay(client, number, key="pay-1", pay="typed", **sent):
    sent = {"client_key": key, "seen": "0", "how": "card", "what": "price", "direction": "in", "note": ""} | sent
    return client.post(f"/counter/orders/{number}/payments", data=sent | {"pay": pay})


def _said(client, number, page=""):
    return words(client.get(f"/counter/orders/{number}{page}").text)


def _payments(database):
    with database.reading() as session:
        return [
            (one.direction, one.rental, one.amount_minor, one.how, one.undone_at is not None)
            for one in session.scalars(select(Payment).order_by(Payment.id))
        ]


def _presses(client, number):
    """What the one-press amounts of the page send."""
    page = client.get(f"/counter/orders/{number}").text
    return re.findall(r'name="pay" value="((?:in|back)-[^"]+)" data-tap>', page)


def _shown(client, number, page=""):
    return client.get(f"/counter/orders/{number}{page}").text


def _messages(client, number):
    return marks(_shown(client, number), "flash").count("message")


def test_a_payment_and_its_undo_say_so_once(client, database, number):
    for _ in range(2):
        assert _pay(client, number, amount="5").status_code == 303
    assert [_messages(client, number) for _ in range(2)] == [1, 0]
    with database.reading() as session:
        payment = session.scalars(select(Payment.id)).one()
    assert client.post(f"/counter/orders/{number}/payments/{payment}/undo").status_code == 303
    assert [_messages(client, number) for _ in range(2)] == [1, 0]
    assert _pay(client, number, key="pay-2", amount="").status_code == 422
    assert _messages(client, number) == 0


def _balance(client, number, page=""):
    """What is due on the page, and to whom."""
    (due,) = marked(_shown(client, number, page), "due")
    return due["data-owing"], int(due["data-due"])


def _bill(text):
    """The rows of the bill: lines and extras by their place, the rest by what they are."""
    rows = [one for one in marked(text, "minor") if "data-payment" not in one]
    return [
        (
            one.get("data-row") or f"line {one['data-line']}" if "data-extra" not in one else "extra",
            one["data-minor"],
        )
        for one in rows
    ]


def _listed(text):
    """The payments that the page shows."""
    return [
        (one["data-payment"], int(one["data-minor"]), one.get("data-how"), one.get("data-note"))
        for one in marked(text, "payment")
    ]


def _take_full(database):
    """£26.40 and two frames on rental, less 10%, with 20% of tax in it and a quarter asked beforehand."""
    with database.writing() as session:
        change_settings(session, {"tax_mode": "inclusive", "tax_percent": 20, "deposit_percent": 25})
        rentals = ExtraRequest(ExtraSort.RENTAL, 2, frame(session).id)
        wanted = order_request(
            load_catalogue(session), extras=(rentals,), discount=Percent(Decimal(10)), return_by=at(10, days=2)
        )
        return take_straight(session, wanted).number


@pytest.fixture
def full(database):
    return _take_full(database)


def test_the_page_shows_the_bill_as_it_was_sold(client, full):
    """£76.40 less 10% is £68.76, of which 20/120 is tax."""
    page = _shown(client, full)
    assert _bill(page) == [
        ("line 0", "2640"),
        ("extra", "5000"),
        ("discount", "-764"),
        ("total", "6876"),
        ("tax", "1146"),
        ("security-deposit", "10000"),
        ("to-pay", "16876"),
    ]
    assert _balance(client, full) == ("to pay", 16_876)
    assert marks(page, "deposit") == ["due"]
    for shown in ("24 × 11 in latex, red £1.10 £26.40", "2 × Long stand", "£68.76", "£100.00", "£17.19"):
        assert shown in words(page)


def test_tax_on_top_stands_between_what_is_sold_and_the_total(client, database):
    client.post("/office/settings", data={"tax_mode": "on top", "tax_percent": "8.875"})
    number = take(client)
    assert _bill(_shown(client, number))[1:] == [("before-tax", "2640"), ("tax", "234"), ("total", "2874")]
    assert "8.875%" in _said(client, number)
    assert _balance(client, number) == ("to pay", 2874)


def test_an_order_with_nothing_but_lines_has_a_short_bill(client, number):
    assert _bill(_shown(client, number)) == [("line 0", "2640"), ("total", "2640")]


def test_what_is_due_is_filled_in_and_one_press_pays_it(client, database, number):
    page = Page(client.get(f"/counter/orders/{number}").text)
    assert (page.values["amount"], page.values["how"], page.values["seen"]) == ("26.40", "cash", "0")
    assert _presses(client, number) == ["in-price-2640"]
    answer = _pay(client, number, pay="in-price-2640", amount="1.00")
    assert (answer.status_code, answer.location) == (303, f"/counter/orders/{number}#money")
    assert _payments(database) == [("in", False, 2640, "card", False)]
    assert _listed(_shown(client, number)) == [("in", 2640, "card", "")]
    assert _balance(client, number) == ("paid", 0)


def test_the_deposit_asked_is_one_press_and_then_its_rest(client, database, full):
    assert _presses(client, full) == ["in-rental-10000", "in-price-1719", "in-price-6876"]
    _pay(client, full, amount="10")
    assert marks(_shown(client, full), "deposit") == ["due"]
    assert "£7.19" in _said(client, full)
    assert "in-price-719" in _presses(client, full)
    _pay(client, full, key="pay-2", seen="1", pay="in-price-719")
    _pay(client, full, key="pay-3", seen="2", pay="in-rental-10000")
    assert marks(_shown(client, full), "deposit") == ["paid"]
    assert _presses(client, full) == ["in-price-5157"]


def test_another_amount_is_typed_with_how_for_what_and_a_note(client, database, full):
    _pay(client, full, amount="20,5", how="transfer", what="rental", note="from her mother")
    assert _payments(database) == [("in", True, 2050, "transfer", False)]
    assert _listed(_shown(client, full)) == [("in", 2050, "transfer", "from her mother")]


def test_too_much_is_refunded_with_one_press(client, database, number):
    _pay(client, number, pay="in-price-3000-sure")
    assert _balance(client, number) == ("to refund", -360)
    assert _presses(client, number) == ["back-price-360"]
    _pay(client, number, key="pay-2", seen="1", pay="back-price-360")
    assert _payments(database)[1] == ("back", False, 360, "card", False)
    assert _listed(_shown(client, number))[1] == ("back", 360, "card", "")


@pytest.mark.parametrize(
    ("field", "sent", "sentence"),
    [
        ("amount", {"amount": ""}, enter_amount(2)),
        ("amount", {"amount": "much"}, enter_amount(2)),
        ("amount", {"amount": "1.234"}, enter_amount(2)),
        ("amount", {"amount": "0"}, NO_AMOUNT),
        ("amount", {"amount": "5", "direction": "back"}, MORE_THAN_PAID.format(purpose=PURPOSE_WORDS[False])),
        ("amount", {"amount": "9999999"}, PAYMENT_TOO_LARGE),
        ("how", {"amount": "5", "how": "cheque"}, choose_from(one.label for one in PAYMENT_METHODS)),
        ("what", {"amount": "5", "what": "rental"}, NO_RENTAL_DEPOSIT),
        ("what", {"amount": "5", "what": "tip"}, choose_from(one.label for one in PAYMENT_PURPOSES)),
        ("direction", {"amount": "5", "direction": "away"}, choose_from(one.label for one in DIRECTIONS)),
        ("note", {"amount": "5", "note": CARD}, CARD_NUMBER),
        ("note", {"amount": "5", "note": "x" * 301}, shorten_to(300, 301)),
    ],
)
def test_what_cannot_be_saved_says_why_and_keeps_what_was_typed(client, database, full, field, sent, sentence):
    number = take(client, client_key="other", bench_override="By turns.") if field == "what" else full
    _pay(client, number, key="first", amount="1", note="")
    answer = _pay(client, number, seen="1", **sent)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.problem(field) == sentence
    assert page.values["amount"] == sent["amount"]
    assert len(_payments(database)) == 1


def test_a_key_counts_once_and_a_form_without_one_is_refused(client, database, number):
    for _ in range(2):
        assert _pay(client, number, amount="5").status_code == 303
    assert len(_payments(database)) == 1
    assert _pay(client, number, key="", amount="5").status_code == 422


def test_two_people_with_the_same_page_pay_once_and_the_second_sees_why(client, database, number):
    _pay(client, number, key="one", pay="in-price-2640")
    answer = _pay(client, number, key="two", pay="in-price-2640", note="at the door")
    assert answer.status_code == 422
    page = Page(answer.text)
    assert "£26.40" in page.problem("amount")
    assert (page.values["seen"], page.values["note"]) == ("1", "at the door")
    assert len(_payments(database)) == 1


def test_each_payment_is_undone_from_the_page(client, database, number):
    _pay(client, number, amount="10")
    undo = re.search(
        r'action="(/counter/orders/\d+/payments/\d+/undo)"', client.get(f"/counter/orders/{number}").text
    )
    for _ in range(2):
        assert client.post(undo[1]).status_code == 303
    assert _payments(database) == [("in", False, 1000, "card", True)]
    page = _shown(client, number)
    assert _balance(client, number) == ("to pay", 2640)
    assert marks(page, "undone-by") == ["somebody"]
    assert [act.startswith("undone") for act in marks(page, "act")] == [False, False, True]


def test_an_undo_that_cannot_be_is_told_on_the_page(client, database, number):
    _pay(client, number, amount="10")
    _pay(client, number, key="back", seen="1", amount="4", direction="back")
    answer = client.post(f"/counter/orders/{number}/payments/1/undo")
    assert answer.status_code == 422
    assert REFUND_FIRST in Page(answer.text).summary
    assert len(marks(answer.text, "undone-by")) == 0
    assert Page(answer.text).values["client_key"]
    assert client.post(f"/counter/orders/{number}/payments/77/undo").status_code == 404


def test_a_cancelled_order_says_what_is_to_be_refunded(client, number):
    _pay(client, number, amount="10")
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert _balance(client, number) == ("to refund", -1000)
    assert _presses(client, number) == ["back-price-1000"]
    _pay(client, number, key="back", seen="1", pay="back-price-1000")
    assert _balance(client, number) == ("settled", 0)
    assert "save-payment" not in Page(_shown(client, number)).by_id


def test_a_quick_sale_is_paid_and_has_no_form(client):
    client.post("/counter/quick-sale", data={"client_key": "sale", "what": "sold-4", "quantity": "3"})
    number = int(re.search(r"/counter/orders/(\d+)", client.get("/counter/quick-sale").text)[1])
    page = _shown(client, number)
    assert marks(page, "paid") == ["sale"]
    assert "save-payment" not in Page(page).by_id
    assert marks(_shown(client, number, "/confirmation"), "owing") == []
    client.post(f"/counter/quick-sale/{number}/undo")
    assert marks(_shown(client, number), "paid") == ["refunded"]


def test_the_pickups_say_what_is_to_pay_and_notice_when_it_is_paid(client, number):
    board = client.get("/pickups/").text
    assert marks(board, "balance") == ["2640"]
    assert "£26.40" in text_of(board, f"order-{number}")
    version = re.search(r'data-version="([^"]+)"', board)[1]
    assert client.get("/pickups/", query_string={"v": version}).status_code == 204
    _pay(client, number, amount="26.40")
    news = client.get("/pickups/", query_string={"v": version})
    assert "owing-open" not in news.text
    assert "£26.40" in words(news.text)


def test_nothing_goes_out_unpaid_without_a_warning_at_the_door(client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "f", "sure": "yes"})
    _pay(client, number, amount="6.40")
    for step in ("weighted", "bagged", "ready"):
        client.post(f"/pickups/orders/{number}/steps", data={"step": step, "client_key": step})
    board = client.get("/pickups/").text
    assert marks(board, "unpaid") == ["2000"]
    assert re.search(r'data-unpaid="2000">.*?£20\.00.*?</summary>', board, re.DOTALL)
    asked = client.post(f"/pickups/orders/{number}/steps", data={"step": "handed over", "client_key": "asked"})
    assert (asked.status_code, marks(asked.text, "question")) == (422, ["unpaid"])
    handed = {"step": "handed over", "client_key": "door", "sure": "unpaid"}
    assert client.post(f"/pickups/orders/{number}/steps", data=handed).status_code == 303
    board = client.get("/pickups/").text
    assert marks(board, "balance") == ["2000"]
    assert "£20.00" in text_of(board, f"order-{number}")


def test_deposits_on_rentals_count_at_the_pickups_and_too_much_is_told(client, full):
    board = client.get("/pickups/").text
    assert marks(board, "balance") == ["16876"]
    assert "£168.76" in text_of(board, f"order-{full}")
    _pay(client, full, pay="in-price-17000-sure")
    board = client.get("/pickups/").text
    assert marks(board, "balance") == ["-124"]
    assert "£1.24" in text_of(board, f"order-{full}")


def test_the_confirmation_has_the_shop_the_bill_what_was_paid_and_the_cautions_once(client, full):
    _pay(client, full, amount="10", note="rang in")
    page, said = _shown(client, full, "/confirmation"), _said(client, full, "/confirmation")
    assert text_of(page, "confirmation-shop") == "Our balloon shop"
    whose = text_of(page, "confirmation-order")
    assert numbers_in(whose) == [full]
    assert whose.endswith("Wilhelmina Hart")
    line = text_of(page, "sold-0")
    assert numbers_in(line) == [24, 11, 1.1, 26.4]
    assert all(value in line for value in ("24 × 11 in latex", "red", "£1.10", "£26.40"))
    assert ("total", "6876") in _bill(page)
    assert _listed(page) == [("in", 1000, None, None)]
    assert marks(page, "deposit") == ["due"]
    assert _balance(client, full, "/confirmation") == ("part paid", 15_876)
    assert said.count(CAUTION) == 1
    cautions = text_of(page, "cautions")
    assert said.count(cautions) == 1
    assert all(said.count(topic) == cautions.count(topic) == 1 for topic in ("allergy", "inhale", "power line"))
    assert "rang in" not in said


def test_a_confirmation_says_where_it_goes_and_leaves_out_what_was_undone(client):
    number = take(client, hand_over="deliver", address="4 Mill Lane", travel_minutes="45")
    _pay(client, number, amount="10")
    client.post(f"/counter/orders/{number}/payments/1/undo")
    assert _messages(client, number)  # a browser is on the order's page first, and is told there
    said = _said(client, number, "/confirmation")
    assert "4 Mill Lane" in said
    assert "14:00" in said
    assert "£10.00" not in said
    assert client.get("/counter/orders/12345/confirmation").status_code == 404


def test_the_caution_stands_on_the_order_page_and_on_the_price_list(client, number):
    for address in (f"/counter/orders/{number}", "/counter/quick-sale"):
        assert CAUTION in words(client.get(address).text)


# What only the owner sees.


def _cost_it(database):
    """£0.07 a balloon and £18 an hour: figures that no other amount of these tests is made of."""
    with database.writing() as session:
        change_settings(session, {"hour_minor": 1800, "floor_percent": 60})
        latex = session.scalars(select(BalloonTypeRow).where(BalloonTypeRow.name == "11 in latex")).one()
        latex.pack_minor, latex.pack_size = 700, 100


@pytest.fixture
def costed(database, client, number):
    _cost_it(database)
    number = take(client, client_key="costed", bench_override="By turns.")
    with database.reading() as session:
        return session.scalars(select(Order).where(Order.number == number)).one()


def _profit(page):
    """What the page of an order's profit says, by name."""
    (tag,) = [tag for _, tag in Page(page).tags if "data-below-lowest" in tag]
    return {name.removeprefix("data-"): value for name, value in tag.items()}


def test_the_owner_sees_what_an_order_costs_and_leaves(client, costed):
    page = client.get(f"/office/orders/{costed.number}").text
    titles = dict(costed.cost)
    assert titles["11 in latex"] == 24 * 7
    assert set(titles) == {"11 in latex", "work"}
    staff, cost = titles["work"], costed.cost_minor
    assert cost == 168 + staff > 168
    margin, least = 2640 - cost, -(-cost * 10 // 4)
    rows = [(tag["data-cost-of"], tag["data-minor"]) for _, tag in Page(page).tags if "data-cost-of" in tag]
    assert rows == [("11 in latex", "168"), ("work", str(staff))]
    shown = _profit(page)
    assert (shown["net"], shown["cost"], shown["profit"]) == ("2640", str(cost), str(margin))
    assert shown["percent"] == f"{100 * margin // 2640}%"
    assert (shown["least"], shown["below-lowest"]) == (str(least), "yes" if least > 2640 else "no")
    assert all(f"£{minor / 100:.2f}" in words(page) for minor in (168, staff, cost, 2640, margin, least))


def test_an_order_of_which_no_cost_is_told_says_so(client, number):
    page = client.get(f"/office/orders/{number}").text
    shown = _profit(page)
    assert (shown["net"], shown["cost"], shown["profit"]) == ("2640", "", "")
    assert "£26.40" in words(page)
    assert client.get("/office/orders/12345").status_code == 404


def test_counter_bench_and_pickups_never_show_what_an_order_costs_or_leaves(client, database, costed):
    """Each cost, their sum and the margin are amounts that stand nowhere but in the office."""
    secret = [minor for _, minor in costed.cost] + [costed.cost_minor, 2640 - costed.cost_minor]
    amounts = [f"{minor / 100:.2f}" for minor in secret]
    office = client.get(f"/office/orders/{costed.number}").text
    assert all(amount in office for amount in amounts)
    _pay(client, costed.number, amount="5")
    pages = (
        *("/counter/", "/counter/orders", "/counter/quick-sale", "/counter/customers/1"),
        *(f"/counter/orders/{costed.number}{end}" for end in ("", "/change", "/confirmation")),
        *("/bench", "/bench.json", f"/bench/batches/{costed.number}-1", "/bench/staff", "/pickups/"),
    )
    for address in pages:
        answer = client.get(address)
        assert answer.status_code == 200
        assert [amount for amount in amounts if amount in answer.text] == [], address
        assert "margin" not in answer.text.lower(), address
        assert "/office/orders/" not in answer.text, address


def test_a_sale_is_reviewed_like_any_other_order(client, now, costed):
    now.tick(timedelta(hours=2))
    client.post("/counter/quick-sale", data={"client_key": "sale", "what": "sold-4", "quantity": "3"})
    review = client.get("/office/review/orders").text
    (sale,) = set(re.findall(r"/office/orders/(\d+)", review))
    tags = Page(client.get(f"/office/orders/{sale}").text).tags
    assert [tag["data-minor"] for _, tag in tags if tag.get("data-cost-of") == "11 in latex"] == ["21"]


def test_more_than_is_due_is_asked_about_once_and_what_was_typed_stays(client, database, number):
    answer = _pay(client, number, amount="5000", note="at the door")
    assert answer.status_code == 422
    (question,) = marked(answer.text, "over")
    assert int(question["data-over"]) == 500_000 - 2640
    assert {"£5,000.00", "£4,973.60"} <= set(re.findall(r"£[\d,.]+\d", text_of(answer.text, "question-surplus")))
    typed = Page(answer.text).values
    assert (typed["amount"], typed["note"], typed["client_key"]) == ("5000", "at the door", "pay-1")
    assert _payments(database) == []
    (sure,) = re.findall(r'name="pay" value="([^"]+-sure)"', answer.text)
    assert _pay(client, number, amount="5000", pay=sure).status_code == 303
    assert _payments(database) == [("in", False, 500_000, "card", False)]


def test_another_amount_than_the_one_asked_about_is_asked_about_again(client, database, number):
    _pay(client, number, amount="5000")
    answer = _pay(client, number, amount="500")
    assert [one["data-over"] for one in marked(answer.text, "over")] == [str(50_000 - 2640)]
    assert _payments(database) == []


def test_within_what_is_due_nothing_is_asked(client, number):
    assert _pay(client, number, amount="26.40").status_code == 303


def test_the_confirmation_has_the_address_the_phone_the_day_of_issue_and_the_hours(client, database, number):
    page = Page(_shown(client, number, "/confirmation"))
    assert "confirmation-reached" not in page.by_id
    with database.writing() as session:
        change_settings(session, {"shop_address": "4 Mill Lane", "shop_phone": "01632 960000"})
    text = _shown(client, number, "/confirmation")
    assert all(value in text_of(text, "confirmation-reached") for value in ("4 Mill Lane", "01632 960000"))
    assert marks(text, "issued") == ["2026-11-21"]
    assert re.search(r"15:00\D+19:00", words(text))


def test_how_to_carry_them_is_left_out_where_nobody_does(client, number):
    assert len(marks(_shown(client, number, "/confirmation"), "care")) == 1
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert marks(_shown(client, number, "/confirmation"), "care") == []


def test_what_a_crew_fills_nobody_carries(client, database):
    assert marks(_shown(client, put_venue_order(database), "/confirmation"), "care") == []
