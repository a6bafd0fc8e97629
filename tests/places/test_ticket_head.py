"""What a ticket says first: whether the batch is on time, how to undo the last tap, and which job is next."""

import re

import pytest

from tests.actions.builders import at
from tests.places.marks import marks
from tests.places.payloads import CALLED_OFF, Page, take


def _tap(client, number, act, **more):
    sent = {"act": act, "client_key": f"{number} {act} {more}"[:64], "sure": "yes"} | more
    return client.post(f"/bench/batches/{number}-1/taps", data=sent)


def _ticket(client, number):
    return client.get(f"/bench/batches/{number}-1").text


def _next_key(page):
    found = re.search(r'id="next-job"\s+href="([^"]+)"', page)
    return found and found[1].rpartition("/")[2]


@pytest.fixture
def other(client, usual):
    """An order of the same afternoon, to be filled a little later."""
    return take(
        client,
        client_key="other",
        hand_over_time__hour="14:30",
        event_start__hour="16:00",
        lines__0__quantity="6",
        lines__0__colours="pink",
    )


def test_a_batch_that_is_filled_in_time_says_so_until_its_finishing_should_start(client, usual, now):
    now.move_to(at(13, 20))
    _tap(client, usual, "start")
    page = _ticket(client, usual)
    assert marks(page, "pace") == ["on-time"]
    assert int(marks(page, "left-minutes")[0]) > 1
    version = marks(page, "version")[0]
    now.move_to(at(13, 55))
    again = client.get(f"/bench/batches/{usual}-1", query_string={"v": version})
    assert again.status_code == 200
    assert marks(again.text, "pace") == ["behind"]


def test_what_is_left_to_do_becomes_less_with_each_tap(client, usual, now):
    now.move_to(at(12))
    _tap(client, usual, "start")
    whole = int(marks(_ticket(client, usual), "left-minutes")[0])
    _tap(client, usual, "fill", count="12")
    assert int(marks(_ticket(client, usual), "left-minutes")[0]) == pytest.approx(whole / 2, abs=1)


def test_the_undo_beside_the_taps_takes_back_the_last_tap_that_stands(client, usual):
    for count in ("5", "7"):
        _tap(client, usual, "fill", count=count)
    page = _ticket(client, usual)
    assert "+7" in re.search(r'id="tap-undo">(.*?)</button>', page, re.DOTALL)[1]
    form = re.search(r'<form\s+class="tap undo".*?</form>', page, re.DOTALL)[0]
    client.post(f"/bench/batches/{usual}-1/undo", data={"tap": re.search(r'name="tap" value="(\d+)"', form)[1]})
    again = _ticket(client, usual)
    assert marks(again, "filled") == ["5"]
    assert "+5" in re.search(r'id="tap-undo">(.*?)</button>', again, re.DOTALL)[1]


def test_before_the_first_tap_nothing_is_to_be_undone_and_no_other_job_is_named(client, usual, other):
    page = Page(_ticket(client, usual))
    assert "tap-undo" not in page.by_id
    assert "next-job" not in page.by_id


def test_the_next_job_is_the_first_that_nobody_has_started(client, usual, other):
    _tap(client, usual, "finish")
    page = _ticket(client, usual)
    assert _next_key(page) == f"{other}-1"
    assert 'class="next-same"' in page
    _tap(client, other, "start")
    assert Page(_ticket(client, usual)).by_id["next-job"]["href"] == "/bench"


def test_the_ticket_of_a_cancelled_order_names_the_next_job_and_no_steps(client, usual, other):
    _tap(client, usual, "fill", count="5")
    assert "steps" in Page(_ticket(client, usual)).by_id
    client.post(f"/counter/orders/{usual}/cancel", data=CALLED_OFF)
    page = _ticket(client, usual)
    assert ("steps" in Page(page).by_id, _next_key(page)) == (False, f"{other}-1")


def test_a_job_with_another_gas_does_not_keep_the_sizer(client, usual):
    air = take(client, client_key="air", lines__0__gas="air")
    _tap(client, usual, "finish")
    page = _ticket(client, usual)
    assert _next_key(page) == f"{air}-1"
    assert 'class="next-same"' not in page


def test_a_question_is_asked_again_when_the_page_renews_itself(client, usual):
    asked = client.post(f"/bench/batches/{usual}-1/taps", data={"act": "start", "client_key": "k"})
    assert asked.status_code == 422
    poll = re.search(r'hx-get="([^"]+)"', asked.text)[1].replace("&amp;", "&")
    assert "act=start" in poll
    renewed = client.get(re.sub(r"v=[^&]+", "v=old", poll), headers={"HX-Request-Type": "partial"})
    assert marks(renewed.text, "question") == ["too-early"]
    assert marks(renewed.text, "state")[0] == "early"


def test_a_question_that_has_been_answered_elsewhere_is_asked_no_more(client, usual):
    _tap(client, usual, "start")
    page = client.get(f"/bench/batches/{usual}-1", query_string={"v": "old", "act": "start"}).text
    assert marks(page, "question") == []
    assert marks(page, "state")[0] == "started"


@pytest.mark.parametrize("act", ["burst", "jump", ""])
def test_an_address_asks_only_what_a_tap_would_be_asked(client, usual, act):
    page = client.get(f"/bench/batches/{usual}-1", query_string={"act": act}).text
    assert marks(page, "question") == []
