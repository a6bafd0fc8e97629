"""Who is at the bench on a day, the load against it, and what a hand more or fewer would do."""

from datetime import timedelta

import pytest

from app.store.models import BenchPlan
from app.store.queries.plan import SavedBlock, SavedPlan, write_plan
from tests.actions.builders import MORNING, at
from tests.places.payloads import Page, take, words
from tests.places.test_bench_plan import catalogue, orders, plan  # noqa: F401  fixtures

ILL = {"day": "2026-11-21", "from": "8", "to": "9:00", "by": "-1"}


@pytest.fixture
def four(orders):  # noqa: F811
    """Of three quarters of an hour each and a tail, due at noon: they just fit from eight on."""
    return orders(60, 60, 60, 60)


AS_USUAL = "08:00 to 18:00: 1 hand"


def _hands(client, **sent):
    return client.get("/bench/staff", query_string=sent)


def test_the_load_stands_against_the_hands_with_its_table(client, four, plan):  # noqa: F811
    assert plan()
    page = _hands(client).text
    said = words(page)
    assert "There now: 08:00 to 18:00: 1 hand." in said
    assert "216 hand-minutes planned of 600 that are there, 36% of them; the fullest hour begins at" in said
    assert "11:00 60 20 0 0 40 0" in said
    assert page.count('class="load-bar') >= 4


def test_a_hand_that_is_ill_says_which_orders_it_breaks_and_keeps_nothing(client, four, plan):  # noqa: F811
    plan()
    said = words(_hands(client, **ILL).text)
    assert "With 1 hand fewer from 08:00 to 09:00" in said
    assert f"It breaks 1 order {four[-1]} Wilhelmina Hart 01632 960101 cannot be ready by 12:00" in said
    assert "There now: 08:00 to 18:00: 1 hand." in words(_hands(client).text)


def test_kept_it_stands_on_that_date_only(client, four, plan):  # noqa: F811
    answer = client.post("/bench/staff", data=ILL | {"shown_shifts": AS_USUAL})
    assert answer.status_code == 303
    plan()
    said = words(client.get(answer.location).text)
    assert "Saturday 21 November 2026 is kept" in said
    assert "There now: 09:00 to 18:00: 1 hand." in said
    assert f"At risk {four[-1]} Wilhelmina Hart" in said
    assert "There now: 08:00 to 18:00: 1 hand." in words(_hands(client, day="2026-11-22").text)
    assert "09:00 to 18:00: 1 hand" in words(client.get("/office/bench").text)


def test_a_hand_more_says_what_it_saves(client, orders, plan):  # noqa: F811
    *_, last = orders(60, 60, 60, 60, 60)
    plan()
    said = words(_hands(client, **(ILL | {"from": "7:00", "by": "1"})).text)
    assert "With 1 hand more from 07:00 to 09:00" in said
    assert f"It breaks no order. It helps {last} Wilhelmina Hart" in said


def test_a_change_that_breaks_nothing_says_so(client):
    take(client)
    assert "It breaks no order" in words(
        _hands(client, day="2026-11-21", **{"from": "17:00"}, to="18:00", by="-1").text
    )


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"from": "", "to": ""}, "staff-from", "From when to when? Two hours, as in 13:00 and 18:00."),
        ({"from": "nine"}, "staff-from", "Two hours, as in 08:00 and 18:00"),
        ({"from": "10:00", "to": "9:00"}, "staff-to", "The second hour must be after the first."),
        ({"by": "many"}, "staff-by", "Hands: a whole number from -9 to 9, please."),
        ({"by": "0"}, "staff-by", "How many more, or fewer? One at least."),
    ],
)
def test_what_is_mistyped_is_told_at_its_field_and_stays(client, wrong, field, sentence):
    sent = ILL | wrong
    for answer in (_hands(client, **sent), client.post("/bench/staff", data=sent)):
        assert answer.status_code == 422
        page = Page(answer.text)
        assert sentence in page.problem(field)
        assert page.describes(field)
        assert {name: page.values[name] for name in ("from", "to", "by")} == {
            name: sent[name] for name in ("from", "to", "by")
        }


def test_a_day_without_anybody_says_so(client):
    client.post("/office/hours/exceptions", data={"day": "2026-11-24", "opens": "", "closes": ""})
    said = words(_hands(client, day="2026-11-24").text)
    assert "Nobody is at the bench that day, and nothing is planned." in said


def _saved(client, **sent):
    return client.post("/bench/staff", data=ILL | {"shown_shifts": AS_USUAL} | sent)


def test_the_hands_of_a_day_far_ahead_are_drawn(client):
    for address in ("/bench/staff", "/office/bench"):
        said = words(client.get(address, query_string={"day": "2027-03-01"}).text)
        assert "0 hand-minutes planned of 600 that are there" in said
        assert "Nobody is at the bench" not in said


def test_a_change_on_a_day_far_ahead_is_drawn_too(client):
    said = words(_hands(client, **(ILL | {"day": "2027-03-01"})).text)
    assert "0 hand-minutes planned of 540 that are there" in said


def test_a_day_that_has_passed_says_so_in_place_of_picture_and_form(client):
    for sent in ({}, ILL):
        answer = _hands(client, **(sent | {"day": "2026-11-20"}))
        assert answer.status_code == 200
        assert "That day has passed." in words(answer.text)
        assert "<figure" not in answer.text
        assert 'name="from"' not in answer.text


def test_a_day_that_has_passed_is_not_changed(client):
    answer = _saved(client, day="2026-11-20")
    assert answer.status_code == 422
    assert "That day has passed." in words(answer.text)
    assert "20 November 2026 09:00" not in words(client.get("/office/bench").text)


@pytest.mark.parametrize(
    ("passed", "proposed"),
    [
        ({"hours": 0}, ("08:00", "18:00")),
        ({"hours": 5, "minutes": 2}, ("12:05", "18:00")),
        ({"hours": 10, "minutes": 50}, ("17:50", "18:00")),
        ({"hours": 11}, ("", "")),
        ({"hours": 16, "minutes": 58}, ("", "")),
    ],
)
def test_it_proposes_the_rest_of_the_day_and_nothing_once_nobody_is_there(client, now, passed, proposed):
    """From seven in the morning on."""
    now.tick(timedelta(**passed))
    values = Page(_hands(client).text).values
    assert (values["from"], values["to"]) == proposed


def test_the_same_press_twice_counts_once(client):
    page = Page(_hands(client, **ILL).text)
    sent = {name: page.values[name] for name in ("day", "from", "to", "by", "shown_shifts")} | {"by": "1"}
    assert client.post("/bench/staff", data=sent).status_code == 303
    again = client.post("/bench/staff", data=sent)
    assert again.status_code == 422
    assert "Somebody changed that day meanwhile: look again." in Page(again.text).summary
    assert "There now: 08:00 to 09:00: 2 hands, 09:00 to 18:00: 1 hand." in words(again.text)
    assert 'id="keep"' not in again.text


def test_what_was_tried_before_somebody_else_changed_the_day_is_not_kept(client):
    tried = Page(_hands(client, **ILL).text).values["shown_shifts"]
    assert _saved(client, **{"from": "17:00", "to": "18:00"}).status_code == 303
    assert _saved(client, shown_shifts=tried).status_code == 422
    assert "There now: 08:00 to 17:00: 1 hand." in words(_hands(client).text)


def test_a_press_that_does_not_say_what_the_hands_were_is_not_kept(client):
    assert client.post("/bench/staff", data=ILL).status_code == 422
    assert f"There now: {AS_USUAL}." in words(_hands(client).text)


@pytest.mark.parametrize("end", ["24:00", "midnight"])
def test_the_end_of_the_day_is_shown_as_it_is_kept(client, end):
    sent = ILL | {"from": "18:00", "to": end, "by": "1"}
    tried = _hands(client, **sent).text
    assert "With 1 hand more from 18:00 to 23:59" in words(tried)
    page = Page(tried)
    assert page.by_id["staff-to"]["value"] == page.values["to"] == "23:59"
    assert _saved(client, **{"from": "18:00", "to": end, "by": "1"}).status_code == 303
    assert "There now: 08:00 to 23:59: 1 hand." in words(_hands(client).text)


def _plan_of(database, *blocks):
    """Keeps a plan of these blocks: key, hours from and to, hands."""
    laid = tuple(SavedBlock(key, None, at(*start), at(*end), staff) for key, start, end, staff in blocks)
    with database.writing() as session:
        plan = SavedPlan(1, MORNING, laid, {}, (), ())
        session.add(BenchPlan(id=1, board_version=1, made_at=MORNING, content=write_plan(plan)))


def test_it_says_how_often_work_is_taken_up_again(client, database):
    _plan_of(
        database,
        ("1-1", (8,), (9,), 1),
        ("2-1", (9,), (10,), 1),
        ("1-1", (10,), (11,), 1),
        ("2-1", (11,), (12,), 1),
        ("1-1", (12,), (13,), 1),
    )
    assert "Work is taken up again 3 times." in words(_hands(client).text)


def test_work_that_goes_on_with_other_hands_or_on_another_day_is_not_taken_up_again(client, database):
    _plan_of(
        database,
        ("1-1", (8,), (9,), 1),
        ("1-1", (9,), (10,), 2),
        ("2-1", (10,), (11,), 1),
        ("1-1", (8, 0, 1), (9, 0, 1), 1),
    )
    assert "taken up again" not in words(_hands(client).text)


def test_work_taken_up_again_once_is_told_in_words(client, database):
    _plan_of(database, ("1-1", (8,), (9,), 1), ("1-1", (10,), (11,), 1))
    assert "Work is taken up again once." in words(_hands(client).text)
