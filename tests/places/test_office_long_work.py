"""With many open orders a change waits for their calculation on a page that then sends the form once more."""

import logging
import threading

import pytest

from app.actions.records.orders import load_order
from app.actions.records.shop import setting_values
from app.places.office import recalculated as module
from app.web.long_work import FORGOTTEN_AFTER, WorkState
from tests.places.page_states import flashes, states, values
from tests.places.payloads import PLAIN, Page, take

SETTINGS = "/office/settings"
HARMLESS = {"name": "Pier Balloons", "calibration": "60"}
WEAK = {"name": "Pier Balloons", "calibration": "14"}
LONG = 20


@pytest.fixture(autouse=True)
def many(monkeypatch):
    """Already one open order is many, and takes until the request that asked for it has ended."""
    prepare = module.prepare_open_orders

    def prepare_later(database, *rest):
        with database.writing():
            pass
        return prepare(database, *rest)

    monkeypatch.setattr(module, "CALCULATED_AT_ONCE", 0)
    monkeypatch.setattr(module, "prepare_open_orders", prepare_later)


@pytest.fixture
def gate(monkeypatch, many):
    """Holds the work before its first order."""
    reached, opened, prepare = threading.Event(), threading.Event(), module.prepare_open_orders

    def held(database, shop, catalogue, now, report):
        reached.set()
        while not opened.wait(0.01):
            report(0, 412)
        return prepare(database, shop, catalogue, now, report)

    monkeypatch.setattr(module, "prepare_open_orders", held)
    held.reached, held.opened = reached, opened
    yield held
    opened.set()


def _work(app, answer):
    """The work that the page waits for."""
    assert answer.status_code == 202
    return app.long_works.find(_key(answer))


def _key(answer):
    return values(answer.text, "key")[0]


def _sent(answer):
    """What the page sends once more: the hidden fields of its form."""
    return {name: text for name, text in Page(answer.text).values.items() if name not in ("stop", "q")}


def _stored(database, number=1001):
    with database.reading() as session:
        values, order = setting_values(session), load_order(session, number)
        return values["name"], values["calibration"], order.verdict, order.version


def test_it_works(client, app, database, number):
    before = _stored(database)
    shown = client.post(SETTINGS, data=HARMLESS)
    work = _work(app, shown)
    assert values(shown.text, "work") == ["running"]
    assert work.wait(LONG)
    assert _stored(database) == before
    part = client.get(f"/office/long-work/{work.key}")
    (state,) = states(part.text, "work")
    assert (state["data-work"], state["data-done"], state["data-total"]) == ("done", "1", "1")
    assert "hx-trigger" not in state
    assert len(states(part.text, "goes-on")) == 1
    saved = client.post(SETTINGS, data=_sent(shown))
    assert saved.status_code == 303
    assert _stored(database)[:2] == ("Pier Balloons", 60)
    assert app.long_works.find(work.key) is None
    assert flashes(client.get(SETTINGS).text) == 1


def test_while_it_runs_it_says_how_far_it_is_and_asks_again_by_itself(client, app, gate, number):
    shown = client.post(SETTINGS, data=HARMLESS)
    assert gate.reached.wait(LONG)
    while not _work(app, shown).total:
        pass
    (state,) = states(client.get(f"/office/long-work/{_key(shown)}").text, "work")
    assert (state["data-work"], state["data-done"], state["data-total"]) == ("running", "0", "412")
    assert state["hx-trigger"] == "every 500ms"
    assert states(shown.text, "goes-on") == []


def test_a_tap_and_a_new_order_are_saved_while_it_runs(client, app, gate, number):
    shown = client.post(SETTINGS, data=HARMLESS)
    assert gate.reached.wait(LONG)
    tapped = {"act": "start", "client_key": "t", "sure": "yes"}
    assert client.post("/bench/batches/1001-1/taps", data=tapped).status_code == 303
    assert take(client, client_key="key-2") == 1002
    assert _work(app, shown).state is WorkState.RUNNING
    gate.opened.set()
    assert _work(app, shown).wait(LONG)


def test_without_a_script_the_same_form_is_sent_until_it_is_saved(client, app, database, gate, number):
    shown = client.post(SETTINGS, data=HARMLESS)
    again = client.post(SETTINGS, data=_sent(shown))
    assert (again.status_code, _key(again)) == (202, _key(shown))
    gate.opened.set()
    assert _work(app, again).wait(LONG)
    assert client.post(SETTINGS, data=_sent(again)).status_code == 303
    assert _stored(database)[1] == 60


def test_orders_that_get_worse_are_shown_before_it_is_saved_and_calculated_once(client, app, database, number):
    before = _stored(database)
    shown = client.post(SETTINGS, data=WEAK)
    assert _work(app, shown).wait(LONG)
    asked = client.post(SETTINGS, data=_sent(shown))
    assert (asked.status_code, values(asked.text, "effects")) == (422, [str(number)])
    assert _stored(database) == before
    assert client.post(SETTINGS, data=Page(asked.text).values).status_code == 303
    assert (_stored(database)[1], _stored(database)[2] != "safe") == (14, True)


def test_a_check_saves_nothing_and_what_it_calculated_is_saved_then(client, app, database, number):
    before = _stored(database)
    shown = client.post(SETTINGS, data=HARMLESS | {"check": "y"})
    assert _work(app, shown).wait(LONG)
    checked = client.post(SETTINGS, data=_sent(shown))
    assert (checked.status_code, len(states(checked.text, "effects"))) == (200, 1)
    assert _stored(database) == before
    assert client.post(SETTINGS, data=HARMLESS).status_code == 303


def test_what_was_typed_is_in_the_form_again_after_stop(client, app, database, gate, number):
    before = _stored(database)
    shown = client.post(SETTINGS, data=HARMLESS)
    work = _work(app, shown)
    stopped = client.post(SETTINGS, data=_sent(shown) | {"stop": work.key})
    assert (stopped.status_code, len(states(stopped.text, "stopped"))) == (200, 1)
    assert Page(stopped.text).values["name"] == "Pier Balloons"
    assert work.wait(LONG)
    assert work.state is WorkState.STOPPED
    assert _stored(database) == before
    assert values(client.get(f"/office/long-work/{work.key}").text, "work") == ["stopped"]
    again = client.post(SETTINGS, data=Page(stopped.text).values)
    assert (again.status_code, _key(again) != work.key) == (202, True)


def test_one_that_fails_says_so_and_can_be_tried_again(client, app, database, number, monkeypatch, caplog):
    def fail(database, *_):
        with database.writing():
            raise RuntimeError("Wilhelmina")

    with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
        patch.setattr(module, "prepare_open_orders", fail)
        shown = client.post(SETTINGS, data=HARMLESS)
        work = _work(app, shown)
        assert work.wait(LONG)
    part = client.get(f"/office/long-work/{work.key}").text
    assert (values(part, "work"), states(part, "goes-on")) == (["failed"], [])
    assert work.failure in part
    assert "Wilhelmina" not in part
    assert len(caplog.records) == 1
    again = client.post(SETTINGS, data=_sent(shown))
    assert _work(app, again).wait(LONG)
    assert client.post(SETTINGS, data=_sent(again)).status_code == 303


def test_after_a_new_start_of_the_program_it_begins_again(client, app, database, number):
    shown = client.post(SETTINGS, data=HARMLESS)
    assert _work(app, shown).wait(LONG)
    app.forget()
    part = client.get(f"/office/long-work/{_key(shown)}").text
    assert (values(part, "work"), len(states(part, "goes-on"))) == (["unknown"], 1)
    again = client.post(SETTINGS, data=_sent(shown))
    assert _key(again) != _key(shown)
    assert _work(app, again).wait(LONG)
    assert client.post(SETTINGS, data=_sent(again)).status_code == 303
    assert _stored(database)[1] == 60


def test_a_second_tab_with_another_change_has_its_own_work(client, app, database, gate, number):
    first = client.post(SETTINGS, data={"calibration": "60"})
    second = client.post("/office/hours/exceptions", data={"day": "2026-12-24", "opens": "", "closes": ""})
    assert _key(first) != _key(second)
    gate.opened.set()
    assert _work(app, first).wait(LONG)
    assert _work(app, second).wait(LONG)
    assert client.post(SETTINGS, data=_sent(first)).status_code == 303
    # The shop is another one now, so what was prepared for the second no longer holds.
    again = client.post("/office/hours/exceptions", data=_sent(second))
    assert _key(again) != _key(second)
    assert _work(app, again).wait(LONG)
    assert client.post("/office/hours/exceptions", data=_sent(again)).status_code == 303


def test_an_order_that_changed_meanwhile_is_calculated_again_first(client, app, database, number):
    shown = client.post(SETTINGS, data=WEAK)
    assert _work(app, shown).wait(LONG)
    changed = PLAIN | {"version": "1", "lasts_until-hour": "18:00"}
    assert client.post(f"/counter/orders/{number}/change", data=changed).status_code == 303
    again = client.post(SETTINGS, data=_sent(shown))
    assert _key(again) != _key(shown)


def test_a_few_that_changed_meanwhile_are_calculated_while_it_is_saved(client, app, database, number, monkeypatch):
    for place in range(2, 4):
        take(client, client_key=f"key-{place}", bench_override="By turns.")
    monkeypatch.setattr(module, "CALCULATED_AT_ONCE", 1)
    shown = client.post(SETTINGS, data=HARMLESS)
    assert _work(app, shown).wait(LONG)
    changed = PLAIN | {"version": "1", "lasts_until-hour": "18:00"}
    assert client.post(f"/counter/orders/{number}/change", data=changed).status_code == 303
    assert client.post(SETTINGS, data=_sent(shown)).status_code == 303


def test_what_was_prepared_some_minutes_ago_is_prepared_again(client, app, number, now):
    shown = client.post(SETTINGS, data=HARMLESS)
    assert _work(app, shown).wait(LONG)
    now.tick(2 * FORGOTTEN_AFTER)
    assert _key(client.post(SETTINGS, data=_sent(shown))) != _key(shown)


@pytest.mark.parametrize(
    ("page", "ask"),
    [
        ("/office/hours", ""),
        ("/office/balloon-types/4", ""),
        ("/office/balloon-types/4/weigh", "?ten=40"),
        ("/office/timing", "?gas=helium&fills=10&seconds=50"),
    ],
)
def test_each_form_that_recalculates_is_sent_once_more_and_can_be_stopped(client, app, number, page, ask):
    drawn = {name: text for name, text in Page(client.get(page + ask).text).values.items() if text is not None}
    shown = client.post(page, data=drawn | {"check": "y"})
    assert _work(app, shown).wait(LONG)
    stopped = client.post(page, data=_sent(shown) | {"stop": _key(shown)})
    assert (stopped.status_code, len(states(stopped.text, "stopped"))) == (200, 1)
    again = client.post(page, data=_sent(shown))
    assert _work(app, again).wait(LONG)
    done = client.post(page, data=_sent(again))
    assert (done.status_code, len(states(done.text, "effects"))) == (200, 1)
