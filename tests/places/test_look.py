"""How the pages look on a device: light or dark, and the swatches of the shop's colours."""

import re

import pytest

from app.quoting.colour_looks import ColourLook
from app.quoting.states import Finish
from app.web.drawings.swatches import colour_look
from tests.places.page_states import flashes, states
from tests.places.payloads import Page, take

COLOURS = "/office/balloon-types/colours"
DUSK = {"name": "Dusk", "fill": "#112233", "finish": "clear"}


def _look(client, address="/bench"):
    """What the page says of its look; None if it follows the device."""
    (page,) = [attrs for tag, attrs in Page(client.get(address).text).tags if tag == "html"]
    return page.get("data-look")


def _pressed(client):
    """The looks whose button is pressed."""
    buttons = [attrs for _, attrs in Page(client.get("/staff/").text).tags if attrs.get("name") == "look"]
    assert [one["value"] for one in buttons] == ["", "light", "dark"]
    return [one["value"] for one in buttons if one.get("aria-pressed") == "true"]


def test_pages_follow_the_device_until_somebody_chooses(client):
    assert (_look(client), _pressed(client)) == (None, [""])


def test_the_focus_stays_on_the_look_that_was_pressed(client):
    answer = client.post("/staff/look", data={"look": "dark"}, follow_redirects=True)
    assert [attrs.get("value") for _, attrs in Page(answer.text).tags if "autofocus" in attrs] == ["dark"]
    fresh = Page(client.get("/staff/").text)
    assert not [attrs for _, attrs in fresh.tags if "autofocus" in attrs]


def test_a_look_is_chosen_for_this_device_alone_and_can_be_given_up(app, client):
    for look in ("dark", "light"):
        assert client.post("/staff/look", data={"look": look}).location.startswith("/staff/")
        assert (_look(client), _look(client, "/help"), _pressed(client)) == (look, look, [look])
    assert _look(app.test_client()) is None
    client.post("/staff/look", data={"look": ""})
    assert (_look(client), _pressed(client)) == (None, [""])


def test_an_unknown_look_changes_nothing(client):
    client.post("/staff/look", data={"look": "dark"})
    client.post("/staff/look", data={"look": "loud"})
    client.post("/staff/look", data={})
    assert _look(client) == "dark"


def test_the_name_in_the_header_leads_to_the_switch(client):
    (link,) = [attrs for _, attrs in Page(client.get("/bench").text).tags if attrs.get("class") == "who"]
    page = Page(client.get(link["href"]).text)
    assert any(attrs.get("action") == "/staff/look" for _, attrs in page.tags)


def _fill_of(text, name):
    """The fill of the swatch that stands before a name in a row heading."""
    return re.search(rf'fill="([^"]+)"/>\s*<ellipse[^>]*>\s*</svg>\s*{name}', text)[1]


def test_a_colour_of_the_shops_own_is_drawn_so_wherever_it_stands(client):
    assert client.post(COLOURS, data=DUSK).status_code == 303
    page = client.get(COLOURS).text
    (row,) = states(page, "fill")
    assert (row["data-colour"], row["data-fill"], row["data-finish"]) == ("dusk", "#112233", "clear")
    assert flashes(page) == 1
    assert _fill_of(page, "Dusk") == "#112233"


def test_saved_again_it_looks_anew_and_removed_as_before(client):
    client.post(COLOURS, data=DUSK)
    client.post(COLOURS, data=DUSK | {"name": "DUSK", "fill": "#AABBCC", "finish": "metallic"})
    (row,) = states(client.get(COLOURS).text, "fill")
    assert (row["data-fill"], row["data-finish"]) == ("#aabbcc", "metallic")
    assert client.post(f"{COLOURS}/dusk/remove").status_code == 303
    assert states(client.get(COLOURS).text, "fill") == []
    assert client.post(f"{COLOURS}/dusk/remove").status_code == 404


def test_a_stocked_colour_is_offered_and_fills_the_form_in(client):
    received = {"client_key": "lot", "colour": "Red", "count": "90", "day": "2026-11-20"}
    client.post("/office/stock/balloon-type/4", data=received)
    assert [one["data-stocked"] for one in states(client.get(COLOURS).text, "stocked")] == ["Red"]
    form = Page(client.get(f"{COLOURS}?name=Red").text).values
    assert (form["name"], form["fill"], form["finish"]) == ("Red", "#c8102e", "plain")
    client.post(COLOURS, data={"name": "red", "fill": "#ee0000", "finish": "plain"})
    assert states(client.get(COLOURS).text, "stocked") == []


RECEIVED = {"client_key": "lot", "colour": "Dusk", "count": "4", "day": "2026-11-20"}
SWATCHED = [
    # address, in which colours stand that are a swatch each
    ("/bench/fetch-list", ["red", "white"]),
    ("/office/stock", ["Dusk", "red", "white"]),
    ("/office/stock/balloon-type/4", ["Dusk", "red", "white"]),
    ("/office/stock/buying", ["red", "white"]),
    ("/counter/orders/{0}", ["red", "white"]),
    ("/counter/orders/{0}/confirmation", ["red", "white"]),
]


@pytest.mark.parametrize(("address", "names"), SWATCHED)
def test_each_colour_has_its_swatch(client, number, address, names):
    client.post("/office/stock/balloon-type/4", data=RECEIVED)
    client.post(COLOURS, data=DUSK)
    main = client.get(address.format(number)).text.partition("<main")[2]
    drawn = re.findall(r'class="swatch-skin"[^>]*fill="([^"]+)"', main)
    own = {"dusk": ColourLook("#112233", Finish.CLEAR)}
    assert {colour_look(name, own).fill for name in names} <= set(drawn)
    for name in names:
        assert re.search(rf"</svg>\s*&nbsp;(?:\d+ )?{name}\b", main), name


def test_the_drawing_of_a_ticket_has_the_colours_of_the_shops_own_too(client):
    number = take(client, lines__0__what="balloon_type:4", lines__0__colours="12 dusk, 12 white")
    address = f"/bench/batches/{number}-1"
    before = client.get(address).text
    client.post(COLOURS, data=DUSK)
    assert "#112233" not in before
    assert client.get(address).text.count('fill="#112233"') >= 2
