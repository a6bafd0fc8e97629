"""The weeks ahead: what leaves on each day, how full it is, and an order that begins with a press on a day."""

import re
from datetime import timedelta

import pytest

from app.actions.records.catalogue import load_catalogue
from app.actions.shop.office import change_settings
from app.planner import Planner
from app.quoting.request import HandOver
from tests.actions.builders import at, order_request
from tests.actions.builders import take as take_directly
from tests.actions.rental_helpers import hand_over, pole, rental
from tests.places.marks import marks
from tests.places.payloads import CALLED_OFF, Page, take

NEXT_SATURDAY = dict.fromkeys(("event_start__day", "lasts_until__day", "hand_over_time__day"), "2026-11-28")


def _page(client, **asked):
    answer = client.get("/counter/weeks", query_string=asked)
    assert answer.status_code == 200, answer.text
    return Page(answer.text)


def _days(client, **asked):
    """The data of each day of the page by its date."""
    cells = (attrs for tag, attrs in _page(client, **asked).tags if tag == "td")
    return {attrs["data-day"]: attrs for attrs in cells if "data-day" in attrs}


def _orders(client, **asked):
    """The number of orders by date, where there are any."""
    return {
        day: int(cell["data-orders"]) for day, cell in _days(client, **asked).items() if cell["data-orders"] != "0"
    }


def test_four_weeks_are_shown_from_the_monday_of_this_one(client):
    days = [*_days(client)]
    assert (days[0], days[-1], len(days)) == ("2026-11-16", "2026-12-13", 28)


def test_the_week_begins_as_the_shops_country_has_it(client, database):
    with database.writing() as session:
        change_settings(session, {"locale": "en_US"})
    assert next(iter(_days(client))) == "2026-11-15"


@pytest.mark.parametrize(
    ("asked", "first"),
    [
        ("2026-12-14", "2026-12-14"),
        ("2026-12-20", "2026-12-14"),
        ("2026-10-19", "2026-10-19"),
        ("2000-01-01", "2000-01-10"),
        ("2100-12-31", "2099-12-28"),
    ],
)
def test_other_weeks_are_shown_from_the_monday_before_the_day_in_the_address(client, asked, first):
    assert next(iter(_days(client, **{"from": asked}))) == first


def _span(client, **asked):
    return re.search(r"<span data-span>(.*?)</span>", client.get("/counter/weeks", query_string=asked).text)[1]


def test_weeks_of_two_years_name_both(client):
    assert re.findall(r"\d{4}", _span(client)) == ["2026"]
    assert re.findall(r"\d{4}", _span(client, **{"from": "2026-12-14"})) == ["2026", "2027"]


def test_a_day_that_cannot_be_read_is_told(client):
    for address in ("/counter/weeks?from=soon", "/counter/?day=soon"):
        assert marks(client.get(address, follow_redirects=True).text, "flash") == ["problem"]


def test_links_lead_four_weeks_back_and_on(client):
    links = [attrs["href"] for tag, attrs in _page(client).tags if tag == "a" and "weeks?" in attrs["href"]]
    assert links == ["/counter/weeks?from=2026-10-19", "/counter/weeks?from=2026-12-14"]


def test_orders_count_on_the_day_on_which_they_leave(client):
    take(client)
    take(client, client_key="key-2", **NEXT_SATURDAY)
    take(client, client_key="key-3", accepted_risk="Fine.", bench_override="By turns.")
    off = take(client, client_key="key-4", bench_override="By turns.", **NEXT_SATURDAY)
    client.post(f"/counter/orders/{off}/cancel", data=CALLED_OFF)
    client.post("/counter/quick-sale", data={"client_key": "sale", "what": "sold-4", "quantity": "2"})
    assert _orders(client) == {"2026-11-21": 2, "2026-11-28": 1}
    assert _orders(client, **{"from": "2026-12-14"}) == {}


def test_the_number_of_orders_leads_to_these_orders(client):
    take(client, **NEXT_SATURDAY)
    links = [attrs["href"] for tag, attrs in _page(client).tags if tag == "a" and "orders?" in attrs["href"]]
    assert links == ["/counter/orders?from=2026-11-28&to=2026-11-28"]
    assert client.get(links[0]).text.count("data-order=") == 1


def test_deliveries_are_counted_apart(client, database):
    there = {"hand_over": HandOver.DELIVER, "address": "The Corn Hall", "travel_minutes": 30}
    with database.writing() as session:
        wanted = order_request(load_catalogue(session), ready_by=at(13, 30), arrives_at=at(14), **there)
        take_directly(session, wanted)
    day = _days(client)["2026-11-21"]
    assert (day["data-orders"], day["data-deliveries"]) == ("1", "1")


def test_planned_work_takes_from_the_time_that_is_free(client, database):
    before = _days(client)["2026-11-28"]
    assert (before["data-planned"], before["data-free"]) == ("0", before["data-available"])
    take(client, **NEXT_SATURDAY)
    Planner(database).plan_now()
    after = _days(client)["2026-11-28"]
    planned = int(after["data-planned"])
    assert planned > 0
    assert int(after["data-free"]) == int(after["data-available"]) - planned
    assert after["data-available"] == before["data-available"]
    assert _days(client)["2026-11-27"]["data-planned"] == "0"


def test_today_counts_from_now_on_and_days_that_are_over_have_no_load(client, now):
    whole = int(_days(client)["2026-11-21"]["data-available"])
    now.move_to(at(12))
    days = _days(client)
    assert 0 < int(days["2026-11-21"]["data-available"]) < whole
    assert "data-free" not in days["2026-11-20"]
    assert "data-free" in days["2026-11-22"]


def test_a_closed_day_says_so_and_has_nothing_free(client):
    client.post("/office/hours/exceptions", data={"day": "2026-11-28", "opens": "", "closes": ""})
    day = _days(client)["2026-11-28"]
    assert (day["data-closed"], day["data-free"], day["data-available"]) == ("yes", "0", "0")
    assert _days(client)["2026-11-27"]["data-closed"] == "no"


def test_each_day_with_staff_has_a_bar_whose_text_stands_beside_it(client):
    page = client.get("/counter/weeks").text
    bars = [attrs for tag, attrs in Page(page).tags if attrs.get("data-role") == "chart"]
    manned = [cell for cell in _days(client).values() if cell.get("data-available", "0") != "0"]
    assert len(bars) == len(manned) > 15
    assert all(f'<p class="hint">{bar["aria-label"]}</p>' in page for bar in bars)


def test_rentals_are_out_from_their_order_until_they_are_due(client, database):
    with database.writing() as session:
        goods = load_catalogue(session)
        hours = {"ready_by": at(12, days=2), "event_start": at(15, days=2), "lasts_until": at(17, days=2)}
        extras = {"extras": (rental(pole(session), 3),), "return_by": at(10, days=4)}
        take_directly(session, order_request(goods, **hours, **extras))
    out = {day: int(cell["data-rentals"]) for day, cell in _days(client).items()}
    assert {day for day, pieces in out.items() if pieces == 3} == {"2026-11-23", "2026-11-24", "2026-11-25"}
    assert sum(out.values()) == 9


def test_what_should_be_back_is_out_today_and_nobody_knows_for_how_much_longer(client, database, now):
    with database.writing() as session:
        extras = {"extras": (rental(pole(session), 2),), "return_by": at(20)}
        order = take_directly(session, order_request(load_catalogue(session), **extras))
        hand_over(session, order)
    now.move_to(at(9) + timedelta(days=2))
    out = {day: cell["data-rentals"] for day, cell in _days(client).items()}
    assert (out["2026-11-23"], out["2026-11-24"]) == ("2", "0")


def test_an_order_that_can_not_be_ready_is_said_on_its_day(client, database, now):
    take(client)
    now.move_to(at(13, 58))
    Planner(database).plan_now()
    days = _days(client)
    assert (days["2026-11-21"]["data-late"], days["2026-11-22"]["data-late"]) == ("1", "0")


def test_a_press_on_a_day_begins_an_order_for_it(client):
    link = next(
        attrs["href"] for tag, attrs in _page(client).tags if tag == "a" and "day=2026-11-28" in attrs["href"]
    )
    form = Page(client.get(link).text)
    assert form.values["event_start-day"] == "28 Nov 2026"
    sent = {"event_start__day": form.values["event_start-day"], "lasts_until__day": "", "hand_over_time__day": ""}
    take(client, **sent)
    assert _orders(client) == {"2026-11-28": 1}
    assert 'datetime="2026-11-28T14:00:00+00:00"' in client.get("/counter/orders").text


def test_days_that_are_over_begin_no_order(client):
    days = [attrs["href"] for tag, attrs in _page(client).tags if tag == "a" and "?day=" in attrs["href"]]
    assert days[0].endswith("2026-11-21")
    assert len(days) == 23


def test_a_day_whose_crew_is_away_for_a_while_says_why_less_of_it_is_free(client, database):
    """The crew fetches two poles two days later, in opening hours."""
    with database.writing() as session:
        extras = {
            "extras": (rental(pole(session), 2),),
            "hand_over": HandOver.DELIVER,
            "arrives_at": at(14, 20),
            "travel_minutes": 20,
            "address": "The Corn Hall, 1 High Street",
            "take_down_at": at(12, days=2),
        }
        take_directly(session, order_request(load_catalogue(session), bench_override="We try.", **extras))
    days = _days(client)
    away = int(days["2026-11-23"]["data-away"])
    assert away > 0
    assert int(days["2026-11-24"]["data-free"]) - int(days["2026-11-23"]["data-free"]) == away
    assert days["2026-11-24"]["data-away"] == "0"
