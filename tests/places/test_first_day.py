"""The first day: who is led to it, how far each step is, where a save leads, and what a step refuses."""

import re
import shutil

import pytest

from app.actions.records.catalogue import load_catalogue
from app.actions.shop.office import change_settings
from app.places.office.first_day import step_states
from app.places.office.starters import STARTERS, figures_of_starter, offered_starters
from app.quoting.missing import Missing
from app.quoting.settings.all_settings import SETTINGS
from app.store.models import BalloonTypeRow, DesignRow, StaffMember
from app.web.guide import STEPS
from tests.places.page_states import is_refused, values
from tests.places.payloads import Page, take
from tests.places.test_office_gas import ADA

DOZEN = "/office/designs/new?guide=design&starter=dozen"
NAME, ZONE = "/office/settings/shop?guide=name", "/office/settings/shop?guide=zone"
MONEY, PRICES = "/office/settings/units?guide=money", "/office/balloon-types/prices?guide=prices"


@pytest.fixture
def empty(client, database):
    """A shop of which nothing was ever set."""
    with database.writing() as session:
        change_settings(session, {setting.key: setting.default for setting in SETTINGS})
        session.query(BalloonTypeRow).update({"price_minor": 0})
    return client


def _states(client):
    page = Page(client.get("/office/start").text)
    return {one["data-step"]: one["data-state"] for _, one in page.tags if "data-step" in one}


def _form_of(text, action):
    """The fields of the form that is sent to this address, as a browser would send them."""
    forms = re.findall(r"<form\b[^>]*>.*?</form>", text, re.DOTALL)
    return Page(next(one for one in forms if f'action="{action}"' in one)).values


def _send(client, address, path="", **changes):
    """Sends a form of a step as a browser would, changed."""
    action = path or address.partition("?")[0]
    drawn = {name: text for name, text in _form_of(client.get(address).text, action).items() if text is not None}
    assert drawn["guide"] in address
    return client.post(action, data=drawn | changes)


@pytest.mark.parametrize("door", ["/", "/counter/"])
def test_an_empty_shop_leads_to_the_first_day_once(empty, door):
    assert empty.get(door).location == "/office/start"
    assert empty.get("/").location == "/bench"
    assert empty.get("/counter/").status_code == 200


def test_who_opened_the_first_day_is_not_led_there_again(empty):
    assert empty.get("/office/start").status_code == 200
    assert empty.get("/counter/").status_code == 200


def test_a_shop_in_which_something_was_done_is_not_led(empty, app):
    empty.post("/staff/new", data={"name": "Noor"})
    assert app.test_client().get("/").location == "/bench"


def test_a_shop_with_settings_is_not_led(client):
    assert client.get("/").location == "/bench"


def test_a_shop_with_an_order_is_not_led(empty, app, database):
    with database.writing() as session:
        session.query(BalloonTypeRow).update({"price_minor": 100})
    take(empty)
    assert app.test_client().get("/").location == "/bench"


def test_how_far_each_step_is_follows_from_what_is_stored(empty, database):
    asked = dict.fromkeys(("name", "zone", "staff", "prices", "cylinders", "backups"), "missing")
    assert _states(empty) == {step.key: asked.get(step.key, "assumed") for step in STEPS}
    with database.writing() as session:
        session.add(StaffMember(name="Noor"))
        session.query(BalloonTypeRow).update({"price_minor": 100})
        change_settings(session, {"zone": "Europe/London", "currency_symbol": "£"})
    states = _states(empty)
    assert [states[key] for key in ("zone", "money", "staff", "prices")] == ["done"] * 4
    assert [states[key] for key in ("name", "hours", "design")] == ["missing", "assumed", "assumed"]


def test_a_step_lacks_only_what_it_asks_for():
    states = {one.step.key: one for one in step_states(Missing(phone=True, weights=True), own=frozenset({"hours"}))}
    assert states["name"].lacks == ("phone",)
    assert {key for key, one in states.items() if one.state == "missing"} == {"name"}
    assert states["hours"].state == "done"


def test_each_save_leads_to_the_next_step(empty):
    names = {"name": "Pier", "shop_address": "1 Pier Road", "shop_phone": "7"}
    for address, path, changes, after in (
        (NAME, "/office/settings", names, "zone"),
        (ZONE, "/office/settings", {"zone": "Europe/London"}, "money"),
        (MONEY, "/office/settings", {"currency_symbol": "£"}, "hours"),
        ("/office/hours?guide=hours", "/office/hours", {"closes-2": "17:00"}, "staff"),
        ("/staff/?guide=staff", "/staff/new", {"name": "Noor"}, "staff"),
        ("/staff/?guide=staff", "/staff/", {"name": "Noor"}, "prices"),
        (PRICES, "", {"price-4": "1.50"}, "design"),
        (DOZEN, "/office/designs/new", {"pricing": "set", "price_minor": "20"}, "cylinders"),
        ("/office/gas/new?guide=cylinders", "", ADA, "backups"),
    ):
        answer = _send(empty, address, path, **changes)
        assert (answer.status_code, answer.location.partition("guide=")[2]) == (303, after), address
    states = _states(empty)
    assert {key for key, state in states.items() if state == "missing"} == {"prices", "backups"}


def test_outside_of_the_steps_a_save_leads_where_it_always_did(client):
    answer = client.post("/staff/new", data={"name": "Noor"})
    assert answer.location == "/staff/"
    assert values(client.get("/office/hours").text, "guide") == []
    assert values(client.get("/office/hours?guide=nothing").text, "guide") == []


@pytest.mark.parametrize(
    ("address", "path", "changes", "focus"),
    [
        (NAME, "/office/settings", {"name": "x" * 61}, "name"),
        (ZONE, "/office/settings", {"zone": "Lodnon"}, "zone"),
        (MONEY, "/office/settings", {"currency_decimals": "9"}, "currency_decimals"),
        ("/office/hours?guide=hours", "/office/hours", {"opens-2": "soon"}, "opens-2"),
        ("/staff/?guide=staff", "/staff/new", {"name": ""}, "name"),
        (PRICES, "", {"price-4": "much"}, "price-4"),
        ("/office/designs/new?guide=design", "", {"name": "Arch"}, "price_minor"),
        ("/office/gas/new?guide=cylinders", "", ADA | {"holds": "all"}, "holds"),
    ],
)
def test_what_a_step_refuses_stays_typed_in_the_same_step(client, address, path, changes, focus):
    answer = _send(client, address, path, **changes)
    assert (answer.status_code, is_refused(answer.text)) == (422, True)
    assert values(answer.text, "guide") == [address.rpartition("=")[2]]
    page = Page(answer.text)
    assert page.focus() == focus
    name, typed = list(changes.items())[-1]
    if name in page.values and name == focus:
        assert page.values[name] == typed


def test_a_step_of_settings_shows_only_its_own(client):
    drawn = Page(client.get(ZONE).text).values
    assert "zone" in drawn
    assert not {"name", "caution"} & {*drawn}


def test_each_starter_can_be_saved_at_the_price_of_its_balloons(session):
    catalogue = load_catalogue(session)
    assert offered_starters(catalogue) == [*STARTERS]
    prices = [figures_of_starter(one.key, catalogue).price_minor for one in STARTERS]
    assert prices == [12 * 110, 6 * 110 + 180, 3 * 110]
    session.query(BalloonTypeRow).filter_by(name="18 in foil").update({"price_minor": 0})
    assert figures_of_starter("seven", load_catalogue(session)).price_minor is None


def test_a_starter_without_its_balloons_or_with_a_name_that_is_taken_is_not_offered(session, now):
    session.add(
        DesignRow(
            name="Dozen in one colour",
            computed=True,
            price_minor=0,
            assembly_minutes=0,
            steps=[],
            seasons=[],
            build={},
            archived_at=None,
        )
    )
    session.query(BalloonTypeRow).filter_by(name="18 in foil").update({"archived_at": now()})
    session.flush()
    assert [one.key for one in offered_starters(load_catalogue(session))] == ["three"]
    assert figures_of_starter("nothing", load_catalogue(session)) is None


def test_the_demo_shows_nothing_of_the_first_day(demo_file, build_app, tmp_path, now):
    client = build_app(f"sqlite:///{shutil.copy(demo_file, tmp_path)}", is_demo=True).test_client()
    assert client.get("/").location == "/bench"
    assert client.get("/counter/").status_code == 200
    for path in ("/office/review", "/office/settings", "/office/hours", "/office/designs", "/health"):
        page = client.get(path).text
        assert values(page, "still-missing") == values(page, "guide") == []


def test_what_is_still_missing_leads_back_to_the_steps(client):
    shown = client.get("/office/stock").text
    (band,) = re.findall(r'<details id="still-missing".*?</details>', shown, re.DOTALL)
    assert 'href="/office/start"' in band
