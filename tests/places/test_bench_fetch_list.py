"""The pull list: what is laid out for a day, from which lots, and for whom."""

import re

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.store.models import DesignSupplyRow, Lot, StockMove, SupplyRow
from tests.actions.builders import BENCH_REASON, at, bouquet, design_line, line, order_request, tap
from tests.actions.builders import take as take_straight
from tests.places.payloads import take, words

WHY = "They are bought."
SUNDAY = {"event_start__day": "2026-11-22", "lasts_until__day": "2026-11-22", "hand_over_time__day": "2026-11-22"}


def receive(client, key, count, colour="red", day="2026-11-20", article="balloon-type/4"):
    lot = {"client_key": key, "colour": colour, "count": count, "day": day}
    assert client.post(f"/office/stock/{article}", data=lot).status_code == 303


def fetched(client, day=""):
    page = client.get(f"/bench/fetch-list{day}")
    assert page.status_code == 200
    return words(page.text)


def test_it_works(client):
    receive(client, "new", "30", day="2026-11-20")
    receive(client, "old", "10", day="2026-08-03")
    number = take(client, lines__0__colours="red")
    said = fetched(client)
    assert (
        f"11 in latex red 24 10 from the lot of 3 Aug 2026; 14 from the lot of 20 Nov 2026 40 there {number}"
        in said
    )
    assert "short" not in said


def test_a_shop_that_counts_nothing_gets_the_list_without_lots(client):
    number = take(client, lines__0__colours="12 red, 12 white")
    said = fetched(client)
    assert f"11 in latex red 12 not counted {number}" in said
    assert f"11 in latex white 12 not counted {number}" in said


def test_spares_are_laid_out_too_shared_out_over_the_colours(client):
    client.post("/office/settings", data={"spares_percent": "10"})
    take(client, lines__0__colours="8 red, 16 white")
    said = fetched(client)
    assert "red 8 + 1 spare " in said
    assert "white 16 + 2 spares " in said


def test_what_is_short_is_marked_and_what_only_lacks_spares_says_so(client):
    client.post("/office/settings", data={"spares_percent": "10"})
    receive(client, "red", "12")
    receive(client, "white", "5", "white")
    take(client, lines__0__colours="12 red, 12 white", stock_override=WHY)
    said = fetched(client)
    assert "1 row is short" in said
    assert "5 there 7 short, and the spare" in said
    assert "12 there 2 of the spares are not there" in said


def test_what_is_short_counts_the_spares_apart(client):
    """Of 24 and 3 spares, as the shop keeps one in ten, 20 are there."""
    client.post("/office/settings", data={"spares_percent": "10"})
    receive(client, "red", "20")
    take(client, lines__0__colours="red", stock_override=WHY)
    assert "24 + 3 spares 20 from the lot of 20 Nov 2026 20 there 4 short, and the 3 spares" in fetched(client)


def test_where_any_colour_does_it_says_of_which_most_is_free(client):
    receive(client, "red", "40")
    receive(client, "white", "60", "white")
    take(client, lines__0__colours="")
    assert "any colour 24 24 white from the lot of 20 Nov 2026 100 there; most free: white 60, red 40" in fetched(
        client
    )


def test_orders_that_want_the_same_stand_together_with_their_shares(client):
    one = take(client, lines__0__colours="red")
    two = take(
        client, client_key="key-2", lines__0__colours="red", lines__0__quantity="6", bench_override=BENCH_REASON
    )
    assert f"red 30 not counted {one} × 24 , {two} × 6" in fetched(client)


def test_another_day_comes_after_what_this_day_takes(client):
    receive(client, "old", "30", day="2026-08-03")
    receive(client, "new", "30")
    take(client, lines__0__colours="red")
    take(client, client_key="key-2", lines__0__colours="red", **SUNDAY)
    assert "red 24 6 from the lot of 3 Aug 2026; 18 from the lot of 20 Nov 2026 36 there" in fetched(
        client, "?day=2026-11-22"
    )


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
    assert "24 4 from the lot of 20 Nov 2026; 20 from what comes 21 Nov 2026" in fetched(client, "?day=2026-11-22")


def test_what_is_filled_is_laid_out_no_more_and_what_is_begun_lies_on_the_bench(client):
    number = take(client, lines__0__colours="red")
    address = f"/bench/batches/{number}-1/taps"
    client.post(address, data={"act": "start", "client_key": "s", "sure": "yes"})
    assert f"{number} on the bench" in fetched(client)
    client.post(address, data={"act": "finish", "client_key": "f", "sure": "yes"})
    assert "Nothing is to be laid out today" in fetched(client)


def test_supplies_are_laid_out_on_the_day_on_which_the_order_leaves(client, database):
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
    assert f"{name} 3.6 m 2.5 m from the lot of 20 Nov 2026 2.5 m there 1.1 m short {number}" in fetched(client)


def _supply_of(row):
    return DesignSupplyRow(position=9, supply_id=row.id, quantity=1.2)


def test_a_crew_takes_its_balloons_along_on_the_day_on_which_it_leaves(client):
    night = {
        **{"hand_over": "venue", "address": "The Corn Hall", "event_start__day": "2026-11-22"},
        **{"event_start__hour": "01:00", "lasts_until__day": "2026-11-22", "lasts_until__hour": "04:00"},
        **{"hand_over_time__day": "2026-11-21", "hand_over_time__hour": "22:00", "travel_minutes": "90"},
    }
    number = take(client, **night, lines__0__colours="red", bench_override=BENCH_REASON, accepted_risk="so")
    assert f"red 24 not counted {number}" in fetched(client)
    assert "Nothing is to be laid out" in fetched(client, "?day=2026-11-22")


def test_a_day_that_has_passed_says_so(client):
    take(client)
    assert "That day has passed" in fetched(client, "?day=2026-11-20")


@pytest.mark.parametrize("day", ["soon", "1999-01-01"])
def test_a_day_that_is_none_is_told(client, day):
    assert client.get(f"/bench/fetch-list?day={day}").status_code == 400


def test_the_board_leads_there(client):
    assert re.search(r'href="/bench/fetch-list(\?day=)?"', client.get("/bench").text)
    assert 'href="/bench/fetch-list?day=2026-11-28"' in client.get("/bench?day=2026-11-28").text


@pytest.mark.parametrize(
    ("counts", "there", "from_lots"),
    [
        ((-3, 100), 97, "24 from the lot of 3 Sep 2026"),
        ((100, -3), 97, "24 from the lot of 3 Aug 2026"),
        ((10, -3, 50), 57, "10 from the lot of 3 Aug 2026; 14 from the lot of 3 Oct 2026"),
        ((30, 2, -3), 29, "24 from the lot of 3 Aug 2026"),
    ],
)
def test_a_lot_below_zero_came_out_of_the_others(client, database, counts, there, from_lots):
    """As the stock's page adds them."""
    for place in range(len(counts)):
        receive(client, f"lot-{place}", "200", day=f"2026-{8 + place:02}-03")
    with database.writing() as session:
        for lot, count in zip(session.scalars(select(Lot).order_by(Lot.id)), counts, strict=True):
            lot.on_hand = count
    take(client, lines__0__colours="red")
    assert f"red 24 {from_lots} {there} there" in fetched(client)
    assert f",red,piece,{there},24,0," in client.get("/office/stock.csv").text


def test_a_lot_below_zero_leaves_other_colours_alone(client, database):
    receive(client, "red", "200")
    receive(client, "white", "40", "white")
    with database.writing() as session:
        session.get(Lot, 1).on_hand = -3
    take(client, lines__0__colours="white")
    assert "white 24 24 from the lot of 20 Nov 2026 40 there" in fetched(client)


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
    said = fetched(client)
    assert "red 12 7 from the lot of 3 Aug 2026; 5 from the lot of 3 Sep 2026" in said
    assert "any colour 20 9 from the lot of 4 Oct 2026; 11 white from the lot of 3 Oct 2026" in said
    with database.writing() as session:
        for batch in load_order(session, number).batches:
            tap(session, batch, "finish", at(9), sure=True)
    with database.reading() as session:
        moves = session.scalars(select(StockMove).where(StockMove.sort == "filled"))
        assert sorted((move.lot_id, move.change) for move in moves) == [(1, -7), (2, -5), (3, -11), (4, -9)]


def test_what_should_have_left_long_ago_is_laid_out_no_more(client, now):
    """Collected at 14:00, and forgotten twelve hours later, as at the bench."""
    take(client, lines__0__colours="red")
    now.move_to(at(1, 59, days=1))
    assert "red 24 not counted" in fetched(client)
    now.move_to(at(2, days=1))
    assert "Nothing is to be laid out today" in fetched(client)
