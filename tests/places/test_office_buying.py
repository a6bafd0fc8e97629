"""The buying list: what to order before the next delivery day, what comes too late, and what is on its way."""

import re
from datetime import date

import pytest
from sqlalchemy import select

from app.store.models import Delivery, Lot, StockMove
from tests.places.payloads import Page, take, words

LIST = "/office/stock/buying"
MONDAY = "2026-11-23"
NEXT_WEEK = {
    "stock_override": "They are bought.",
    "event_start__day": "2026-11-25",
    "lasts_until__day": "2026-11-25",
    "hand_over_time__day": "2026-11-25",
}
"""A Wednesday."""


@pytest.fixture
def shop(client):
    """Packs of 50 for 4.00; goods come on Mondays, ordered two days before, which is today; 10 red are there."""
    texts = Page(client.get("/office/balloon-types/4").text).values
    assert (
        client.post("/office/balloon-types/4", data=texts | {"pack_size": "50", "pack_cost": "4.00"}).status_code
        == 303
    )
    client.post("/office/settings", data={"delivery_weekday": "Monday", "delivery_lead_days": "2"})
    receive(client)
    return client


def receive(client, key="lot-1", count="10", colour="Red"):
    lot = {"client_key": key, "colour": colour, "count": count, "day": "2026-11-20"}
    assert client.post("/office/stock/balloon-type/4", data=lot).status_code == 303


def ordered(client, press="0", **changes):
    """Presses with the fields as the page draws them."""
    sent = Page(client.get(LIST).text).values
    return client.post(LIST, data=sent | {"press": press} | {k.replace("__", "-"): v for k, v in changes.items()})


def on_their_way(database):
    with database.reading() as session:
        rows = session.scalars(select(Delivery).order_by(Delivery.id))
        return [(row.colour, row.packs, row.pieces, row.due_on.isoformat()) for row in rows]


def test_it_works(shop, database):
    number = take(shop, **NEXT_WEEK, lines__0__colours="red", lines__0__quantity="70", bench_override="so")
    said = words(shop.get(LIST).text)
    assert "Order today for Monday 23 November 2026 : it is the last day." in said
    assert "The delivery after it comes on Monday 30 November 2026." in said
    assert f"Red 11 in latex 60 wanting; order {number}" in said
    assert "£8.00" in said
    answer = ordered(shop)
    assert (answer.status_code, answer.location) == (303, LIST)
    assert on_their_way(database) == [("Red", 2, 100, MONDAY)]
    said = words(shop.get(LIST).text)
    assert "Nothing is to be ordered" in said
    assert "2 packs, due Mon 23 Nov" in said


def test_what_is_wanting_before_the_delivery_stands_apart_and_is_not_on_the_list(shop):
    today = take(shop, lines__0__colours="red", stock_override="They are bought.")
    take(shop, client_key="key-2", **NEXT_WEEK, lines__0__colours="red", lines__0__quantity="7")
    said = words(shop.get(LIST).text)
    assert f"It cannot come in time for: 14 Red 11 in latex , wanting from Sat 21 Nov: order {today}" in said
    assert "Red 11 in latex 7 wanting" in said


def test_spares_are_bought_too_shared_out_over_the_colours(shop):
    shop.post("/office/settings", data={"spares_percent": "10"})
    take(shop, **NEXT_WEEK, lines__0__quantity="30", lines__0__colours="12 red, 18 white")
    said = words(shop.get(LIST).text)
    assert "Red 11 in latex 2 + 1 spare wanting" in said
    assert "white 11 in latex 18 + 2 spares wanting" in said


def test_only_those_taken_last_are_named_as_short(shop):
    """10 red are there: the first order was promised 6 of them, the second 4 of its 5, the third none of its 3."""
    first, second, third = (
        take(shop, client_key=f"o{count}", lines__0__colours="red", lines__0__quantity=count, stock_override="so")
        for count in ("6", "5", "3")
    )
    said = words(shop.get(LIST).text)
    assert f"4 Red 11 in latex , wanting from Sat 21 Nov: orders {second} , {third} The list" in said
    assert first < second < third
    receive(shop, "lot-2", "1")
    assert f"3 Red 11 in latex , wanting from Sat 21 Nov: order {third} The list" in words(shop.get(LIST).text)


def test_any_colour_says_so(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="")
    assert "any colour 11 in latex 14 wanting: any colour does, or a mixed pack" in words(shop.get(LIST).text)


def test_packs_and_day_may_be_others_and_reckoning_keeps_nothing(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    page = ordered(shop, "calculate", packs__0="5")
    assert page.status_code == 200
    assert Page(page.text).values["packs-0"] == "5"
    assert "£20.00" in words(page.text)
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
        ({"packs__1": "many"}, "packs-1", "a whole number from 1"),
        ({"packs__1": "0"}, "packs-1", "out of range"),
        ({"due__1": "soon"}, "due-1", "A date, please"),
        ({"due__1": "2026-11-01"}, "due-1", "from today"),
    ],
)
def test_what_cannot_be_ordered_is_told_at_its_row_and_nothing_is_kept(shop, database, changes, field, sentence):
    take(shop, **NEXT_WEEK, lines__0__colours="12 red, 12 white")
    answer = ordered(shop, "all", packs__0="3", **changes)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem(field)
    assert page.values["packs-0"] == "3"
    assert page.values[field] == next(iter(changes.values()))
    assert on_their_way(database) == []
    assert "On its way" not in words(answer.text)


@pytest.mark.parametrize("press", ["", "7", "x"])
def test_a_press_that_names_no_row_orders_nothing(shop, database, press):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    answer = ordered(shop, press)
    assert answer.status_code == 422
    assert "Nothing was chosen" in words(answer.text)
    assert on_their_way(database) == []


def test_what_came_is_a_lot_once_with_the_count_that_came(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    for _ in range(2):
        assert shop.post("/office/stock/deliveries/1/came", data={"count-1": "48"}).status_code == 303
    with database.reading() as session:
        assert [(lot.colour, lot.on_hand) for lot in session.scalars(select(Lot))] == [("Red", 10), ("Red", 48)]
    assert "On its way" not in words(shop.get(LIST).text)


def test_packs_that_did_not_come_are_still_awaited_and_the_page_says_so(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop, packs__0="3")
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "98"})
    said = words(shop.get(LIST).text)
    assert "98 Red 11 in latex came: a lot now. 1 pack is missing and still on the way" in said
    assert "Red 11 in latex 1 pack, due Mon 23 Nov" in said
    assert shop.post("/office/stock/deliveries/2/withdrawn").status_code == 303
    assert "1 pack, due" not in words(shop.get(LIST).text)


def test_packs_that_hold_too_few_are_told_and_not_awaited(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "48"})
    said = words(shop.get(LIST).text)
    assert "That is 2 fewer than ordered, less than a pack: no more is awaited." in said
    assert "On its way" not in said


@pytest.mark.parametrize("count", ["", "0", "2.5", "lots"])
def test_a_count_that_cannot_be_is_told_at_the_delivery(shop, count):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    answer = shop.post("/office/stock/deliveries/1/came", data={"count-1": count})
    assert answer.status_code == 422
    assert "whole number from 1" in Page(answer.text).problem("count-1") or "range" in Page(answer.text).problem(
        "count-1"
    )


def test_what_will_not_come_is_wanting_again(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    for _ in range(2):
        assert shop.post("/office/stock/deliveries/1/withdrawn").status_code == 303
    assert "Red 11 in latex 14 wanting" in words(shop.get(LIST).text)
    answer = shop.post("/office/stock/deliveries/1/came", data={"count-1": "50"})
    assert answer.status_code == 422
    assert "It was withdrawn" in words(answer.text)


def test_what_will_not_come_may_come_after_all(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    there = shop.post("/office/stock/deliveries/1/withdrawn").location
    assert "Red 11 in latex, 1 pack, was due Mon 23 Nov It comes after all" in words(shop.get(there).text)
    for _ in range(2):
        assert shop.post("/office/stock/deliveries/1/back").status_code == 303
    said = words(shop.get(LIST).text)
    assert "Red 11 in latex 1 pack, due Mon 23 Nov" in said
    assert "not to come Nothing." in words(shop.get(there).text)


def test_what_came_by_mistake_is_undone_and_awaited_whole(shop, database):
    """Of three packs two were said to have come."""
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop, packs__0="3")
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "98"})
    assert "Undo: it did not come" in shop.get("/office/stock/balloon-type/4").text
    assert shop.post("/office/stock/lots/2/undo").status_code == 303
    assert "did not come: 3 packs are on the way again." in words(shop.get("/office/stock/balloon-type/4").text)
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
    assert "The rest of that delivery came already" in words(answer.text)
    sent = {"count-3": "49", "why-3": "torn", "seen-3": "50.0", "counts-3": "0"}
    shop.post("/office/stock/lots/3/count", data=sent)
    assert "Something was done with it since" in words(shop.post("/office/stock/lots/3/undo").text)
    with database.reading() as session:
        assert [lot.on_hand for lot in session.scalars(select(Lot))] == [10, 50, 49]


def test_what_came_cannot_be_withdrawn(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    ordered(shop)
    shop.post("/office/stock/deliveries/1/came", data={"count-1": "50"})
    answer = shop.post("/office/stock/deliveries/1/withdrawn")
    assert answer.status_code == 422
    assert "It came already" in words(answer.text)


def test_what_is_overdue_stands_first_and_is_counted_on_no_more(shop, database):
    take(shop, **NEXT_WEEK, lines__0__colours="12 red, 12 white")
    ordered(shop, "all")
    with database.writing() as session:
        session.get(Delivery, 2).due_on = date(2026, 11, 20)
    said = words(shop.get(LIST).text)
    assert re.search(r"white 11 in latex Overdue .*Red 11 in latex 1 pack", said)
    assert "white 11 in latex 12 wanting" in said


@pytest.mark.parametrize("act", ["came", "withdrawn"])
def test_a_delivery_that_is_not_there_is_404(shop, act):
    assert shop.post(f"/office/stock/deliveries/9/{act}").status_code == 404


def test_the_list_may_be_sent_along(shop):
    take(shop, **NEXT_WEEK, lines__0__colours="red")
    assert shop.get("/office/stock/buying.csv").text.splitlines() == [
        "article,colour,packs,pack of,unit,in all,cost,due",
        f"11 in latex,Red,1,50,piece,50,4.00,{MONDAY}",
    ]


def test_a_shop_without_a_fixed_day_is_told_when_it_comes(shop):
    shop.post("/office/settings", data={"delivery_weekday": "no fixed day"})
    assert "Ordered today it comes on Monday 23 November 2026 , 2 days from now" in words(shop.get(LIST).text)


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
