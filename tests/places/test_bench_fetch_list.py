"""The items to fetch on a day, from which lots, and for whom."""

import re

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.store.models import DesignSupplyRow, Lot, StockMove, SupplyRow
from tests.actions.builders import BENCH_REASON, at, bouquet, design_line, line, order_request, tap
from tests.actions.builders import take as take_straight
from tests.places.marks import marks
from tests.places.payloads import take, words

WHY = "They are bought."
SUNDAY = {"event_start__day": "2026-11-22", "lasts_until__day": "2026-11-22", "hand_over_time__day": "2026-11-22"}


def receive(client, key, count, colour="red", day="2026-11-20", article="balloon-type/4"):
    lot = {"client_key": key, "colour": colour, "count": count, "day": day}
    assert client.post(f"/office/stock/{article}", data=lot).status_code == 303


LOT = re.compile(r'data-lot="([^"]*)"\s+data-lot-count="([^"]*)"\s+data-lot-colour="([^"]*)"\s*(data-lot-comes)?')
ORDER = re.compile(r'data-order-count="([^"]*)"\s*(data-started)?\s*href="/counter/orders/(\d+)"')


def page_of(client, day=""):
    page = client.get(f"/bench/fetch-list{day}")
    assert page.status_code == 200
    return page.text


def fetched(client, day=""):
    """The rows of the list by colour, or by name without one: what each says in its data, its lots, its orders."""
    rows = {}
    for attributes, inside in re.findall(
        r'<tr\s+class="(?:fetch-short)?"([^>]*)>(.*?)</tr>', page_of(client, day), re.DOTALL
    ):
        row = dict(re.findall(r'data-([a-z-]+)="([^"]*)"', attributes))
        row["lots"] = [(on, count) for on, count, *_ in LOT.findall(inside)]
        row["lot-colours"] = [colour for _, _, colour, _ in LOT.findall(inside)]
        row["coming"] = [on for on, *_, comes in LOT.findall(inside) if comes]
        row["orders"] = [(int(number), count) for count, _, number in ORDER.findall(inside)]
        row["started"] = [int(number) for _, started, number in ORDER.findall(inside) if started]
        row["said"] = words(inside)
        rows[row["colour"] or row["article"]] = row
    return rows


def is_empty(client, day=""):
    return 'data-list="empty"' in page_of(client, day)


def test_it_works(client):
    receive(client, "new", "30", day="2026-11-20")
    receive(client, "old", "10", day="2026-08-03")
    number = take(client, lines__0__colours="red")
    row = fetched(client)["red"]
    assert (row["article"], row["fetch"], row["in-stock"]) == ("11 in latex", "24", "40")
    assert row["lots"] == [("2026-08-03", "10"), ("2026-11-20", "14")]
    assert row["orders"] == [(number, "24")]
    assert (row["short"], row["spares-short"]) == ("", "")
    assert "data-short-rows" not in page_of(client)


def test_an_old_lot_is_fetched_last_for_orders_only_and_named_as_old(client):
    client.post("/office/settings", data={"spares_percent": "10"})
    receive(client, "old", "30", day="2025-08-03")
    receive(client, "new", "20")
    take(client, lines__0__colours="red", stock_override=WHY)
    row = fetched(client)["red"]
    assert row["lots"] == [("2026-11-20", "20"), ("2025-08-03", "4")]
    assert (row["in-stock"], row["short"], row["spares-short"]) == ("24", "", "3")
    assert "data-lot-old" in page_of(client)
    receive(client, "more", "4")
    assert fetched(client)["red"]["lots"] == [("2026-11-20", "20"), ("2026-11-20", "4")]


def test_a_shop_that_counts_nothing_gets_the_list_without_lots(client):
    number = take(client, lines__0__colours="12 red, 12 white")
    for colour in ("red", "white"):
        row = fetched(client)[colour]
        assert (row["fetch"], row["counted"], row["lots"]) == ("12", "no", [])
        assert row["orders"] == [(number, "12")]


def test_spares_are_fetched_too_shared_out_over_the_colours(client):
    client.post("/office/settings", data={"spares_percent": "10"})
    take(client, lines__0__colours="8 red, 16 white")
    rows = fetched(client)
    assert (rows["red"]["fetch"], rows["red"]["spares"]) == ("8", "1")
    assert (rows["white"]["fetch"], rows["white"]["spares"]) == ("16", "2")


def test_what_is_short_is_marked_and_what_only_lacks_spares_says_so(client):
    client.post("/office/settings", data={"spares_percent": "10"})
    receive(client, "red", "12")
    receive(client, "white", "5", "white")
    take(client, lines__0__colours="12 red, 12 white", stock_override=WHY)
    rows = fetched(client)
    assert 'data-short-rows="1"' in page_of(client)
    missing = ("in-stock", "short", "spares-short")
    assert [rows["white"][name] for name in missing] == ["5", "7", "1"]
    assert [rows["red"][name] for name in missing] == ["12", "", "2"]


def test_what_is_short_counts_the_spares_apart(client):
    """Of 24 and 3 spares, as the shop keeps one in ten, 20 are there."""
    client.post("/office/settings", data={"spares_percent": "10"})
    receive(client, "red", "20")
    take(client, lines__0__colours="red", stock_override=WHY)
    row = fetched(client)["red"]
    numbers = [row[name] for name in ("fetch", "spares", "in-stock", "short", "spares-short")]
    assert numbers == ["24", "3", "20", "4", "3"]
    assert row["lots"] == [("2026-11-20", "20")]


def test_where_any_colour_does_it_says_of_which_most_is_free(client):
    receive(client, "red", "40")
    receive(client, "white", "60", "white")
    take(client, lines__0__colours="")
    (row,) = fetched(client).values()
    assert (row["fetch"], row["in-stock"], row["lots"]) == ("24", "100", [("2026-11-20", "24")])
    assert row["lot-colours"] == ["white"]
    assert "white 60, red 40" in row["said"]


def test_orders_that_want_the_same_stand_together_with_their_shares(client):
    one = take(client, lines__0__colours="red")
    two = take(
        client, client_key="key-2", lines__0__colours="red", lines__0__quantity="6", bench_override=BENCH_REASON
    )
    row = fetched(client)["red"]
    assert (row["fetch"], row["orders"]) == ("30", [(one, "24"), (two, "6")])


def test_another_day_comes_after_what_this_day_takes(client):
    receive(client, "old", "30", day="2026-08-03")
    receive(client, "new", "30")
    take(client, lines__0__colours="red")
    take(client, client_key="key-2", lines__0__colours="red", **SUNDAY)
    row = fetched(client, "?day=2026-11-22")["red"]
    assert (row["fetch"], row["in-stock"]) == ("24", "36")
    assert row["lots"] == [("2026-08-03", "6"), ("2026-11-20", "18")]


def test_what_comes_before_that_day_counts_from_the_day_after(client):
    receive(client, "red", "4")
    client.post("/office/settings", data={"delivery_lead_days": "0"})
    sent = {
        "client_key": "k",
        "rows": "1",
        "what-0": "balloon_type-4",
        "colour-0": "red",
        "packs-0": "30",
        "press": "0",
    }
    assert client.post("/office/stock/buying", data=sent | {"due-0": "2026-11-21"}).status_code == 303
    take(client, lines__0__colours="red", **SUNDAY)
    row = fetched(client, "?day=2026-11-22")["red"]
    assert row["lots"] == [("2026-11-20", "4"), ("2026-11-21", "20")]
    assert row["coming"] == ["2026-11-21"]


def test_what_is_filled_is_fetched_no_more_and_what_is_started_lies_on_the_bench(client):
    number = take(client, lines__0__colours="red")
    address = f"/bench/batches/{number}-1/taps"
    client.post(address, data={"act": "start", "client_key": "s", "sure": "yes"})
    assert fetched(client)["red"]["started"] == [number]
    client.post(address, data={"act": "finish", "client_key": "f", "sure": "yes"})
    assert is_empty(client)


def test_supplies_are_fetched_on_the_day_on_which_the_order_leaves(client, database):
    with database.writing() as session:
        catalogue, ribbon = (
            load_catalogue(session),
            session.scalars(select(SupplyRow).where(SupplyRow.sort == "ribbon")).first(),
        )
        design = bouquet(session, catalogue)
        design.supplies.append(_supply_of(ribbon))
        session.flush()
        number = take_straight(session, order_request(catalogue, design_line(design, 3))).number
        name = ribbon.name
    receive(client, "ribbon", "2.5", article=f"supply/{ribbon.id}")
    row = fetched(client)[name]
    assert [row[one] for one in ("fetch", "in-stock", "short")] == ["3.6 m", "2.5 m", "1.1 m"]
    assert row["lots"] == [("2026-11-20", "2.5 m")]
    assert [one for one, _ in row["orders"]] == [number]


def _supply_of(row):
    return DesignSupplyRow(position=9, supply_id=row.id, quantity=1.2)


def test_a_crew_takes_its_balloons_along_on_the_day_on_which_it_leaves(client):
    night = {
        **{"hand_over": "venue", "address": "The Corn Hall", "event_start__day": "2026-11-22"},
        **{"event_start__hour": "01:00", "lasts_until__day": "2026-11-22", "lasts_until__hour": "04:00"},
        **{"hand_over_time__day": "2026-11-21", "hand_over_time__hour": "22:00", "travel_minutes": "90"},
    }
    number = take(client, **night, lines__0__colours="red", bench_override=BENCH_REASON, accepted_risk="so")
    row = fetched(client)["red"]
    assert (row["fetch"], row["counted"], row["orders"]) == ("24", "no", [(number, "24")])
    assert is_empty(client, "?day=2026-11-22")


def test_a_day_that_has_passed_says_so(client):
    take(client)
    assert 'data-day="past"' in page_of(client, "?day=2026-11-20")


@pytest.mark.parametrize("day", ["soon", "1999-01-01"])
def test_a_day_that_is_none_is_told(client, day):
    assert marks(client.get(f"/bench/fetch-list?day={day}", follow_redirects=True).text, "flash") == ["problem"]


def test_the_board_leads_there(client):
    assert re.search(r'href="/bench/fetch-list(\?day=)?"', client.get("/bench").text)
    assert 'href="/bench/fetch-list?day=2026-11-28"' in client.get("/bench?day=2026-11-28").text


@pytest.mark.parametrize(
    ("counts", "available", "from_lots"),
    [
        ((-3, 100), 97, [("2026-09-03", "24")]),
        ((100, -3), 97, [("2026-08-03", "24")]),
        ((10, -3, 50), 57, [("2026-08-03", "10"), ("2026-10-03", "14")]),
        ((30, 2, -3), 29, [("2026-08-03", "24")]),
    ],
)
def test_a_lot_below_zero_came_out_of_the_others(client, database, counts, available, from_lots):
    """As the stock's page adds them."""
    for place in range(len(counts)):
        receive(client, f"lot-{place}", "200", day=f"2026-{8 + place:02}-03")
    with database.writing() as session:
        for lot, count in zip(session.scalars(select(Lot).order_by(Lot.id)), counts, strict=True):
            lot.on_hand = count
    take(client, lines__0__colours="red")
    row = fetched(client)["red"]
    assert (row["fetch"], row["lots"], row["in-stock"]) == ("24", from_lots, str(available))
    assert f",red,piece,{available},24,0," in client.get("/office/stock.csv").text


def test_a_lot_below_zero_leaves_other_colours_alone(client, database):
    receive(client, "red", "200")
    receive(client, "white", "40", "white")
    with database.writing() as session:
        session.get(Lot, 1).on_hand = -3
    take(client, lines__0__colours="white")
    row = fetched(client)["white"]
    assert (row["fetch"], row["lots"], row["in-stock"]) == ("24", [("2026-11-20", "24")], "40")


def test_the_lots_on_the_list_are_those_that_filling_takes_from(client, database):
    """Two colours, any colour, several lots: what is filled is drawn as the list said it."""
    receive(client, "a", "7", "red", "2026-08-03")
    receive(client, "b", "30", "red", "2026-09-03")
    receive(client, "c", "40", "white", "2026-10-03")
    receive(client, "d", "9", "", "2026-10-04")
    with database.writing() as session:
        catalogue = load_catalogue(session)
        red, any_colour = line(catalogue, quantity=12, colours="red"), line(catalogue, quantity=20, colours="")
        number = take_straight(session, order_request(catalogue, red, any_colour)).number
    rows = fetched(client)
    assert rows["red"]["lots"] == [("2026-08-03", "7"), ("2026-09-03", "5")]
    (either,) = (row for colour, row in rows.items() if colour != "red")
    assert (either["fetch"], either["lots"]) == ("20", [("2026-10-04", "9"), ("2026-10-03", "11")])
    assert either["lot-colours"][1] == "white"
    with database.writing() as session:
        for batch in load_order(session, number).batches:
            tap(session, batch, "finish", at(9), sure=True)
    with database.reading() as session:
        moves = session.scalars(select(StockMove).where(StockMove.sort == "filled"))
        assert sorted((move.lot_id, move.change) for move in moves) == [(1, -7), (2, -5), (3, -11), (4, -9)]


def test_what_should_have_left_long_ago_is_fetched_no_more(client, now):
    """Collected at 14:00, and forgotten twelve hours later, as at the bench."""
    take(client, lines__0__colours="red")
    now.move_to(at(1, 59, days=1))
    assert fetched(client)["red"]["fetch"] == "24"
    now.move_to(at(2, days=1))
    assert is_empty(client)


def test_what_is_not_in_stock_stands_on_its_row_and_its_ticket(client):
    receive(client, "red", "12")
    receive(client, "white", "5", "white")
    number = take(client, lines__0__colours="12 red, 12 white", stock_override=WHY)
    board, ticket = (client.get(address).text for address in ("/bench", f"/bench/batches/{number}-1"))
    assert (marks(board, "missing"), marks(ticket, "missing")) == (["white 7;"], ["white 7;"])
    version = marks(board, "version")[0]
    receive(client, "more", "7", "white")
    again = client.get("/bench", query_string={"v": version})
    assert again.status_code == 200
    assert marks(again.text, "missing") == []


def test_what_is_short_on_a_later_day_only_is_not_marked_today(client):
    receive(client, "red", "24")
    take(client, lines__0__colours="24 red")
    take(client, client_key="b", lines__0__colours="24 red", stock_override=WHY, **SUNDAY)
    assert marks(client.get("/bench").text, "missing") == []


def test_of_what_is_not_counted_nothing_is_marked(client):
    take(client, lines__0__colours="24 red")
    assert marks(client.get("/bench").text, "missing") == []
