"""Every question before something is saved that may be wrong: the safe answer comes first, is the main button and
takes the focus; the other one does it anyway."""

import pytest

from tests.places.marks import marks
from tests.places.payloads import Page, take, words
from tests.places.test_bench_gas import put_venue_order
from tests.places.test_office_gas import add, press

STEPS = ("assembled", "weighted", "bagged", "ready")


def _step(client, number, step, **more):
    sent = {"step": step, "client_key": f"{step} {more}"} | more
    return client.post(f"/pickups/orders/{number}/steps", data=sent)


def _filled(client, **changes):
    number = take(client, **changes)
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "f", "sure": "yes"})
    return number


def _too_early(client, _database):
    return client.post(f"/bench/batches/{take(client)}-1/taps", data={"act": "start", "client_key": "s"})


def _overpaid(client, _database):
    sent = {"client_key": "p", "seen": "0", "how": "card", "what": "price", "direction": "in", "note": ""}
    return client.post(f"/counter/orders/{take(client)}/payments", data=sent | {"pay": "typed", "amount": "99"})


def _risen_gauge(client, _database):
    add(client)
    press(client, "use", bar="36")
    return client.post("/bench/gas/1", data={"act": "read", "client_key": "a", "bar": "50"})


def _wet(client, _database):
    return _step(client, _filled(client, lines__0__treated="y"), "dry")


def _no_cylinder(client, database):
    add(client)
    return _step(client, put_venue_order(database), "packed")


def _unpaid(client, _database):
    number = _filled(client)
    for step in STEPS:
        _step(client, number, step)
    return _step(client, number, "handed over")


@pytest.mark.parametrize("ask", [_too_early, _overpaid, _risen_gauge, _wet, _no_cylinder, _unpaid])
def test_the_safe_answer_comes_first_is_the_main_button_and_takes_the_focus(client, database, ask):
    answer = ask(client, database)
    assert (answer.status_code, len(marks(answer.text, "question"))) == (422, 1)
    place = answer.text.index("data-question=")
    question = answer.text[answer.text.rindex("<div", 0, place) :]
    pressed = [attrs for tag, attrs in Page(question).tags if tag == "button" or "data-tap" in attrs]
    (focus,) = marks(answer.text, "focus")
    assert (pressed[0]["id"], pressed[0]["class"]) == (focus, "button main safe-answer")
    assert "quiet" in pressed[[*map(_saves, pressed)].index(True)]["class"]


def _saves(attrs):
    return attrs.get("id") in ("tap-sure", "anyway") or attrs.get("name") in ("pay", "sure")


def test_the_anyway_of_a_step_says_what_it_was_asked_about_and_anything_else_is_refused(client, database):
    asked = _unpaid(client, database).text
    page, (number,) = Page(asked), marks(asked, "order")
    assert (page.values["step"], page.values["sure"], page.values["due"]) == ("handed over", "unpaid", "2640")
    assert _step(client, number, "handed over", sure="wet").status_code == 422
    assert _step(client, number, "handed over", sure="certainly").status_code == 422
    assert _step(client, number, "handed over", sure="unpaid").status_code == 303
    assert "pickup-gone" in client.get("/pickups/").text


def test_a_payment_at_the_door_that_no_longer_fits_is_refused_with_a_sentence(client, database):
    (number,) = marks(_unpaid(client, database).text, "order")
    sent = {"client_key": "door", "how": "cash", "due": "2639"}
    answer = client.post(f"/pickups/orders/{number}/payments", data=sent)
    assert (answer.status_code, bool(Page(answer.text).summary)) == (422, True)
    assert client.post(f"/pickups/orders/{number}/payments", data=sent | {"due": "2640"}).status_code == 303
    assert marks(client.get("/pickups/").text, "money") == ["paid"]
    assert _step(client, number, "handed over").status_code == 303
    assert "£26.40" in words(client.get(f"/counter/orders/{number}").text)
