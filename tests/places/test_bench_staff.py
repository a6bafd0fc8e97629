"""Who is at the bench on a day, the load against it, and what a hand more or fewer would do."""

import html
import re
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.places.bench.staff import CHANGED_MEANWHILE, CHOOSE_STAFF, MAX_STAFF, PASSED
from app.planning.roster import ShiftHours, StaffChange
from app.store.models import BenchPlan
from app.store.queries.plan import SavedBlock, SavedPlan, write_plan
from app.web.formats import Formats
from app.web.wording.forms import enter_both_times, enter_whole
from app.web.wording.plan import change_words, shift_words
from tests.actions.builders import MORNING, at
from tests.places.payloads import Page, take, words
from tests.places.test_bench_plan import catalogue, orders, plan  # noqa: F401  fixtures

ILL = {"day": "2026-11-21", "from": "8", "to": "9:00", "by": "-1"}


@pytest.fixture
def four(orders):  # noqa: F811
    """Of three quarters of an hour each and a tail, due at noon: they just fit from eight on."""
    return orders(60, 60, 60, 60)


USUAL = ShiftHours(time(8), time(18), 1)
FORMATS = Formats(ZoneInfo("UTC"), False, False, False, "£", 2)
AS_USUAL = shift_words(USUAL, FORMATS)


def _staff_page(client, **sent):
    return client.get("/bench/staff", query_string=sent)


def _shifts(page):
    """The shifts of the day, as the page's data has them."""
    return html.unescape(re.search(r'data-shifts="([^"]*)"', page)[1])


def _load(page):
    """Minutes of work planned, and minutes that the staff can do."""
    found = re.search(r'data-planned="(\d+)" data-available="(\d+)"', page)
    return int(found[1]), int(found[2])


def _what_if(page):
    """Orders that a change makes late, and those that it helps."""
    found = re.search(r'data-newly-late="([^"]*)"\s+data-in-time-again="([^"]*)"', page)
    return [[int(number) for number in numbers.split()] for numbers in found.groups()]


def _said_of(starts, ends, staff):
    return shift_words(ShiftHours(time(starts), ends if isinstance(ends, time) else time(ends), staff), FORMATS)


def test_the_load_stands_against_the_staff_with_its_table(client, four, plan):  # noqa: F811
    assert plan()
    page = _staff_page(client).text
    assert _shifts(page) == AS_USUAL
    assert _load(page) == (216, 600)
    assert "11:00 60 20 0 0 40 0" in words(page)
    assert page.count('class="load-bar') >= 4


def test_one_person_ill_says_which_orders_it_breaks_and_keeps_nothing(client, four, plan):  # noqa: F811
    plan()
    page = _staff_page(client, **ILL).text
    assert change_words(StaffChange(date(2026, 11, 21), 480, 540, -1), FORMATS) in words(page)
    assert _what_if(page) == [[four[-1]], []]
    said = words(page.partition("data-newly-late")[2])
    assert f"{four[-1]} Wilhelmina Hart 01632 960101" in said
    assert "12:00" in said
    assert _shifts(_staff_page(client).text) == AS_USUAL


def test_kept_it_stands_on_that_date_only(client, four, plan):  # noqa: F811
    answer = client.post("/bench/staff", data=ILL | {"shown_shifts": AS_USUAL})
    assert answer.status_code == 303
    plan()
    page = client.get(answer.location).text
    assert 'class="flash' in page
    assert _shifts(page) == _said_of(9, 18, 1)
    assert re.findall(r'data-order="(\d+)"', page.partition('id="at-risk"')[2]) == [str(four[-1])]
    assert _shifts(_staff_page(client, day="2026-11-22").text) == AS_USUAL
    assert _said_of(9, 18, 1) in words(client.get("/office/bench").text)


def test_one_person_more_says_what_it_saves(client, orders, plan):  # noqa: F811
    *_, last = orders(60, 60, 60, 60, 60)
    plan()
    page = _staff_page(client, **(ILL | {"from": "7:00", "by": "1"})).text
    assert change_words(StaffChange(date(2026, 11, 21), 420, 540, 1), FORMATS) in words(page)
    assert _what_if(page) == [[], [last]]


def test_a_change_that_breaks_nothing_says_so(client):
    take(client)
    page = _staff_page(client, day="2026-11-21", **{"from": "17:00"}, to="18:00", by="-1").text
    assert _what_if(page) == [[], []]


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"from": "", "to": ""}, "staff-from", enter_both_times(13, 18)),
        ({"from": "nine"}, "staff-from", enter_both_times(13, 18)),
        ({"by": "many"}, "staff-by", enter_whole(-MAX_STAFF, MAX_STAFF)),
        ({"by": "0"}, "staff-by", CHOOSE_STAFF),
    ],
)
def test_what_is_mistyped_is_told_at_its_field_and_stays(client, wrong, field, sentence):
    sent = ILL | wrong
    for answer in (_staff_page(client, **sent), client.post("/bench/staff", data=sent)):
        assert answer.status_code == 422
        page = Page(answer.text)
        assert page.problem(field) == sentence
        assert page.describes(field)
        assert page.links == [field]
        assert {name: page.values[name] for name in ("from", "to", "by")} == {
            name: sent[name] for name in ("from", "to", "by")
        }


def test_a_day_without_anybody_says_so(client):
    client.post("/office/hours/exceptions", data={"day": "2026-11-24", "opens": "", "closes": ""})
    page = _staff_page(client, day="2026-11-24").text
    assert 'data-load="none"' in page
    assert _shifts(page) == ""


def _saved(client, **sent):
    return client.post("/bench/staff", data=ILL | {"shown_shifts": AS_USUAL} | sent)


def test_the_staff_of_a_day_far_ahead_are_drawn(client):
    for address in ("/bench/staff", "/office/bench"):
        page = client.get(address, query_string={"day": "2027-03-01"}).text
        assert _load(page) == (0, 600)
        assert 'data-load="none"' not in page


def test_a_change_on_a_day_far_ahead_is_drawn_too(client):
    assert _load(_staff_page(client, **(ILL | {"day": "2027-03-01"})).text) == (0, 540)


def test_a_day_that_has_passed_says_so_in_place_of_picture_and_form(client):
    for sent in ({}, ILL):
        answer = _staff_page(client, **(sent | {"day": "2026-11-20"}))
        assert answer.status_code == 200
        assert 'data-day="past"' in answer.text
        assert "<figure" not in answer.text
        assert 'name="from"' not in answer.text


def test_a_day_that_has_passed_is_not_changed(client):
    answer = _saved(client, day="2026-11-20")
    assert answer.status_code == 422
    assert PASSED in Page(answer.text).summary
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
    values = Page(_staff_page(client).text).values
    assert (values["from"], values["to"]) == proposed


def test_the_same_press_twice_counts_once(client):
    page = Page(_staff_page(client, **ILL).text)
    sent = {name: page.values[name] for name in ("day", "from", "to", "by", "shown_shifts")} | {"by": "1"}
    assert client.post("/bench/staff", data=sent).status_code == 303
    again = client.post("/bench/staff", data=sent)
    assert again.status_code == 422
    assert CHANGED_MEANWHILE in Page(again.text).summary
    assert _shifts(again.text) == f"{_said_of(8, 9, 2)}; {_said_of(9, 18, 1)}"
    assert 'id="save"' not in again.text


def test_what_was_tried_before_somebody_else_changed_the_day_is_not_kept(client):
    tried = Page(_staff_page(client, **ILL).text).values["shown_shifts"]
    assert _saved(client, **{"from": "17:00", "to": "18:00"}).status_code == 303
    answer = _saved(client, shown_shifts=tried)
    assert answer.status_code == 422
    assert CHANGED_MEANWHILE in Page(answer.text).summary
    assert _shifts(_staff_page(client).text) == _said_of(8, 17, 1)


def test_a_press_that_does_not_say_what_the_staff_were_is_not_kept(client):
    assert client.post("/bench/staff", data=ILL).status_code == 422
    assert _shifts(_staff_page(client).text) == AS_USUAL


@pytest.mark.parametrize("end", ["24:00", "midnight"])
def test_the_end_of_the_day_is_shown_as_it_is_kept(client, end):
    sent = ILL | {"from": "18:00", "to": end, "by": "1"}
    tried = _staff_page(client, **sent).text
    assert change_words(StaffChange(date(2026, 11, 21), 18 * 60, 24 * 60, 1), FORMATS) in words(tried)
    page = Page(tried)
    assert page.by_id["staff-to"]["value"] == page.values["to"] == "00:00"
    assert _saved(client, **{"from": "18:00", "to": end, "by": "1"}).status_code == 303
    assert _shifts(_staff_page(client).text) == _said_of(8, 0, 1)


def _plan_of(database, *blocks):
    """Keeps a plan of these blocks: key, hours from and to, people."""
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
    assert 'data-resumptions="3"' in _staff_page(client).text


def test_work_that_goes_on_with_other_people_or_on_another_day_is_not_taken_up_again(client, database):
    _plan_of(
        database,
        ("1-1", (8,), (9,), 1),
        ("1-1", (9,), (10,), 2),
        ("2-1", (10,), (11,), 1),
        ("1-1", (8, 0, 1), (9, 0, 1), 1),
    )
    assert "data-resumptions" not in _staff_page(client).text


def test_work_taken_up_again_once_is_counted(client, database):
    _plan_of(database, ("1-1", (8,), (9,), 1), ("1-1", (10,), (11,), 1))
    assert 'data-resumptions="1"' in _staff_page(client).text
