"""The sizer settings that several batches of a day share, on the board and on the ticket; seconds of one fill."""

import re
from datetime import timedelta

import pytest

from tests.begun import begins_with_presses
from tests.places.marks import marks
from tests.places.payloads import take, words

AIR = {"lines__0__gas": "air", "lines__0__colours": "6 red", "lines__0__quantity": "6"}
MORE_AIR = AIR | {"lines__0__colours": "24 red", "lines__0__quantity": "24"}
TOMORROW = {"event_start__day": "2026-11-22", "lasts_until__day": "2026-11-22", "hand_over_time__day": "2026-11-22"}


SETTING = re.compile(r'<li data-left="(\d+)" data-start="([a-z-]+)">(.*?)</li>', re.DOTALL)
BATCH = re.compile(r'<(?:span|li) data-batch="([^"]+)" data-left="(\d+)" data-start="([a-z-]+)">')


def _settings(client, **query):
    """Each shared setting on the board: how many are left, when it starts, its batches, and all that it says."""
    page = client.get("/bench", query_string=query).text
    block = re.search(r'<details class="sizer".*?</details>', page, re.DOTALL)
    return [
        (int(left), start, BATCH.findall(inside), words(inside))
        for left, start, inside in (SETTING.findall(block[0]) if block else [])
    ]


def _alike(client, key):
    """The batches with the same setting that a ticket names: key, how many are left, when it is started."""
    found = re.search(r'<ul class="alike">.*?</ul>', client.get(f"/bench/batches/{key}").text, re.DOTALL)
    return BATCH.findall(found[0]) if found else []


def _tap(client, number, act, key, **more):
    return client.post(
        f"/bench/batches/{number}-1/taps", data={"act": act, "client_key": key, "sure": "yes"} | more
    )


def _take_two(client):
    take(client, **AIR)
    take(client, client_key="key-2", hand_over_time__hour="12:00", **MORE_AIR)
    take(client, client_key="key-3")


template = begins_with_presses("two", _take_two)


@pytest.fixture
def two(client):
    """Two orders with air-filled 11-inch latex, ready by 14:00 and by noon, and one of helium."""
    return 1001, 1002


def test_a_setting_of_two_orders_says_its_size_its_gas_how_many_and_which(client, two):
    one, other = two
    ((left, start, batches, said),) = _settings(client)
    assert (left, start) == (30, "open")
    assert batches == [(f"{other}-1", "24", "open"), (f"{one}-1", "6", "open")]
    assert said.startswith("9 in air")
    assert re.findall(r"1[13]:(?=\d\d)", said) == ["11:", "11:", "13:"]
    assert marks(client.get("/bench").text, "saves") == ["1"]


def test_its_batches_lead_to_their_tickets(client, two):
    page = client.get("/bench").text
    block = re.search(r'<details class="sizer".*?</details>', page, re.DOTALL)[0]
    assert re.findall(r'href="([^"]+)"', block) == [f"/bench/batches/{two[1]}-1", f"/bench/batches/{two[0]}-1"]


def test_sizes_are_in_the_shops_unit(client, two):
    client.post("/office/settings", data={"length": "cm"})
    assert _settings(client)[0][3].startswith("22.9 cm air")


def test_a_setting_of_one_batch_alone_is_not_listed(client):
    take(client)
    assert _settings(client) == []


def test_what_was_filled_counts_no_more_and_what_is_started_still_does(client, two):
    one, other = two
    _tap(client, one, "start", "a")
    _tap(client, one, "fill", "b", count="4")
    ((left, _, batches, _),) = _settings(client)
    assert left == 26
    assert (f"{one}-1", "2", "started") in batches
    _tap(client, other, "start", "c")
    assert _settings(client)[0][1] == "started"
    _tap(client, one, "finish", "d")
    assert _settings(client) == []


def test_a_board_with_settings_comes_again_after_a_tap(client, two):
    version = re.search(r'data-version="([^"]+)"', client.get("/bench").text)[1]
    asked = {"query_string": {"v": version}, "headers": {"HX-Request-Type": "partial"}}
    assert client.get("/bench", **asked).status_code == 204
    _tap(client, two[0], "start", "a")
    assert 'data-start="started"' in client.get("/bench", **asked).text.partition('id="sizer"')[2]


def test_what_must_wait_says_from_when(client, now):
    """Both float about 10 sure hours (95%), so neither may be started at seven for 20:30."""
    for key in ("key-1", "key-2"):
        take(client, client_key=key, lasts_until__hour="20:30", bench_override="By turns.")
    ((_, start, _, said),) = _settings(client)
    assert start == "wait"
    assert re.search(r"1\d:\d\d [a-z]+ 1\d:\d\d", said)
    now.tick(timedelta(hours=4, minutes=30))
    assert _settings(client)[0][1] == "open"
    now.tick(timedelta(hours=3))
    assert _settings(client)[0][1] == "late"


def test_foil_and_what_a_crew_fills_are_not_put_through_the_shops_sizer(client):
    foil = {"lines__0__what": "balloon_type:12", "lines__0__quantity": "2", "lines__0__colours": "2 silver"}
    venue = {"hand_over": "venue", "address": "Zephyrwick Hall", "hand_over_time__hour": "12:00"}
    numbers = [take(client, client_key=f"f{n}", **foil) for n in "12"]
    numbers += [take(client, client_key=f"v{n}", bench_override="By turns.", **venue) for n in "12"]
    assert _settings(client) == []
    assert [_alike(client, f"{number}-1") for number in numbers] == [[]] * 4


def test_a_ticket_names_the_others_with_its_setting(client, two):
    one, other = two
    assert _alike(client, f"{one}-1") == [(f"{other}-1", "24", "open")]
    assert _alike(client, f"{other}-1") == [(f"{one}-1", "6", "open")]


def test_a_ticket_comes_again_when_another_with_its_setting_is_tapped(client, two):
    one, other = two
    version = re.search(r'data-version="([^"]+)"', client.get(f"/bench/batches/{one}-1").text)[1]
    _tap(client, other, "start", "a")
    answer = client.get(
        f"/bench/batches/{one}-1", query_string={"v": version}, headers={"HX-Request-Type": "partial"}
    )
    assert BATCH.findall(answer.text) == [(f"{other}-1", "24", "started")]


def test_a_filled_ticket_and_one_of_another_day_name_nobody(client, two):
    one, other = two
    tomorrow = take(client, client_key="key-4", **AIR | TOMORROW)
    assert _alike(client, f"{tomorrow}-1") == []
    assert f"{tomorrow}-1" not in {key for key, *_ in _alike(client, f"{one}-1")}
    _tap(client, one, "finish", "a")
    assert _alike(client, f"{one}-1") == []
    assert _alike(client, f"{other}-1") == []


def test_tickets_of_tomorrow_name_each_other_and_so_does_tomorrows_board(client):
    numbers = [take(client, client_key=key, **AIR | TOMORROW) for key in ("key-1", "key-2")]
    assert [one[:2] for one in _alike(client, f"{numbers[0]}-1")] == [(f"{numbers[1]}-1", "6")]
    assert _settings(client) == []
    assert _settings(client, day="2026-11-22")[0][0] == 12


def test_what_is_started_for_tomorrow_is_work_of_today(client):
    today, tomorrow = take(client, **AIR), take(client, client_key="key-2", **AIR | TOMORROW)
    assert _alike(client, f"{tomorrow}-1") == []
    _tap(client, tomorrow, "start", "a")
    assert [one[:2] for one in _alike(client, f"{tomorrow}-1")] == [(f"{today}-1", "6")]
    assert _alike(client, f"{today}-1") == [(f"{tomorrow}-1", "6", "started")]


def test_what_was_left_from_yesterday_shares_with_today(client, now):
    old = take(client, **AIR | TOMORROW | {"hand_over_time__day": "2026-11-21"})
    new = take(client, client_key="key-2", **AIR | TOMORROW)
    now.tick(timedelta(days=1))
    assert _alike(client, f"{new}-1") == [(f"{old}-1", "6", "late")]
    assert _alike(client, f"{old}-1") == [(f"{new}-1", "6", "open")]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "Helium about 3.8 s"),
        (AIR, "Air about 1.3 s"),
        ({"lines__0__what": "balloon_type:12", "lines__0__colours": ""}, "Helium about 4.7 s"),
    ],
)
def test_a_ticket_says_how_long_one_fills(client, changes, told):
    """11.42 L and 14 L at 3 L/s; 6.26 L at 5 L/s: computed."""
    number = take(client, **changes, bench_override="By turns.")
    assert told in words(client.get(f"/bench/batches/{number}-1").text)


def test_what_must_wait_is_not_filled_together_with_what_must_start_before(client):
    """For 20:30 helium must wait until about half past ten; for noon it must start before that."""
    take(client, lasts_until__hour="20:30", bench_override="By turns.")
    take(
        client,
        client_key="soon",
        hand_over_time__hour="10:30",
        event_start__hour="11:00",
        lasts_until__hour="13:00",
        bench_override="By turns.",
    )
    take(client, client_key="open", bench_override="By turns.")
    assert {key: start for key, _, start in _alike(client, "1001-1")} == {"1003-1": "wait"}
    page = client.get("/bench/batches/1001-1").text
    assert dict((key, start) for key, _, start in BATCH.findall(page))["1002-1"] == "apart"
