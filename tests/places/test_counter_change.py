"""Changing, cancelling and reopening an order at the counter; two people on one order."""

from concurrent.futures import ThreadPoolExecutor

from sqlalchemy import select

from app.actions.catalogue.designs import archive_design
from app.actions.records.catalogue import load_catalogue
from app.store.models import HistoryEntry, Order
from app.web.wording.errors import changed_meanwhile
from tests.actions.builders import MORNING, bouquet
from tests.places.marks import marked, marks
from tests.places.payloads import CALLED_OFF, Page, payload, take, words


def _change(client, number, version="1", **changes):
    return client.post(f"/counter/orders/{number}/change", data=payload(version=version, **changes))


def _order(database):
    with database.reading() as session:
        return session.scalars(select(Order)).one()


def _sent_again(page, **changes):
    """The form as the browser would send it."""
    saved = {name: value for name, value in page.values.items() if name not in ("q", "fix")}
    return saved | {name.replace("__", "-"): value for name, value in changes.items()}


def test_the_form_opens_with_the_order_as_it_stands(client):
    number = take(
        client,
        venue_warmth="24",
        lines__1__what="balloon_type:12",
        lines__1__quantity="2",
        lines__1__colours="gold",
    )
    answer = client.get(f"/counter/orders/{number}/change")
    values = Page(answer.text).values
    shown = payload(
        lines__1__what="balloon_type:12",
        lines__1__quantity="2",
        lines__1__colours="gold",
        venue_warmth="24",
        version="1",
        client_key=None,
        **dict.fromkeys(("event_start__day", "lasts_until__day", "hand_over_time__day"), "21 Nov 2026"),
    )
    assert {name: values[name] for name in shown} == shown


def test_saving_the_form_untouched_changes_nothing(client, database, number):
    page = Page(client.get(f"/counter/orders/{number}/change").text)
    answer = client.post(f"/counter/orders/{number}/change", data=_sent_again(page))
    assert answer.status_code == 303
    assert _order(database).version == 1


def test_a_change_is_saved_and_stands_in_the_history(client, database, number):
    answer = _change(client, number, notes="Blue door.")
    assert (answer.status_code, answer.location) == (303, f"/counter/orders/{number}")
    changes = [(one["data-was"], one["data-is"]) for one in marked(client.get(answer.location).text, "was")]
    assert ("Ring the bell twice.", "Blue door.") in changes
    assert _order(database).version == 2


def test_a_bad_change_keeps_the_order_and_the_typing(client, database, number):
    answer = _change(client, number, lines__0__quantity="0", notes="Typed in vain?")
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("lines-0-quantity")
    assert page.values["notes"] == "Typed in vain?"
    assert (_order(database).version, _order(database).notes) == (1, "Ring the bell twice.")


def test_the_second_of_two_is_shown_what_changed_and_loses_no_typing(client, database, number):
    assert _change(client, number, customer="First Caller").status_code == 303
    answer = _change(client, number, notes="The second's long note.")
    page, said = Page(answer.text), words(answer.text)
    assert answer.status_code == 409
    assert marks(answer.text, "meanwhile") == ["1"]
    (changed,) = marked(answer.text, "what")
    was, now = "Wilhelmina Hart", "First Caller"
    assert (changed["data-what"], changed["data-was"], changed["data-is"]) == ("customer", was, now)
    assert said.index(was) < said.index(now)
    assert page.values["notes"] == "The second's long note."
    assert (_order(database).customer, _order(database).version) == ("First Caller", 2)


def test_the_second_may_save_again_over_the_first(client, database, number):
    _change(client, number, customer="First Caller")
    page = Page(_change(client, number, notes="The second's.").text)
    answer = client.post(f"/counter/orders/{number}/change", data=_sent_again(page))
    assert answer.status_code == 303
    assert (_order(database).version, _order(database).notes) == (3, "The second's.")


def test_of_two_that_save_at_once_one_is_told(app, database, client, number):

    def save(name):
        return _change(app.test_client(), number, customer=name).status_code

    with ThreadPoolExecutor(2) as both:
        answers = sorted(both.map(save, ["First Caller", "Second Caller"]))
    assert answers == [303, 409]
    with database.reading() as session:
        acts = session.scalars(select(HistoryEntry.act).order_by(HistoryEntry.id)).all()
    assert acts == ["saved", "changed"]


def test_two_orders_taken_at_once_have_two_numbers(app, database):
    def save(key):
        return take(app.test_client(), client_key=key)

    with ThreadPoolExecutor(4) as staff:
        numbers = list(staff.map(save, [f"key-{n}" for n in range(8)]))
    assert len(set(numbers)) == 8


def test_an_archived_design_is_still_chosen_in_the_form_of_an_order_that_has_it(client, database):
    with database.writing() as session:
        design = bouquet(session, load_catalogue(session))
    number = take(client, lines__0__what=f"design:{design.id}", lines__0__quantity="2", lines__0__colours="")
    with database.writing() as session:
        archive_design(session, design.id, MORNING)
    page = Page(client.get(f"/counter/orders/{number}/change").text)
    assert page.values["lines-0-what"] == f"design:{design.id}"
    answer = client.post(f"/counter/orders/{number}/change", data=_sent_again(page, notes="Side door."))
    assert answer.status_code == 303
    assert _order(database).notes == "Side door."


def test_a_started_batch_shows_what_came_on_top(client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "t1", "sure": "yes"})
    _change(client, number, lines__0__quantity="30", lines__0__colours="18 red, 12 white", accepted_risk="Fine.")
    for address in ("/bench", f"/bench/batches/{number}-1", f"/counter/orders/{number}"):
        assert "+6 red" in words(client.get(address).text)


def test_an_order_is_cancelled_and_reopened(client, database, number):
    assert client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF).status_code == 303
    assert _order(database).state == "cancelled"
    assert f"{number}-1" not in client.get("/bench").text
    assert client.post(f"/counter/orders/{number}/reopen").status_code == 303
    assert _order(database).state == "open"
    assert f"{number}-1" in client.get("/bench").text


def test_cancelling_what_somebody_else_changed_is_answered_409(client, database, number):
    _change(client, number, notes="They want more.")
    answer = client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert answer.status_code == 409
    assert changed_meanwhile([], number) in words(answer.text)
    assert _order(database).state == "open"


def test_an_order_that_never_was_is_not_there(client):
    for address in ("/counter/orders/12345", "/counter/orders/12345/change"):
        assert client.get(address).status_code == 404
    for verb in ("change", "cancel", "reopen"):
        assert client.post(f"/counter/orders/12345/{verb}", data=payload(version="1")).status_code == 404


def test_a_number_longer_than_any_order_is_not_there(client):
    """Longer than the store's own numbers."""
    for number in (2**31, 2**63, 10**30):
        assert client.get(f"/counter/orders/{number}").status_code == 404
        assert (
            client.post(f"/pickups/orders/{number}/steps", data={"step": "ready", "client_key": "k"}).status_code
            == 404
        )
        assert client.post(f"/office/designs/{number}/archive").status_code == 404


def test_a_cancelled_order_is_not_opened_for_change_but_shown(client, number):
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    answer = client.get(f"/counter/orders/{number}/change")
    assert (answer.status_code, answer.location) == (303, f"/counter/orders/{number}")


def test_filled_balloons_left_over_are_asked_about_and_saved_as_chosen(client, database, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t", "sure": "yes"})
    fewer = {"lines__0__quantity": "20", "lines__0__colours": "10 red, 10 white", "accepted_risk": "Early."}
    asked = _change(client, number, **fewer)
    page = Page(asked.text)
    assert (asked.status_code, page.focus()) == (422, "surplus-spares")
    assert page.by_id["surplus-question"]["data-surplus"] == "1"
    live = client.post(f"/counter/draft?order={number}", data=page.values | {"fix": "live"})
    assert Page(live.text).by_id["refusal"]["data-refused"] == "still"
    assert (
        client.post(f"/counter/orders/{number}/change", data=page.values | {"surplus": "shrug"}).status_code == 422
    )
    saved = client.post(f"/counter/orders/{number}/change", data=page.values | {"surplus": "lost"})
    assert saved.status_code == 303
    assert sum(count for _, count in _order(database).batches[0].bursts) == 4
