"""The buying list: what to order before the next delivery day, what comes too late, and what is on its way."""

from datetime import date

import pytest
from sqlalchemy import select

from app.actions.stock.deliveries import (
    DELIVERY_ARRIVED,
    DELIVERY_CANCELLED,
    DUE_OUT_OF_RANGE,
    LOT_CHANGED_SINCE,
    MOST_PACKS,
    REST_ARRIVED,
)
from app.places.office.stock_buying import NOTHING_ORDERED
from app.places.office.stock_forms import describe_amounts
from app.store.models import Delivery, Lot, StockMove
from app.web.wording.forms import enter_date, enter_whole
from tests.begun import begins_with_presses
from tests.places.page_states import flashes, states, values, wrong_fields
from tests.places.payloads import Page, take, words

LIST = "/office/stock/buying"
MONDAY = "2026-11-23"
PACKS = enter_whole(1, MOST_PACKS).replace("10000", "10,000")
NEXT_WEEK = {
    "stock_override": "They are bought.",
    "event_start__day": "2026-11-25",
    "lasts_until__day": "2026-11-25",
    "hand_over_time__day": "2026-11-25",
}
"""A Wednesday."""


def _open_shop(client):
    texts = Page(client.get("/office/balloon-types/4").text).values
    assert (
        client.post("/office/balloon-types/4", data=texts | {"pack_size": "50", "pack_cost": "4.00"}).status_code
        == 303
    )
    client.post("/office/settings", data={"delivery_weekday": "Monday", "delivery_lead_days": "2"})
    receive(client)


template = begins_with_presses("shop", _open_shop)


@pytest.fixture
def shop(client):
    """Packs of 50 for 4.00; goods come on Mondays, ordered two days before, which is today; 10 red are there."""
    return client


def receive(client, key="lot-1", count="10", colour="Red"):
    lot = {"client_key": key, "colour": colour, "count": count, "day": "2026-11-20"}
    assert client.post("/office/stock/balloon-type/4", data=lot).status_code == 303


def ordered(client, press="0", **changes):
    """Presses with the fields as the page draws them."""
    sent = Page(client.get(LIST).text).values
    return client.post(LIST, data=sent | {"press": press} | {k.replace("__", "-"): v for k, v in changes.items()})


def rows(client):
    """The list's rows: colour, pieces short without spares, spares, and the orders that need them."""
    return [
        (row["data-label"], float(row["data-short"]), float(row["data-spares"]), row["data-orders"])
        for row in states(client.get(LIST).text, "label")
    ]


def too_late(client):
    """What comes too late: pieces, from which day, for which orders."""
    return [
        (float(row["data-late"]), row["data-from"], row["data-orders"])
        for row in states(client.get(LIST).text, "late")
    ]


def coming(client):
    """The deliveries on the page that are on the way: packs, and the day on which they are due."""
    return [
        (row["data-packs"], row["data-due"])
        for row in states(client.get(LIST).text, "due")
        if "data-withdrawn" not in row
    ]


def on_their_way(database):
    with database.reading() as session:
        rows = session.scalars(select(Delivery).order_by(Delivery.id))
        return [(row.colour, row.packs, row.pieces, row.due_on.isoformat()) for row in rows]


def test_it_works(shop, database):
    number = take(shop, **NEXT_WEEK, lines__0__colours="red", lines__0__quantity="70", bench_override="so")
    text = shop.get(LIST).text
    (days,) = states(text, "order-by")
    assert (days["data-order-by"], days["data-first"], days["data-second"]) == ("2026-11-21", MONDAY, "2026-11-30")
    assert rows(shop) == [("Red", 60, 0, str(number))]
    assert values(text, "cost") == ["800"]
    assert "£8.00" in words(text)
    answer = ordered(shop)
    assert (answer.status_code, answer.location) == (303, LIST)
    assert on_their_way(database) == [("Red", 2, 100, MONDAY)]
    assert "nothing-to-order" in Page(shop.get(LIST).text).by_id
    assert (rows(shop), coming(shop)) == ([], [("2", MONDAY)])


def test_the_same_row_is_not_ordered_twice_from_two_pages(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red", lines__0__quantity="70", bench_override="so")
    tabs = [Page(shop.get(LIST).text).values | {"press": "0"} for _ in range(2)]
    assert shop.post(LIST, data=tabs[0]).status_code == 303
    assert shop.post(LIST, data=tabs[0]).status_code == 303  # a second press orders nothing anew
    refused = shop.post(LIST, data=tabs[1])
    assert (refused.status_code, len(states(refused.text, "changed"))) == (409, 1)
    assert on_their_way(database) == [("Red", 2, 100, MONDAY)]


def test_what_is_short_before_the_delivery_is_apart_and_not_on_the_list(shop):
    today = take(shop, lines__0__colours="red", stock_override="They are bought.")
    later = take(shop, client_key="key-2", **NEXT_WEEK, lines__0__colours="red", lines__0__quantity="7")
    assert too_late(shop) == [(14, "2026-11-21", str(today))]
    assert rows(shop) == [("Red", 7, 0, f"{today},{later}")]


def test_spares_are_bought_too_shared_out_over_the_colours(shop):
    shop.post("/office/settings", data={"spares_percent": "10"})
    number = take(shop, **NEXT_WEEK, lines__0__quantity="30", lines__0__colours="12 red, 18 white")
    assert rows(shop) == [("Red", 2, 1, str(number)), ("white", 18, 2, str(number))]


def test_only_those_taken_last_are_named_as_short(shop):
    """10 red are there: the first order was promised 6 of them, the second 4 of its 5, the third none of its 3."""
    first, second, third = (
        take(shop, client_key=f"o{count}", lines__0__colours="red", lines__0__quantity=count, stock_override="so")
        for count in ("6", "5", "3")
    )
    assert too_late(shop) == [(4, "2026-11-21", f"{second},{third}")]
    assert first < second < third
    receive(shop, "lot-2", "1")
    assert too_late(shop) == [(3, "2026-11-21", str(third))]


def test_any_colour_says_so(shop):
    number = take(shop, **NEXT_WEEK, lines__0__colours="")
    assert rows(shop) == [("any colour", 14, 0, str(number))]


def test_packs_and_day_may_be_others_and_calculating_saves_nothing(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    page = ordered(shop, "calculate", packs__0="5")
    assert page.status_code == 200
    assert Page(page.text).values["packs-0"] == "5"
    assert values(page.text, "cost") == ["2000"]
    assert on_their_way(database) == []
    ordered(shop, packs__0="5", due__0="2026-11-24")
    assert on_their_way(database) == [("Red", 5, 250, "2026-11-24")]


def test_all_rows_in_one_press_and_a_second_press_orders_nothing_more(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="12 red, 12 white")
    sent = Page(shop.get(LIST).text).values | {"press": "all"}
    for _ in range(2):
        assert shop.post(LIST, data=sent).status_code == 303
    shop.post(LIST, data=sent | {"press": "1"})
    assert on_their_way(database) == [("Red", 1, 50, MONDAY), ("white", 1, 50, MONDAY)]


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"packs__1": "many"}, "packs-1", PACKS),
        ({"packs__1": "0"}, "packs-1", PACKS),
        ({"due__1": "soon"}, "due-1", enter_date("28/11")),
        ({"due__1": "2026-11-01"}, "due-1", DUE_OUT_OF_RANGE),
    ],
)
def test_what_cannot_be_ordered_is_refused_at_its_row_and_nothing_is_saved(
    shop, database, changes, field, sentence
):
    take(shop, **NEXT_WEEK, lines__0__colours="12 red, 12 white")
    answer = ordered(shop, "all", packs__0="3", **changes)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == [field]
    assert page.problem(field) == sentence
    assert page.values["packs-0"] == "3"
    assert page.values[field] == next(iter(changes.values()))
    assert on_their_way(database) == []
    assert coming(shop) == []


@pytest.mark.parametrize("press", ["", "7", "x"])
def test_a_press_that_names_no_row_orders_nothing(shop, database, press):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    answer = ordered(shop, press)
    assert answer.status_code == 422
    assert NOTHING_ORDERED in Page(answer.text).summary
    assert on_their_way(database) == []


def test_what_came_is_a_lot_once_with_the_count_that_came(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    for _ in range(2):
        assert shop.post("/office/stock/deliveries/1/came", data={"count-1": "48"}).status_code == 303
    with database.reading() as session:
        assert [(lot.colour, lot.on_hand) for lot in session.scalars(select(Lot))] == [("Red", 10), ("Red", 48)]
    assert coming(shop) == []


def test_packs_that_did_not_come_are_still_on_the_way(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop, packs__0="3")
    shop.get(LIST)
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "98"})
    assert flashes(shop.get(LIST).text) == 1
    assert coming(shop) == [("1", MONDAY)]
    assert shop.post("/office/stock/deliveries/2/withdrawn").status_code == 303
    assert coming(shop) == []


def test_of_packs_that_hold_too_few_no_more_is_expected(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    shop.get(LIST)
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "48"})
    assert flashes(shop.get(LIST).text) == 1
    assert coming(shop) == []


@pytest.mark.parametrize("count", ["", "0", "2.5", "lots"])
def test_a_count_that_cannot_be_is_refused_at_the_delivery(shop, count):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    answer = shop.post("/office/stock/deliveries/1/came", data={"count-1": count})
    assert answer.status_code == 422
    assert wrong_fields(answer.text) == ["count-1"]
    assert Page(answer.text).problem("count-1") == describe_amounts(1, whole=True)


def test_what_will_not_come_is_short_again(shop):
    number = take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    for _ in range(2):
        assert shop.post("/office/stock/deliveries/1/withdrawn").status_code == 303
    assert rows(shop) == [("Red", 14, 0, str(number))]
    answer = shop.post("/office/stock/deliveries/1/came", data={"count-1": "50"})
    assert answer.status_code == 422
    assert DELIVERY_CANCELLED in Page(answer.text).summary


def test_what_will_not_come_may_come_after_all(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    page_url = shop.post("/office/stock/deliveries/1/withdrawn").location
    (cancelled,) = states(shop.get(page_url).text, "withdrawn")
    assert [cancelled[f"data-{key}"] for key in ("withdrawn", "packs", "due")] == ["1", "1", MONDAY]
    for _ in range(2):
        assert shop.post("/office/stock/deliveries/1/back").status_code == 303
    assert coming(shop) == [("1", MONDAY)]
    assert states(shop.get(page_url).text, "withdrawn") == []


def test_what_came_by_mistake_is_undone_and_on_the_way_whole(shop, database):
    """Of three packs two were saved as delivered."""
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop, packs__0="3")
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "98"})
    assert 'action="/office/stock/lots/2/undo"' in shop.get("/office/stock/balloon-type/4").text
    assert shop.post("/office/stock/lots/2/undo").status_code == 303
    assert "3" in Page(shop.get("/office/stock/balloon-type/4").text).by_id["lot-message"]["text"]
    assert coming(shop) == [("3", MONDAY)]
    assert on_their_way(database) == [("Red", 3, 150, MONDAY)]
    with database.reading() as session:
        assert [(lot.id, lot.on_hand) for lot in session.scalars(select(Lot))] == [(1, 10)]
        assert len(session.scalars(select(StockMove)).all()) == 1
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "150"})
    with database.reading() as session:
        assert [lot.on_hand for lot in session.scalars(select(Lot))] == [10, 150]


def test_what_was_taken_from_or_half_came_since_is_not_undone(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop, packs__0="2")
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "50"})
    shop.post("/office/stock/deliveries/2/came", data={"count-2": "50"})
    answer = shop.post("/office/stock/lots/2/undo")
    assert answer.status_code == 422
    assert REST_ARRIVED in Page(answer.text).summary
    sent = {"count-3": "49", "why-3": "torn", "seen-3": "50.0", "counts-3": "0"}
    shop.post("/office/stock/lots/3/count", data=sent)
    refused = shop.post("/office/stock/lots/3/undo")
    assert refused.status_code == 422
    assert LOT_CHANGED_SINCE in Page(refused.text).summary
    with database.reading() as session:
        assert [lot.on_hand for lot in session.scalars(select(Lot))] == [10, 50, 49]


def test_what_came_cannot_be_withdrawn(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "50"})
    answer = shop.post("/office/stock/deliveries/1/withdrawn")
    assert answer.status_code == 422
    assert DELIVERY_ARRIVED in Page(answer.text).summary


def test_what_is_overdue_comes_first_and_no_longer_counts(shop, database):
    number = take(shop, **NEXT_WEEK, lines__0__colours="12 red, 12 white")
    ordered(shop, "all")
    with database.writing() as session:
        session.get(Delivery, 2).due_on = date(2026, 11, 20)
    overdue = [(row["id"], "data-overdue" in row) for row in states(shop.get(LIST).text, "due")]
    assert overdue == [("delivery-2", True), ("delivery-1", False)]
    assert rows(shop) == [("white", 12, 0, str(number))]


@pytest.mark.parametrize("act", ["came", "withdrawn"])
def test_a_delivery_that_is_not_there_is_404(shop, act):
    assert shop.post(f"/office/stock/deliveries/9/{act}").status_code == 404


def test_the_list_may_be_sent_along(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    assert shop.get("/office/stock/buying.csv").data.decode("utf-8-sig").splitlines() == [
        "item,colour,packs,pack size,unit,quantity,cost,delivery day",
        f"11 in latex,Red,1,50,piece,50,4.00,{MONDAY}",
    ]


def test_a_shop_without_a_fixed_day_is_shown_when_it_comes(shop):
    shop.post("/office/settings", data={"delivery_weekday": "no fixed day"})
    (days,) = states(shop.get(LIST).text, "order-by")
    assert (days["data-order-by"], days["data-first"]) == ("", MONDAY)


def test_an_article_that_nobody_has_is_404(shop):
    sent = {
        "client_key": "k",
        "rows": "1",
        "what-0": "balloon_type-999",
        "packs-0": "1",
        "due-0": MONDAY,
        "press": "0",
    }
    assert shop.post(LIST, data=sent).status_code == 404
