"""The owner sees what the taps say about the bench's pace, and keeps it or not."""

import csv
import io
from datetime import timedelta

import pytest

from app.actions.bench.taps import Press, tap_batch
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.quoting.states import TapAction
from tests.actions.builders import BENCH_REASON, at, ctx, line, order_request, take
from tests.places.payloads import words

BATCH_SECONDS = 240 + 24 * (11.42 / 3 + 60)
"""Preparation, and two dozen at 3 L/s with a minute's handling each: by hand."""
KEEP = {"figure": "handle_seconds", "seconds": "60"}


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


@pytest.fixture
def template(request, template, started):
    return started(_fill_ten) if "ten" in request.fixturenames else template


@pytest.fixture
def ten(database):
    """Ten batches that were filled."""


def _seconds(database):
    with database.reading() as session:
        return load_shop(session).work_times.handle_seconds


def _handling(client):
    page = client.get("/office/work-times").text
    return words(page.partition('id="handle_seconds"')[2].partition("</section>")[0])


def test_a_new_shop_is_told_that_it_is_too_few(client):
    said = words(client.get("/office/work-times").text)
    assert said.count("Too few so far: no batches can be counted, and 8 are needed") == 4
    assert "Keep" not in said.partition("Stuffing")[0].replace("Kept", "").partition("Handling latex")[2]


def test_seven_are_too_few(client, app, database):
    _fill(database, 7)
    assert "Too few so far: 7 batches can be counted" in _handling(client)


def test_ten_are_told_with_their_evidence_and_what_they_would_change(client, ten):
    said = _handling(client)
    assert "Kept 36 s" in said
    assert "Measured 60 s" in said
    assert "Batches counted 10" in said
    assert "It would change 24 × 11 in latex from 20 min to 30 min, 50 × 11 in latex from 38 min to 58 min." in said
    assert said.count("11 in latex, helium 24 30 min") >= 5
    assert "Keep 60 s" in said


def test_looking_changes_nothing(client, ten, database):
    client.get("/office/work-times")
    assert _seconds(database) == 36


def test_a_press_keeps_it_and_works_the_open_orders_out_anew(client, ten, database):
    answer = client.post("/office/work-times", data=KEEP, follow_redirects=True)
    assert "Handling latex: 60 s is kept. All open orders were worked out anew." in words(answer.text)
    assert _seconds(database) == 60
    assert "there is no reason to change it" in _handling(client)


def test_what_is_not_offered_any_more_is_not_kept(client, ten, database):
    answer = client.post("/office/work-times", data=KEEP | {"seconds": "20"})
    assert answer.status_code == 422
    assert "That is not what the taps say any more: look again." in words(answer.text)
    assert _seconds(database) == 36


def test_a_second_press_changes_nothing_more(client, ten, database):
    client.post("/office/work-times", data=KEEP)
    assert client.post("/office/work-times", data=KEEP).status_code == 422
    assert _seconds(database) == 60


def test_all_batches_are_there_for_elsewhere(client, ten):
    answer = client.get("/office/work-times.csv")
    assert answer.mimetype == "text/csv"
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert len(rows) == 10
    assert {row["figure"] for row in rows} == {"handle_seconds"}
    assert sum(float(row["seconds_each"]) for row in rows) / 10 == pytest.approx(60, abs=1)
    assert {row["set_apart"] for row in rows} == {""}


def test_few_balloons_are_set_apart_and_counted(client, app, database):
    _fill(database, 3, quantity=2)
    assert "Set apart: 3 (few balloons: preparation is most of it)." in _handling(client)


def test_the_settings_lead_there(client):
    page = client.get("/office/settings").text
    for figure in ("handle_seconds", "seal_seconds", "treat_seconds", "stuff_seconds"):
        assert f'href="/office/work-times#{figure}"' in page
