"""What a change of the shop does to open orders is shown before it is saved."""

import pytest

from app.actions.records.orders import load_order
from app.actions.records.shop import load_opening, setting_values
from app.store.shop_version import shop_version
from tests.places.page_states import states, values
from tests.places.payloads import Page

WEAK = {"calibration": "14"}
FRIDAY_CLOSED = {"day": "2026-11-21", "opens": "17:00", "closes": "18:00"}


def _stored(database, number):
    with database.reading() as session:
        order, version = load_order(session, number), shop_version(session)
        settings = setting_values(session)
        return (
            order.verdict,
            order.version,
            settings["calibration"],
            load_opening(session).exceptions,
            version,
        )


@pytest.mark.parametrize(
    ("address", "sent"),
    [
        ("/office/settings", WEAK),
        ("/office/hours/exceptions", FRIDAY_CLOSED),
    ],
)
def test_a_check_names_the_orders_that_get_worse_and_saves_nothing(client, database, number, address, sent):
    before = _stored(database, number)
    shown = client.post(address, data=sent | {"check": "y"})
    assert (shown.status_code, values(shown.text, "effects")) == (200, [str(number)])
    assert _stored(database, number) == before
    assert all(Page(shown.text).values[name] == typed for name, typed in sent.items() if name in ("opens", *WEAK))


def test_saving_asks_first_and_then_takes_one_more_press(client, database, number):
    before = _stored(database, number)
    asked = client.post("/office/settings", data=WEAK)
    assert (asked.status_code, values(asked.text, "effects")) == (422, [str(number)])
    assert _stored(database, number) == before
    assert client.post("/office/settings", data=Page(asked.text).values).status_code == 303
    assert _stored(database, number)[2] == 14


def test_what_was_seen_of_other_orders_does_not_count(client, database, number):
    asked = client.post("/office/settings", data=WEAK | {"effects_seen": "1 2"})
    assert (asked.status_code, values(asked.text, "effects")) == (422, [str(number)])


def test_if_no_order_gets_worse_one_line_says_so_and_saving_takes_one_press(client, number):
    shown = client.post("/office/settings", data={"name": "Pier Balloons", "check": "y"})
    (effects,) = states(shown.text, "effects")
    assert (shown.status_code, effects["data-effects"], effects["data-checked"]) == (200, "", "1")
    assert client.post("/office/settings", data={"name": "Pier Balloons"}).status_code == 303


@pytest.mark.parametrize(
    ("page", "ask"),
    [
        ("/office/hours", ""),
        ("/office/balloon-types/4", ""),
        ("/office/balloon-types/4/weigh", "?ten=40"),
        ("/office/timing", "?gas=helium&fills=10&seconds=50"),
    ],
)
def test_each_form_that_recalculates_can_be_checked(client, page, ask):
    drawn = Page(client.get(page + ask).text).values
    shown = client.post(
        page, data={name: text for name, text in drawn.items() if text is not None} | {"check": "y"}
    )
    assert (shown.status_code, len(states(shown.text, "effects"))) == (200, 1)


def test_a_date_is_removed_with_one_more_press_if_an_order_gets_worse(client, database, number):
    early = {"day": "2026-11-21", "opens": "7:00", "closes": "18:00"}
    client.post("/office/hours", data={"opens-5": "17:00", "closes-5": "18:00", "effects_seen": str(number)})
    client.post("/office/hours/exceptions", data=early)
    remove = "/office/hours/exceptions/2026-11-21/remove"
    assert client.post(remove).status_code == 422
    assert client.post(remove, data={"effects_seen": str(number)}).status_code == 303
    assert not _stored(database, number)[3]
