"""What is pressed on a cylinder by mistake is asked about, and what is said of it are whole sentences."""

import re
from datetime import timedelta

import pytest

from tests.places.payloads import Page, take, words
from tests.places.test_bench_gas import put_venue_order, read
from tests.places.test_office_gas import ADA, ELEVENS, add, gas, litres_of, press, told


def page_of(client):
    return client.get("/office/gas/1").text


def test_a_cylinder_does_not_come_tomorrow_by_the_shops_day(client, now):
    """The tests' shop is in London: at 23:30 in UTC on 21 November it is still that day there."""
    now.tick(timedelta(hours=16, minutes=30))
    answer = add(client, came_on="2026-11-22")
    assert answer.status_code == 422
    assert "the day on which it came: today or before" in Page(answer.text).problem("came_on")
    assert "No cylinder was entered yet" in gas(client)
    assert add(client, came_on="2026-11-21").status_code == 303
    assert client.post("/office/gas/1", data=ADA | {"came_on": "2026-11-22"}).status_code == 422


@pytest.mark.parametrize("where", ["/bench/gas/1", "/office/gas/1/press"])
def test_a_gauge_that_rose_is_asked_about_once(client, where):
    add(client)
    press(client, "use", bar="36")
    asked = client.post(where, data={"act": "read", "client_key": "a", "bar": "50"})
    assert asked.status_code == 422
    assert "It said 36 bar before: is 50 right?" in words(asked.text)
    assert 'name="sure" value="read">Yes, it is' in asked.text
    assert "in use 36 bar" in gas(client)
    answer = client.post(where, data={"sure": "read", "client_key": "b", "bar": "50"})
    assert answer.status_code == 303
    assert "The gauge of Ada is noted." in words(client.get(answer.location).text)
    assert "in use 50 bar" in gas(client)


def test_enter_in_a_gauge_only_notes(client):
    """The first button of a form is the one that Enter presses (HTML, implicit submission)."""
    add(client)
    form = client.get("/bench/gas").text.split('class="gas-press"')[1].split("</form>")[0]
    assert form.index('value="read"') < form.index('value="use"')
    assert re.search(r'class="tap-button main"\s+data-tap\s+name="act"\s+value="use"', form)
    assert re.search(r'class="tap-button quiet"\s+data-tap\s+name="act"\s+value="read"', form)


def test_a_full_cylinder_is_asked_about_before_it_is_off_the_list(client):
    add(client)
    for act, label in (("empty", "Ada is empty"), ("gone", "Ada has gone back")):
        folded = page_of(client).split("<details")
        assert any(f'value="{act}">{label}' in one.split("</details>")[0] for one in folded[1:])
        assert f'value="{act}"' not in folded[0]


@pytest.mark.parametrize(("act", "label"), [("empty", "Not empty: stands by"), ("gone", "Still here: stands by")])
def test_what_was_put_away_by_mistake_is_full_again(client, act, label):
    add(client)
    press(client, "read", bar="203")
    press(client, act)
    said = words(page_of(client))
    assert f"under “Empty, or gone back”, with the button “{label}”." in said
    assert label in said.split("Gauge and state")[1]
    press(client, "aside")
    assert "Ada stands by, full." in words(page_of(client))
    assert "full 203 bar" in gas(client)


def test_one_that_was_begun_is_not_full_again(client):
    add(client)
    press(client, "read", bar="120")
    press(client, "gone")
    press(client, "aside")
    assert "Ada stands by, begun." in words(page_of(client))


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"holds": "x"}, "holds", "“x” is not a number: 0.2 to 200 L."),
        ({"holds": "50", "holds_in": "m3", "full": "1"}, "holds", "That is an inside of 25,"),
        ({"full": "2640"}, "full", "If it is psi, write 2640 psi."),
    ],
)
def test_sentences_about_figures(client, changes, field, sentence):
    assert sentence in Page(add(client, **changes).text).problem(field)


def test_a_name_that_is_taken(client):
    add(client, name="A")
    said = Page(add(client, name="A", client_key="two").text).problem("name")
    assert said == "“A” is at the shop already: another name, please."


@pytest.mark.parametrize("typed", ["2200", "2,200"])
def test_psi_without_its_unit_is_told(client, typed):
    add(client)
    said = words(read(client, "read", bar=typed).text)
    assert "out of range: 0 to 350 bar. If it is psi, write 2200 psi." in said


def test_what_goes_along_is_said(client, database):
    add(client)
    number = put_venue_order(database)
    sent = {"act": "along", "client_key": "along", "number": number}
    client.post(f"/counter/orders/{number}/gas/1", data=sent)
    said = words(client.get(f"/counter/orders/{number}").text)
    assert "Ada goes along. Its gauge is read when it is back." in said
    client.post(f"/counter/orders/{number}/gas/1", data={"act": "back", "client_key": "b", "bar": "180"})
    assert "Ada is back from the venue." in words(client.get(f"/counter/orders/{number}").text)


def test_what_stays_over_is_said_and_what_it_would_fill(client):
    add(client)
    take(client)
    press(client, "use", bar="10")
    said = gas(client)
    over = told(said, "Helium: enough for all orders, the last on Saturday 21 November; ", " L stay over.")
    assert over == pytest.approx(litres_of(10) - ELEVENS, abs=2)
    assert "What stays over would fill" in said
    assert f"11 in latex 11.8 L {int(over / (ELEVENS / 24))} " in said
