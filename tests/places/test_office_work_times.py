"""The owner sees how long work takes at the bench, and saves a measured value or not."""

import csv
import io
import re
from datetime import timedelta

import pytest

from app.actions.bench.taps import Press, tap_batch
from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.actions.records.shop import load_shop
from app.actions.shop.work_times import MEASURED_TIME_CHANGED
from app.planning.work_times import Outcome
from app.quoting.states import TapAction
from tests.actions.builders import BENCH_REASON, at, ctx, line, order_request, take
from tests.begun import begins_with
from tests.places.payloads import Page, words
from tests.places.payloads import take as take_order
from tests.places.settings_pages import page_with

BATCH_SECONDS = 240 + 24 * (11.42 / 3 + 60)
"""Preparation, and two dozen at 3 L/s with a minute's handling each: by hand."""
SAVE = {"figure": "handle_seconds", "seconds": "60"}


def _fill(database, count, quantity=24):
    """On the morning before the clock's."""
    with database.writing() as session:
        catalogue, day = load_catalogue(session), timedelta(days=-1)
        hours = {"ready_by": at(17) + day, "event_start": at(18) + day, "lasts_until": at(20) + day}
        for number in range(count):
            wanted = order_request(
                catalogue, line(catalogue, quantity=quantity), bench_override=BENCH_REASON, **hours
            )
            (batch,) = take(session, wanted, at(7) + day, key=f"key-{number}").batches
            starts = at(8, 30) + day + number * timedelta(minutes=30)
            ends = starts + timedelta(seconds=BATCH_SECONDS + 10 * (number - count // 2))
            for act, moment in ((TapAction.START, starts), (TapAction.FINISH, ends)):
                tap_batch(
                    ctx(session, who="Noor", now=moment), batch.key, Press(act, f"{batch.key} {act}", sure=True)
                )


def _fill_ten(database):
    _fill(database, 10)


template = begins_with("ten", _fill_ten)


@pytest.fixture
def ten(database):
    """Ten batches that were filled."""


def _seconds(database):
    with database.reading() as session:
        return load_shop(session).work_times.handle_seconds


FIGURES = ("handle_seconds", "seal_seconds", "treat_seconds", "stuff_seconds")


def _page(client):
    return Page(client.get("/office/work-times").text)


def _work_minutes(database, number):
    """The minutes of work that an order takes."""
    with database.reading() as session:
        (batch,) = load_order(session, number).batches
        return batch.work_minutes


def _handling(client):
    """What the page says of handling latex, by name."""
    shown = _page(client).by_id["handle_seconds"]
    return {name.removeprefix("data-"): value for name, value in shown.items() if name.startswith("data-")}


def _handling_text(client):
    page = client.get("/office/work-times").text
    return page.partition('id="handle_seconds"')[2].partition("</section>")[0]


def test_a_new_shop_has_too_few_batches(client):
    page = _page(client)
    assert [page.by_id[figure]["data-outcome"] for figure in FIGURES] == ["too few"] * 4
    assert [page.by_id[figure]["data-counted"] for figure in FIGURES] == ["0"] * 4
    assert not any(f"save-{figure}" in page.by_id for figure in FIGURES)


def test_seven_are_too_few(client, app, database):
    _fill(database, 7)
    shown = _handling(client)
    assert (shown["outcome"], shown["counted"]) == ("too few", "7")


def test_ten_are_shown_with_their_evidence_and_what_they_would_change(client, ten):
    shown = _handling(client)
    assert (shown["outcome"], float(shown["setting"]), shown["measured"], shown["counted"]) == (
        "offered",
        36,
        "60",
        "10",
    )
    text = _handling_text(client)
    effects = re.findall(r'data-before="(\d+)" data-after="(\d+)"', text)
    assert effects == [("20", "30"), ("38", "58")]
    assert text.count("data-batch=") == 10
    assert words(text).count("24 30 min") >= 5
    assert "60" in _page(client).by_id["save-handle_seconds"]["text"]


def test_looking_changes_nothing(client, ten, database):
    client.get("/office/work-times")
    assert _seconds(database) == 36


def test_a_press_saves_it_and_recalculates_open_orders(client, ten, database):
    number = take_order(client, client_key="still-open")
    before = _work_minutes(database, number)
    assert client.post("/office/work-times", data=SAVE).status_code == 303
    assert _seconds(database) == 60
    assert _work_minutes(database, number) - before == pytest.approx(24 * (60 - 36) / 60, abs=1)
    assert _handling(client)["outcome"] == Outcome.AGREES
    assert "save-handle_seconds" not in _page(client).by_id


def test_what_is_not_offered_any_more_is_not_saved(client, ten, database):
    answer = client.post("/office/work-times", data=SAVE | {"seconds": "20"})
    assert answer.status_code == 422
    assert MEASURED_TIME_CHANGED in Page(answer.text).summary
    assert _seconds(database) == 36


def test_a_setting_that_was_changed_meanwhile_is_not_replaced(client, ten, database):
    page = _page(client).values
    client.post("/office/settings", data={"handle_seconds": "25"})
    sent = SAVE | {"drawn": page["drawn"]}
    assert client.post("/office/work-times", data=sent).status_code == 409
    assert _seconds(database) == 25
    again = _page(client).values
    assert client.post("/office/work-times", data=SAVE | {"drawn": again["drawn"]}).status_code == 303


def test_a_second_press_changes_nothing_more(client, ten, database):
    client.post("/office/work-times", data=SAVE)
    assert client.post("/office/work-times", data=SAVE).status_code == 422
    assert _seconds(database) == 60


def test_all_batches_are_there_for_elsewhere(client, ten):
    answer = client.get("/office/work-times.csv")
    assert answer.mimetype == "text/csv"
    rows = list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"))))
    assert len(rows) == 10
    assert {row["setting"] for row in rows} == {"handle_seconds"}
    assert sum(float(row["seconds_per_balloon"]) for row in rows) / 10 == pytest.approx(60, abs=1)
    assert {row["left_out_because"] for row in rows} == {""}


def test_batches_of_few_balloons_are_left_out_and_counted(client, app, database):
    _fill(database, 3, quantity=2)
    assert re.findall(r'data-left-out="(\d+)"', _handling_text(client)) == ["3"]
    assert _handling(client)["counted"] == "0"


def test_the_settings_lead_there(client):
    page = page_with(client, "handle_seconds")
    for figure in FIGURES:
        assert f'href="/office/work-times#{figure}"' in page
