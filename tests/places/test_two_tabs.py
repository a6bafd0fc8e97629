"""Every form of the office that changes something stored: of two pages, the one that saves later is shown what the
other changed, keeps what was typed, and saves with one more press."""

import re
from dataclasses import dataclass, field

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.store.models import OfficeChange, SupplyRow
from tests.actions.builders import new_design
from tests.places import test_office_buying, test_office_work_times, test_settings_history
from tests.places.page_states import states
from tests.places.payloads import Page
from tests.places.test_every_form import BUY, LATEX, RECEIVED, WITHOUT_FIELDS
from tests.places.test_office_gas import ADA

WEIGHED, TIMED = "/office/balloon-types/4/weigh", "/office/timing"
SHIFT = {"from-5-0": "9:00", "to-5-0": "12:00"}
COLOURS = "/office/balloon-types/colours"
SETTINGS, RIBBON = "/office/settings", "/office/supplies/{ribbon}"


BALLOON_PRICES, SUPPLY_PRICES = "/office/balloon-types/prices", "/office/supplies/prices"


@dataclass(frozen=True)
class Tabs:
    """A form that two people have open. page: its address; action: where it is sent; by names the field that both
    change, and one and other what they put in; seen: the name of the stored field, if it is not that of the form.
    sends: what else the form needs. open_as: what the address asks for each, where the page itself is asked first.
    """

    endpoint: str
    page: str
    action: str
    by: str
    one: str
    other: str
    seen: str = ""
    sends: dict = field(default_factory=dict)
    asks: tuple = ("", "")


FORMS = [
    Tabs(
        "office.save_settings",
        "/office/settings/shop",
        "/office/settings",
        "caution",
        "Mind the cat.",
        "Mind the dog.",
    ),
    Tabs("office.save_hours", "/office/hours", "/office/hours", "closes-2", "17:00", "19:00"),
    Tabs(
        "office.save_exception",
        "/office/hours",
        "/office/hours/exceptions",
        "opens",
        "10:00",
        "11:00",
        "2026-12-24",
        {"day": "2026-12-24", "closes": "13:00"},
    ),
    Tabs("office.save_week", "/office/bench", "/office/bench", "staff-5-0", "2", "3", "", SHIFT),
    Tabs(
        "office.save_day",
        "/office/bench",
        "/office/bench/days",
        "staff-day-0",
        "2",
        "3",
        "2026-12-24",
        {"day": "2026-12-24", "from-day-0": "9:00", "to-day-0": "12:00"},
    ),
    Tabs(
        "office.save_colour",
        COLOURS,
        COLOURS,
        "fill",
        "#112233",
        "#445566",
        "dusk",
        {"name": "Dusk", "finish": "clear"},
    ),
    Tabs("office.save_balloon_type", "/office/balloon-types/4", "/office/balloon-types/4", "price", "1.50", "1.60"),
    Tabs("office.save_balloon_type_prices", BALLOON_PRICES, BALLOON_PRICES, "price-4", "1.70", "1.80"),
    Tabs("office.save_supply_prices", SUPPLY_PRICES, SUPPLY_PRICES, "pack_cost-{ribbon}", "5.00", "6.00"),
    Tabs("office.save_weight", WEIGHED, WEIGHED, "ten", "31", "32", "mass_g", {}, ("?ten=31", "?ten=32")),
    Tabs(
        "office.save_timing",
        TIMED,
        TIMED,
        "seconds",
        "50",
        "60",
        "helium_l_per_s",
        {},
        ("?gas=helium&fills=10&seconds=50", "?gas=helium&fills=10&seconds=60"),
    ),
    Tabs(
        "office.save_supply", "/office/supplies/{ribbon}", "/office/supplies/{ribbon}", "pack_cost", "3.00", "4.00"
    ),
    Tabs(
        "office.save_design",
        "/office/designs/{design}",
        "/office/designs/{design}",
        "assembly_minutes",
        "7",
        "8",
    ),
    Tabs("office.save_cylinder", "/office/gas/1", "/office/gas/1", "purity", "97", "98"),
    Tabs(
        "office.change_lot",
        "/office/stock/balloon-type/4",
        "/office/stock/lots/{lot}/aside",
        "why-aside-{lot}",
        "faded",
        "for practice",
    ),
    Tabs(
        "office.save_arrival",
        "/office/stock/buying",
        "/office/stock/deliveries/{delivery}/came",
        "count-{delivery}",
        "90",
        "80",
    ),
]
ONE_PRESS_MORE = {form.endpoint for form in FORMS} - {"office.change_lot", "office.save_arrival"}
"""What came and was put away stands; it is corrected by a count and by putting the lot back."""
REMOVED = {"office.remove_exception", "office.remove_day", "office.remove_colour"}
"""Below, with what is there to be removed."""
ELSEWHERE = {
    "office.save_ordered": test_office_buying.test_the_same_row_is_not_ordered_twice_from_two_pages,
    "office.put_back_setting": test_settings_history.test_an_old_page_puts_nothing_back_over_what_was_changed_since,
    "office.save_work_time": test_office_work_times.test_a_setting_that_was_changed_meanwhile_is_not_replaced,
}
"""The tests of forms that need goods or taps of their own."""
ADDS = {
    # Something is added and nothing replaced: a name that is taken is refused, a key is saved once.
    *(
        "office.save_new_balloon_type",
        "office.save_new_supply",
        "office.save_new_design",
        "office.save_new_cylinder",
        "office.save_closed_days",
    ),
    *("office.receive_balloon_type", "office.receive_supply", "office.add_photos"),
    "office.cylinder_action",
    # A file of prices is only looked at.
    *("office.read_balloon_type_prices", "office.read_supply_prices"),
}
NO_OLD_VALUE = WITHOUT_FIELDS - REMOVED
"""A press with nothing typed replaces nothing that somebody else typed."""


def _furnish(client, database):
    """A shop with something stored behind each form, and no order; the numbers in the addresses above."""
    client.post("/office/gas/new", data=ADA)
    client.post(LATEX, data=RECEIVED)
    client.post("/office/stock/buying", data=BUY | {"client_key": "buy", "press": "0"})
    with database.writing() as session:
        design = new_design(session, load_catalogue(session), name="Pier bouquet").id
        ribbon = session.scalars(select(SupplyRow.id).where(SupplyRow.sort == "ribbon")).first()
        return {"lot": 1, "delivery": 1, "design": design, "ribbon": ribbon}


def _fill(form, numbers):
    return [text.format(**numbers) for text in (form.page, form.action, form.by, form.seen)]


def _form_of(text, action):
    """The fields of the form that is sent to this address, as a browser would send them."""
    forms = re.findall(r"<form\b[^>]*>.*?</form>", text, re.DOTALL)
    return Page(next(one for one in forms if f'action="{action}"' in one and 'method="post"' in one)).values


def _draw(client, page, action, ask=""):
    return _form_of(client.get(page + ask).text, action)


def _post(client, action, drawn, changes):
    return client.post(action, data={name: text for name, text in drawn.items() if text is not None} | changes)


def _wrong_with(client, form, numbers):
    """What is not as it should be when two people save this form; empty if all is well."""
    page, action, by, seen = _fill(form, numbers)
    tabs = [_draw(client, page, action, ask) for ask in form.asks]
    first = _post(client, action, tabs[0], form.sends | {by: form.one})
    refused = _post(client, action, tabs[1], form.sends | {by: form.other})
    if (first.status_code, refused.status_code) != (303, 409):
        return f"{first.status_code} and {refused.status_code}"
    changed = {
        attrs["data-changed"]: attrs["data-is"] for _, attrs in Page(refused.text).tags if "data-changed" in attrs
    }
    if (seen or by) not in changed or not (form.seen or form.one in changed[by]):
        return f"said to be changed: {changed}"
    if form.endpoint not in ONE_PRESS_MORE:
        return ""
    kept = _form_of(refused.text, action)
    again = _post(client, action, kept, {})
    return (
        "" if (kept[by], again.status_code) == (form.other, 303) else f"kept {kept[by]}, then {again.status_code}"
    )


def test_the_later_of_two_pages_is_shown_both_versions_and_saves_with_one_more_press(client, database):
    """In one shop, for every form."""
    numbers = _furnish(client, database)
    wrong = {form.endpoint: said for form in FORMS if (said := _wrong_with(client, form, numbers))}
    assert not wrong


def test_no_form_of_the_office_is_left_out(app):
    posts = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in rule.methods}
    office = {endpoint for endpoint in posts if endpoint.startswith("office.")}
    seen = {form.endpoint for form in FORMS} | REMOVED | {*ELSEWHERE}
    assert not seen & (ADDS | NO_OLD_VALUE)
    assert office == seen | ADDS | {one for one in NO_OLD_VALUE if one.startswith("office.")}


def test_who_changed_it_and_when_is_named(client, session, now):
    session.commit()
    client.post("/staff/new", data={"name": "Ann"})
    client.post("/staff/", data={"name": "Ann"})
    tabs = [_draw(client, "/office/supplies/1", "/office/supplies/1") for _ in range(2)]
    assert _post(client, "/office/supplies/1", tabs[0], {"pack_cost": "3.00"}).status_code == 303
    refused = _post(client, "/office/supplies/1", tabs[1], {"pack_cost": "4.00"})
    assert [one["data-who"] for one in states(refused.text, "changed")] == ["Ann"]
    entry = session.query(OfficeChange).one()
    assert (entry.who, entry.at, entry.changes[0][0]) == ("Ann", now(), "pack_cost")


DAY, DUSK = {"day": "2026-12-24"}, {"name": "Dusk", "finish": "clear"}


@pytest.mark.parametrize(
    ("page", "save", "key", "sent", "change"),
    [
        (
            "/office/hours",
            "/office/hours/exceptions",
            "2026-12-24",
            DAY | {"opens": "10:00", "closes": "12:00"},
            {"closes": "13:00"},
        ),
        (
            "/office/bench",
            "/office/bench/days",
            "2026-12-24",
            DAY | {"from-day-0": "9:00", "to-day-0": "12:00", "staff-day-0": "2"},
            {"staff-day-0": "3"},
        ),
        (COLOURS, COLOURS, "dusk", DUSK | {"fill": "#112233"}, {"fill": "#445566"}),
    ],
)
def test_what_was_changed_meanwhile_is_not_removed(client, page, save, key, sent, change):
    remove, on_page = f"{save}/{key}/remove", re.compile(f'data-(day|colour)="{key}"')
    client.post(save, data=sent)
    seen, other_page = _draw(client, page, remove), _draw(client, page, save)
    assert _post(client, save, other_page, sent | change).status_code == 303
    refused = _post(client, remove, seen, {})
    assert refused.status_code == 409
    assert on_page.search(client.get(page).text)
    assert _post(client, remove, _form_of(refused.text, remove), {}).status_code == 303
    assert not on_page.search(client.get(page).text)


def test_what_both_typed_alike_needs_no_second_look(client):
    tabs = [_draw(client, RIBBON.format(ribbon=5), RIBBON.format(ribbon=5)) for _ in range(2)]
    for tab in tabs:
        assert _post(client, RIBBON.format(ribbon=5), tab, {"pack_cost": "3.00"}).status_code == 303


def test_a_field_that_only_the_other_changed_gets_the_new_value(client):
    tabs = [_draw(client, f"{SETTINGS}/shop", SETTINGS) for _ in range(2)]
    assert _post(client, SETTINGS, tabs[0], {"shop_phone": "7"}).status_code == 303
    kept = _form_of(_post(client, SETTINGS, tabs[1], {"caution": "Mind the cat."}).text, SETTINGS)
    assert (kept["shop_phone"], kept["caution"]) == ("7", "Mind the cat.")


def test_a_row_that_the_other_added_is_not_dropped(client, database):
    with database.writing() as session:
        design = new_design(session, load_catalogue(session), name="Pier bouquet").id
    address = f"/office/designs/{design}"
    tabs = [_draw(client, address, address) for _ in range(2)]
    added = {"parts-1-balloon_type": "8", "parts-1-quantity": "2", "parts-1-gas": "helium"}
    assert _post(client, address, tabs[0], added).status_code == 303
    kept = _form_of(_post(client, address, tabs[1], {"assembly_minutes": "8"}).text, address)
    assert (kept["assembly_minutes"], kept["parts-1-quantity"]) == ("8", "2")
    assert _post(client, address, kept, {}).status_code == 303
    assert _draw(client, address, address)["parts-1-quantity"] == "2"


def test_what_a_page_was_drawn_with_is_not_trusted(client):
    sent = {"spares_percent": "5"}
    for drawn in ("", "null", "[1]", "[" * 5000, "{", "7"):
        assert client.post(SETTINGS, data=sent | {"drawn": drawn}).status_code == 409
