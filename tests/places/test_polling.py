"""Pages renew themselves: 204 while nothing changed, the whole of it after a write or when the clock turns."""

import re
from datetime import timedelta

import pytest

from tests.places.payloads import CALLED_OFF, payload, take

DAYS = ("event_start__day", "lasts_until__day", "hand_over_time__day")


def _version(page):
    return re.search(r'data-version="([^"]+)"', page)[1]


def _poll(client, address, version):
    path, _, query = address.partition("?")
    asked = dict([query.split("=")] if query else [], v=version)
    return client.get(path, query_string=asked, headers={"HX-Request-Type": "partial"})


@pytest.fixture(params=["/bench", "/pickups/", "/bench/batches/{}-1", "/bench?day=2026-11-21"])
def address(request, number):
    return request.param.format(number)


def test_nothing_new_is_answered_204_and_empty(client, address):
    answer = _poll(client, address, _version(client.get(address).text))
    assert (answer.status_code, answer.data) == (204, b"")


def _write(client, number, what):
    tap = {"act": "finish", "client_key": "t", "sure": "yes"}
    return {
        "an order taken": lambda: client.post("/counter/orders", data=payload(client_key="key-2")),
        "an order changed": lambda: client.post(
            f"/counter/orders/{number}/change", data=payload(version="1", customer="Liv Berg")
        ),
        "an order cancelled": lambda: client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF),
        "a tap": lambda: client.post(f"/bench/batches/{number}-1/taps", data=tap),
        "a setting": lambda: client.post("/office/settings", data={"shop_celsius": "23"}),
        "opening hours": lambda: client.post(
            "/office/hours/exceptions", data={"day": "2026-11-21", "effects_seen": str(number)}
        ),
        "a kind": lambda: client.post(
            "/office/balloon-types/4", data={"mass_g": "3.1", "size_factor": "1", "price": "1.10"}
        ),
    }[what]()  # fmt: skip


@pytest.mark.parametrize(
    "what",
    ["an order taken", "an order changed", "an order cancelled", "a tap", "a setting", "opening hours", "a kind"],
)
def test_after_any_write_the_page_comes_anew(client, address, number, what):
    version = _version(client.get(address).text)
    assert _write(client, number, what).status_code == 303
    assert _poll(client, address, version).status_code == 200


@pytest.mark.parametrize("what", ["a note", "an order of another day"])
def test_what_the_board_does_not_show_leaves_it_as_it_is(client, number, what):
    """The ticket and the pick-ups are drawn again by any write."""
    boards = {address: _version(client.get(address).text) for address in ("/bench", "/bench?day=2026-11-21")}
    ticket = _version(client.get(f"/bench/batches/{number}-1").text)
    if what == "a note":
        client.post(f"/counter/orders/{number}/change", data=payload(version="1", notes="x"))
    else:
        take(client, client_key="key-2", **dict.fromkeys(DAYS, "2026-11-28"))
    for address, version in boards.items():
        assert _poll(client, address, version).status_code == 204
    assert _poll(client, f"/bench/batches/{number}-1", ticket).status_code == 200


def test_after_an_undo_and_a_step_the_page_comes_anew(client, number):
    _write(client, number, "a tap")
    version = _version(client.get("/pickups/").text)
    client.post(f"/pickups/orders/{number}/steps", data={"step": "assembled", "client_key": "s"})
    page = _poll(client, "/pickups/", version)
    assert page.status_code == 200
    tap = re.search(r'name="tap" value="(\d+)"', page.text)[1]
    client.post(f"/pickups/orders/{number}/undo", data={"tap": tap})
    assert _poll(client, "/pickups/", _version(page.text)).status_code == 200


@pytest.mark.parametrize("address", ["/bench", "/bench/batches/{}-1"])
@pytest.mark.parametrize(
    ("hour", "turn"), [("12:30", "due"), ("13:30", "late")], ids=["when it is due", "when it is late"]
)
def test_when_the_clock_alone_changes_a_page_it_comes_anew(client, now, number, address, hour, turn):
    hours, minutes = (int(part) for part in hour.split(":"))
    now.move_to(now().replace(hour=hours, minute=minutes) - timedelta(seconds=30))
    page = client.get(address.format(number)).text
    now.tick(timedelta(seconds=20))
    assert _poll(client, address.format(number), _version(page)).status_code == 204
    now.tick(timedelta(seconds=11))
    answer = _poll(client, address.format(number), _version(page))
    assert answer.status_code == 200
    assert f"state-{turn}" in answer.text
    assert f"state-{turn}" not in page


def test_an_order_that_becomes_late_renews_the_pickups(client, now, number):
    now.move_to(now().replace(hour=13, minute=59, second=50))
    page = client.get("/pickups/").text
    now.tick(timedelta(seconds=12))
    answer = _poll(client, "/pickups/", _version(page))
    assert answer.status_code == 200
    assert 'data-state="late"' in answer.text
    assert 'data-state="late"' not in page


def test_a_page_is_never_older_than_a_few_minutes(client, now, address):
    version = _version(client.get(address).text)
    now.tick(timedelta(minutes=6))
    assert _poll(client, address, version).status_code == 200


@pytest.mark.parametrize("form", ["", "x", "{}", "{}.", "{}.x", "{}.²", "{}." + "9" * 5000, ".", "-1.-1"])
def test_a_version_that_is_none_gets_the_page(client, address, form):
    current = _version(client.get(address).text).partition(".")[0]
    assert _poll(client, address, form.format(current)).status_code == 200
