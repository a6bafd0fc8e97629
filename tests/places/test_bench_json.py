"""The board for other programs: its exact shape."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from app.web.wording.forms import CHECK_YEAR, describe_missing_day, describe_missing_month, enter_date
from tests.places.payloads import take

SHAPE = {
    "key": str,
    "order": int,
    "customer": str,
    "quantity": int,
    "kind": str,
    "fill_size_in": float,
    "gas": str,
    "treated": bool,
    "not_before": str,
    "inflate_by": str,
    "own_inflate_by": str,
    "blocks": list,
    "ready_by": str,
    "chance": float,
    "state": str,
}


def _board(client, day="2026-11-21"):
    answer = client.get("/bench.json", query_string={"day": day})
    assert (answer.status_code, answer.mimetype) == (200, "application/json")
    return answer.json


def test_it_has_these_keys_and_no_others(client, number):
    board = _board(client)
    assert set(board) == {"day", "version", "batches", "late"}
    assert board["day"] == "2026-11-21"
    assert isinstance(board["version"], str)
    (batch,) = board["batches"]
    assert {key: type(value) for key, value in batch.items()} == SHAPE
    assert (batch["key"], batch["order"], batch["customer"]) == (f"{number}-1", number, "Wilhelmina Hart")
    assert (batch["quantity"], batch["kind"], batch["fill_size_in"]) == (24, "11 in latex", 11.0)
    assert (batch["gas"], batch["treated"], batch["state"]) == ("helium", False, "early")
    assert 0.95 <= batch["chance"] <= 1


def test_its_times_are_utc_and_end_in_z(client):
    take(client)
    (batch,) = _board(client)["batches"]
    assert (batch["ready_by"], batch["inflate_by"]) == ("2026-11-21T14:00:00Z", "2026-11-21T13:30:00Z")
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", batch["not_before"])


def test_a_batch_that_may_be_filled_at_any_time_has_no_earliest_hour(client):
    """A place that costs an air-filled foil nothing."""
    take(client, lines__0__what="balloon_type:11", lines__0__gas="air")
    (batch,) = _board(client)["batches"]
    assert batch["not_before"] is None


def test_it_is_sorted_by_inflate_by(client):
    for key, hour in (("a", "14:00"), ("b", "10:00"), ("c", "12:00")):
        take(client, client_key=key, hand_over_time__hour=hour, lasts_until__hour="18:00")
    hours = [batch["inflate_by"] for batch in _board(client)["batches"]]
    assert hours == sorted(hours)
    assert len(hours) == 3


def test_the_day_is_the_one_of_the_shops_clocks(client, now):
    """In New York it is still the evening before when the day in UTC has begun."""
    client.post("/office/settings", data={"zone": "America/New_York"})
    client.post(
        "/office/hours",
        data={f"{end}-{day}": hour for day in range(7) for end, hour in (("opens", "00:00"), ("closes", "24:00"))},
    )
    take(client, hand_over_time__hour="21:00", event_start__hour="21:30", lasts_until__hour="23:00")
    (batch,) = _board(client)["batches"]
    assert batch["ready_by"] == "2026-11-22T02:00:00Z"
    assert batch["inflate_by"] >= "2026-11-22T01"
    assert _board(client, "2026-11-22")["batches"] == []
    now.move_to(datetime(2026, 11, 22, 3, tzinfo=UTC))
    assert client.get("/bench.json").json["day"] == "2026-11-21"


def test_without_a_day_it_is_today(client):
    assert client.get("/bench.json").json["day"] == "2026-11-21"


def test_its_version_changes_with_every_write(client):
    before = _board(client)["version"]
    take(client)
    assert _board(client)["version"] != before


def test_its_states_follow_the_taps(client, number):
    seen = [_board(client)["batches"][0]["state"]]
    for act in ("start", "finish"):
        client.post(f"/bench/batches/{number}-1/taps", data={"act": act, "client_key": act, "sure": "yes"})
        seen.append(_board(client)["batches"][0]["state"])
    assert seen == ["early", "started", "filled"]


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        ("soon", enter_date("28/11")),
        ("2026-13-01", describe_missing_month(13, "year", "2026-11-28")),
        ("2026-02-30", describe_missing_day(30, "February")),
        ("0001-01-01", CHECK_YEAR),
    ],
)
def test_a_bad_day_is_answered_in_json(client, day, sentence):
    answer = client.get("/bench.json", query_string={"day": day})
    assert (answer.status_code, answer.mimetype) == (400, "application/json")
    assert answer.json == {"error": sentence, "problems": [{"field": "", "sentence": sentence}]}


def test_two_readings_with_nothing_between_have_one_version(client, now):
    take(client)
    first = client.get("/bench.json").json["version"]
    now.tick(timedelta(seconds=30))
    assert client.get("/bench.json").json["version"] == first
