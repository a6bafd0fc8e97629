"""A shop that is open in the evening, until two: its day goes on until it closes."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.actions.records.shop import load_opening, load_roster
from app.planning.roster import ShiftHours
from app.web.formats import Formats
from app.web.wording.hours import clock_change_words, hours_words, past_midnight_words
from app.web.wording.plan import shift_words
from tests.places.answers import answer_states
from tests.places.marks import marks, text_of
from tests.places.payloads import Page, payload, take, words

SATURDAY, SUNDAY = date(2026, 11, 21), date(2026, 11, 22)
HALF_PAST_MIDNIGHT = datetime(2026, 11, 22, 0, 30, tzinfo=UTC)
FORMATS = Formats(ZoneInfo("UTC"), False, False, False, "£", 2)
EVENING = {f"{end}-{day}": at for day in range(7) for end, at in (("opens", "18:00"), ("closes", "02:00"))}
NIGHT = {
    "hand_over_time__day": "2026-11-22",
    "hand_over_time__hour": "01:30",
    "event_start__day": "2026-11-22",
    "event_start__hour": "02:00",
    "lasts_until__day": "2026-11-22",
    "lasts_until__hour": "04:00",
}
"""To be collected half an hour before the shop closes, for a party that begins then."""
LATE = NIGHT | {"hand_over_time__day": "2026-11-21", "hand_over_time__hour": "23:00", "client_key": "key-2"}


@pytest.fixture
def evening_shop(client):
    assert client.post("/office/hours", data=EVENING).status_code == 303
    return client


def _opening(database):
    with database.reading() as session:
        return load_opening(session)


def _batches(client, day):
    answer = client.get("/bench.json", query_string={"day": day} if day else {}).json
    return answer["day"], [batch["order"] for batch in answer["batches"]]


def test_the_board_at_half_past_midnight_shows_the_jobs_of_the_evening(evening_shop, now):
    late, night = take(evening_shop, **LATE), take(evening_shop, **NIGHT)
    for moment in (datetime(2026, 11, 21, 19, tzinfo=UTC), HALF_PAST_MIDNIGHT):
        now.move_to(moment)
        assert _batches(evening_shop, "") == ("2026-11-21", [late, night])
    assert _batches(evening_shop, "2026-11-22") == ("2026-11-22", [])
    page = evening_shop.get("/bench").text
    assert FORMATS.day(SATURDAY) in words(page)
    assert marks(page, "open-until") == ["2026-11-22T02:00:00+00:00"]
    assert marks(evening_shop.get("/bench?day=2026-11-22").text, "open-until") == []


def test_what_to_fetch_pick_ups_and_staff_have_the_same_day(evening_shop, now):
    night = take(evening_shop, **NIGHT)
    now.move_to(HALF_PAST_MIDNIGHT)
    for address in ("/bench/fetch-list", "/pickups/", "/bench/staff"):
        page = evening_shop.get(address).text
        assert FORMATS.day(SATURDAY) in words(page), address
        assert marks(page, "open-until"), address
    assert f"{night} Wilhelmina Hart" in words(evening_shop.get("/pickups/").text)
    assert f"{night} Wilhelmina Hart" not in words(evening_shop.get("/pickups/?day=2026-11-22").text)
    assert "11 in latex" in words(evening_shop.get("/bench/fetch-list").text)


def test_when_it_has_closed_the_next_day_begins(evening_shop, now):
    take(evening_shop, **NIGHT)
    now.move_to(datetime(2026, 11, 22, 2, tzinfo=UTC))
    day, orders = _batches(evening_shop, "")
    assert (day, len(orders)) == ("2026-11-22", 1)
    assert marks(evening_shop.get("/bench").text, "open-until") == []


def test_what_is_sold_after_midnight_counts_for_the_evening(evening_shop, now):
    now.move_to(HALF_PAST_MIDNIGHT)
    sale = {"what": "sold-4", "quantity": "2", "client_key": "sale-1"}
    sold = evening_shop.post("/counter/quick-sale", data=sale)
    assert sold.status_code == 303, words(sold.text)
    now.move_to(datetime(2026, 11, 22, 12, tzinfo=UTC))
    counts = [
        len(evening_shop.get("/office/review.csv", query_string={"from": day, "to": day}).text.splitlines()) - 1
        for day in ("2026-11-21", "2026-11-22")
    ]
    assert counts == [1, 0]


def test_the_counter_can_promise_the_night_only_where_the_shop_is_open(client, now):
    now.move_to(datetime(2026, 11, 21, 18, 30, tzinfo=UTC))
    sent = payload(**NIGHT)
    closed = answer_states(client.post("/counter/draft", data=sent).text)["can-make"]
    client.post("/office/hours", data=EVENING)
    assert (closed, answer_states(client.post("/counter/draft", data=sent).text)["can-make"]) == ("late", "fits")


@pytest.mark.parametrize(
    ("opens", "closes", "minutes"),
    [
        ("18:00", "02:00", (1080, 1560)),
        ("00:00", "24:00", (0, 1440)),
        ("00:00", "00:00", (0, 1440)),
        ("8", "8", (480, 1920)),
        ("6 pm", "midnight", (1080, 1440)),
    ],
)
def test_hours_past_midnight_are_saved_and_said_beside_the_field(client, database, opens, closes, minutes):
    week = {"opens-5": opens, "closes-5": closes}
    assert client.post("/office/hours", data=week).status_code == 303
    assert client.post("/office/hours/exceptions", data={"day": "24 Dec", "opens": opens, "closes": closes})
    opening, page = _opening(database), client.get("/office/hours").text
    assert opening.minutes(SATURDAY) == opening.minutes(date(2026, 12, 24)) == minutes
    said = past_midnight_words(*minutes, FORMATS)
    assert said
    assert text_of(page, "opens-5-until") == said
    assert text_of(page, "opens-4-until") == ""
    assert hours_words(*minutes, FORMATS) in words(page)
    asked = {"first": "opens-5", "last": "closes-5"} | week
    assert client.get("/hours/read", query_string=asked).text == said


@pytest.mark.parametrize(("first", "last"), [("8", "18"), ("soon", "2"), ("", ""), ("18", "")])
def test_nothing_is_said_beside_hours_of_one_day_or_no_hours(client, first, last):
    assert client.get("/hours/read", query_string={"first": "a", "last": "b", "a": first, "b": last}).text == ""


def test_a_shift_past_midnight_is_saved_and_shown_again(client, database):
    sent = {"from-5-0": "20", "to-5-0": "2:30", "staff-5-0": "2"}
    assert client.post("/office/bench", data=sent).status_code == 303
    page = client.get("/office/bench").text
    assert (Page(page).values["from-5-0"], Page(page).values["to-5-0"]) == ("20:00", "02:30")
    assert text_of(page, "from-5-0-until") == past_midnight_words(1200, 1590, FORMATS)
    with database.reading() as session:
        roster = load_roster(session, load_opening(session))
    assert roster.week[5] == [ShiftHours(time(20), time(2, 30), 2)]


@pytest.mark.parametrize(
    ("day", "minutes"),
    [("2027-03-28", 0), ("2027-10-31", 30)],
)
def test_a_shift_within_the_hour_that_changes_says_how_long_it_is(client, day, minutes):
    """In London, on those nights of 2027, by the IANA time zone database."""
    sent = {"day": day, "from-day-0": "1:15", "to-day-0": "1:45", "staff-day-0": "1"}
    assert client.post("/office/bench/days", data=sent).status_code == 303
    client.post("/office/hours/exceptions", data={"day": day, "opens": "1:15", "closes": "1:45"})
    length = timedelta(minutes=minutes)
    said = shift_words(ShiftHours(time(1, 15), time(1, 45), 1), FORMATS, length)
    for page in (client.get("/office/bench").text, client.get(f"/bench/staff?day={day}").text):
        assert said in words(page)
    change = clock_change_words(75, 105, length, FORMATS)
    assert bool(change) == (minutes == 0)
    assert change in words(client.get("/office/hours").text)


def test_more_staff_after_midnight_is_of_the_evening(evening_shop, database, now):
    now.move_to(datetime(2026, 11, 21, 19, tzinfo=UTC))
    shown = shift_words(ShiftHours(time(18), time(2), 1), FORMATS)
    sent = {"day": "2026-11-21", "from": "0:30", "to": "2", "by": "1", "shown_shifts": shown}
    assert evening_shop.get("/bench/staff", query_string=sent).status_code == 200
    assert evening_shop.post("/bench/staff", data=sent).status_code == 303
    with database.reading() as session:
        saved = load_roster(session, load_opening(session)).days[SATURDAY]
    assert [(*shift.minutes, shift.staff) for shift in saved] == [(1080, 1470, 1), (1470, 1560, 2)]
    assert shift_words(saved[1], FORMATS) in words(evening_shop.get("/office/bench").text)


def test_at_half_past_midnight_one_person_fewer_is_offered_until_it_closes(evening_shop, now):
    now.move_to(HALF_PAST_MIDNIGHT)
    values = Page(evening_shop.get("/bench/staff").text).values
    assert (values["from"], values["to"], values["day"]) == ("00:30", "02:00", "2026-11-21")
