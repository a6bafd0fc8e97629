"""A save that was refused is said until it is mended, whatever is pressed or answered meanwhile."""

import pytest

from app.web.wording.orders import SAVED_MEANWHILE
from tests.places.payloads import Page, payload, words


def _refused(client, **changes):
    answer = client.post("/counter/orders", data=payload(**changes))
    assert answer.status_code == 422
    return Page(answer.text).values


def _state(answer):
    return Page(answer.text).by_id.get("refusal", {}).get("data-refused")


@pytest.mark.parametrize("fix", ["live", "work", "add-line", "restore"])
def test_it_is_still_refused_after_any_other_press(client, fix):
    sent = _refused(client, phone="")
    answer = client.post("/counter/draft", data=sent | {"fix": fix})
    assert _state(answer) == "still"
    assert 'href="#phone"' in answer.text
    assert _state(client.post("/counter/draft", data=sent | {"fix": fix, "phone": "01632 960101"})) == "mended"


def test_what_the_customer_must_accept_is_asked_for_until_it_is_written(client):
    sent = _refused(client, lasts_until__day="2026-11-22")
    assert _state(client.post("/counter/draft", data=sent | {"fix": "live"})) == "still"
    accepted = sent | {"fix": "live", "accepted_risk": "Only until the cake."}
    assert _state(client.post("/counter/draft", data=accepted)) == "mended"


def test_a_form_that_was_never_refused_says_nothing(client):
    assert _state(client.post("/counter/draft", data=payload(fix="live", phone=""))) is None


@pytest.mark.parametrize("sent", ["[", "9", "[" * 5000, '{"a": 1}', "x"])
def test_what_no_page_sends_breaks_nothing(client, sent):
    assert client.post("/counter/draft", data=payload(fix="live", refused=sent)).status_code == 200


def test_what_somebody_else_saved_is_said_until_it_is_saved_over(client, number):
    for notes in ("First.", "Second."):
        sent = payload(version="1", notes=notes)
        answer = client.post(f"/counter/orders/{number}/change", data=sent)
    assert answer.status_code == 409
    again = Page(answer.text).values | {"fix": "work"}
    answer = client.post(f"/counter/draft?order={number}", data=again)
    assert (_state(answer), SAVED_MEANWHILE in words(answer.text)) == ("still", True)


def test_the_same_change_that_comes_again_is_saved_once(client, number):
    for _ in range(2):
        sent = payload(version="1", notes="Side door.")
        assert client.post(f"/counter/orders/{number}/change", data=sent).status_code == 303
    assert client.get(f"/counter/orders/{number}").text.count('data-act="changed"') == 1
