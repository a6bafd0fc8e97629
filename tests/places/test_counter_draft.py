"""While the caller is still talking: worked out, lines added and dropped, nothing kept."""

import re

import pytest
from sqlalchemy import func, select

from app.store.models import Order
from app.web.wording.forms import too_many_rows
from tests.places.answers import answer_states, having
from tests.places.payloads import Page, payload


def _draft(client, fix="work", **changes):
    return client.post("/counter/draft", data=payload(fix=fix, **changes))


def _counts(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(Order))


def test_it_answers_with_verdict_window_and_price_and_keeps_nothing(client, database):
    answer = _draft(client)
    said = answer_states(answer.text)
    assert answer.status_code == 200
    assert (said["verdict"], said["can-make"], said["price"]) == ("safe", "fits", "2640")
    (batch,) = having(Page(answer.text), "data-inflate-by")
    assert batch["data-not-before"] < batch["data-inflate-by"] == "2026-11-21T13:30"
    assert _counts(database) == 0


@pytest.mark.parametrize("fix", ["add-line", "add-extra"])
def test_a_further_row_keeps_the_answer(client, fix):
    assert answer_states(_draft(client, fix=fix).text) == answer_states(_draft(client).text)


def test_name_phone_and_address_may_still_be_missing(client):
    answer = _draft(client, customer="", phone="", hand_over="deliver", travel_minutes="20")
    assert answer_states(answer.text)["verdict"] == "safe"


def test_it_says_what_is_wrong_at_its_field(client):
    answer = _draft(client, lines__0__quantity="many")
    assert answer.status_code == 200
    assert Page(answer.text).problem("lines-0-quantity")
    assert answer_states(answer.text) == {}
    assert Page(answer.text).links == ["lines-0-quantity"]


def test_it_says_when_the_bench_is_too_late(client):
    text = _draft(client, lines__0__quantity="2000", lines__0__colours="red").text
    assert answer_states(text)["can-make"] == "late"
    assert Page(text).by_id["answer-bench"]["data-ready-at"] > "2026-11-21T14:00"


def test_an_order_that_is_not_safe_offers_room_for_the_word(client):
    page = Page(_draft(client, lasts_until__day="2026-11-22").text)
    assert page.by_id["accepted_risk"]["type"] == "text"


def test_a_line_can_be_added(client):
    page = Page(_draft(client, fix="add-line").text)
    assert page.values["lines-1-quantity"] == ""
    assert page.values["lines-0-quantity"] == "24"


def test_the_last_line_that_fits_is_the_fortieth(client):
    lines = {f"lines__{place}__quantity": "1" for place in range(40)}
    page = Page(_draft(client, fix="add-line", **lines).text)
    assert "lines-39-quantity" in page.values
    assert "lines-40-quantity" not in page.values
    assert "lines-full" in page.by_id
    assert "lines-full" not in Page(_draft(client, fix="add-line").text).by_id


@pytest.mark.parametrize(("name", "row"), [("lines", "lines__{}__quantity"), ("extras", "extras__{}__title")])
def test_more_rows_than_an_order_may_have_are_said_and_stay(client, database, name, row):
    rows = {row.format(place): str(place + 1) for place in range(43)}
    answer = client.post("/counter/orders", data=payload(**rows))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert all(page.values[field.replace("__", "-")] == typed for field, typed in rows.items())
    assert too_many_rows(name, 40, 43) in page.summary
    assert _counts(database) == 0


def test_a_line_can_be_dropped_and_the_others_move_up(client):
    second = {"lines__1__what": "balloon_type:12", "lines__1__quantity": "2", "lines__1__colours": "gold"}
    page = Page(_draft(client, fix="drop-line-0", **second).text)
    assert (page.values["lines-0-what"], page.values["lines-0-quantity"], page.values["lines-0-colours"]) == (
        "balloon_type:12",
        "2",
        "gold",
    )
    assert "lines-1-quantity" not in page.values


def test_dropping_the_only_line_leaves_a_blank_one(client):
    page = Page(_draft(client, fix="drop-line-0").text)
    assert page.values["lines-0-quantity"] == ""


@pytest.mark.parametrize("fix", ["drop-line-7", "drop-line-" + "9" * 5000, "drop-line-²", "", "fly"])
def test_a_fix_that_means_nothing_changes_nothing(client, fix):
    answer = _draft(client, fix=fix)
    assert answer.status_code == 200
    assert Page(answer.text).values["lines-0-quantity"] == "24"


def test_the_key_of_the_form_stays_the_same(client):
    assert Page(_draft(client).text).values["client_key"] == "key-1"


def test_a_cleared_form_is_empty_under_another_key_and_its_undo_gives_everything_back(client):
    bear = {
        "extras__0__what": "delivery",
        "extras__0__each": "9.00",
        "lines__1__what": "",
        "lines__1__quantity": "3",
    }
    before = Page(_draft(client, **bear).text).values
    cleared = Page(_draft(client, fix="clear", **bear).text).values
    assert cleared["client_key"] not in ("", "key-1")
    assert not any(value for name, value in cleared.items() if name.startswith(("customer", "phone", "notes")))
    assert not any(name.startswith(("lines-1", "extras")) for name in cleared)
    typed_since = cleared | {"notes": "For the next caller.", "fix": "undo"}
    assert Page(client.post("/counter/draft", data=typed_since).text).values == before


def test_a_repeat_after_clearing_takes_nothing_from_the_order_before(client, number):
    cleared = Page(_draft(client, fix="clear", notes="Ask for Otis.").text).values
    again = Page(client.post("/counter/draft", data=cleared | {"fix": f"repeat-{number}"}).text).values
    assert again["notes"] == "Ring the bell twice."


def test_a_form_that_comes_back_has_its_answer(client):
    assert answer_states(_draft(client, fix="restore").text)["verdict"] == "safe"
    assert not Page(_draft(client, fix="restore", phone="x").text).problem("phone")


def test_a_change_is_worked_out_without_being_kept(client, database, number):
    answer = client.post(
        f"/counter/draft?order={number}",
        data=payload(fix="work", lines__0__colours="", version="1", lines__0__quantity="48"),
    )
    assert answer_states(answer.text)["price"] == "5280"
    with database.reading() as session:
        assert session.scalars(select(Order)).one().total_minor == 2640


def test_an_order_that_never_was_is_not_worked_out(client):
    assert client.post("/counter/draft?order=12345", data=payload()).status_code == 404


def test_htmx_gets_the_very_form_and_no_page_around_it(client):
    answer = client.post("/counter/draft", data=payload(fix="work"), headers={"HX-Request-Type": "partial"})
    assert answer.text.lstrip().startswith('<form id="order-form"')
    assert "HX-Request-Type" in answer.headers["Vary"]
    page = client.post("/counter/draft", data=payload(fix="work")).text
    assert _without_token(answer.text).strip() in _without_token(page)


def _without_token(text):
    """Each answer has the token of its forms under a mask of its own."""
    return re.sub(r'name="csrf_token" value="[^"]+"', "", text)
