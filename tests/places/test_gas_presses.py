"""What is pressed on a cylinder by mistake is asked about, and can be undone."""

import re
from datetime import timedelta

import pytest

from app.web.wording.forms import enter_number, enter_pressure
from tests.places.marks import text_of
from tests.places.payloads import Page, take, words
from tests.places.test_bench_gas import put_venue_order, read
from tests.places.test_office_gas import ADA, ELEVENS, ada, add, gas, litres_of, mark, outlook, press


def page_of(client):
    return client.get("/office/gas/1").text


def button(page, act):
    """What the button of this act says."""
    return re.search(rf'name="act"\s+value="{act}">([^<]+)<', page)[1]


def test_a_cylinder_does_not_come_tomorrow_by_the_shops_day(client, now):
    """The tests' shop is in London: at 23:30 in UTC on 21 November it is still that day there."""
    now.tick(timedelta(hours=16, minutes=30))
    answer = add(client, came_on="2026-11-22")
    assert answer.status_code == 422
    assert Page(answer.text).problem("came_on")
    assert "no-cylinders" in Page(gas(client)).by_id
    assert add(client, came_on="2026-11-21").status_code == 303
    assert client.post("/office/gas/1", data=ADA | {"came_on": "2026-11-22"}).status_code == 422


@pytest.mark.parametrize("where", ["/bench/gas/1", "/office/gas/1/press"])
def test_a_gauge_that_rose_is_asked_about_once(client, where):
    add(client)
    press(client, "use", bar="36")
    asked = client.post(where, data={"act": "read", "client_key": "a", "bar": "50"})
    assert asked.status_code == 422
    question = Page(asked.text).problem("bar-1")
    assert "36 bar" in question
    assert "50 bar" in question
    assert 'name="sure" value="read">' in asked.text
    assert ada(client) == ("in use", "36")
    answer = client.post(where, data={"sure": "read", "client_key": "b", "bar": "50"})
    assert answer.status_code == 303
    assert ada(client) == ("in use", "50")


def test_enter_in_a_gauge_only_notes(client):
    """The first button of a form is the one that Enter presses (HTML, implicit submission)."""
    add(client)
    form = client.get("/bench/gas").text.split('class="gas-press"')[1].split("</form>")[0]
    assert form.index('value="read"') < form.index('value="use"')
    assert re.search(r'class="tap-button main"\s+data-tap\s+name="act"\s+value="use"', form)
    assert re.search(r'class="tap-button quiet"\s+data-tap\s+name="act"\s+value="read"', form)


def test_a_full_cylinder_is_asked_about_before_it_is_off_the_list(client):
    add(client)
    for act in ("empty", "gone"):
        folded = page_of(client).split("<details")
        assert any(f'value="{act}"' in one.split("</details>")[0] for one in folded[1:])
        assert f'value="{act}"' not in folded[0]


@pytest.mark.parametrize("act", ["empty", "gone"])
def test_what_was_put_away_by_mistake_is_full_again(client, act):
    add(client)
    press(client, "read", bar="203")
    press(client, act)
    page = page_of(client)
    named = re.findall(r"“([^”]+)”", words(page))
    heading = text_of(client.get("/office/gas").text, "put-away")
    assert named[:2] == [heading, button(page, "aside")]
    press(client, "aside")
    assert ada(client) == ("full", "203")


def test_one_that_was_begun_is_not_full_again(client):
    add(client)
    press(client, "read", bar="120")
    press(client, "gone")
    press(client, "aside")
    assert ada(client) == ("part used", "120")


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"holds": "x"}, "holds", enter_number(0.2, 200, "L")),
        ({"holds": "50", "holds_in": "m3", "full": "1"}, "holds", "25,"),
        ({"full": "2640"}, "full", enter_pressure(350, "bar", maybe_psi="2640")),
    ],
)
def test_sentences_about_figures(client, changes, field, sentence):
    assert sentence in Page(add(client, **changes).text).problem(field)


def test_a_name_that_is_taken(client):
    add(client, name="A")
    answer = add(client, name="A", client_key="two")
    assert answer.status_code == 422
    assert "“A”" in Page(answer.text).problem("name")


@pytest.mark.parametrize("typed", ["2200", "2,200"])
def test_psi_without_its_unit_is_asked_about(client, typed):
    add(client)
    problem = Page(read(client, "read", bar=typed).text).problem("bar-1")
    assert problem == enter_pressure(350, "bar", maybe_psi="2200")


def test_what_goes_along_and_comes_back_is_said_on_the_order(client, database):
    add(client)
    number = put_venue_order(database)
    sent = {"act": "along", "client_key": "along", "number": number}
    client.post(f"/counter/orders/{number}/gas/1", data=sent)
    assert mark(client.get(f"/counter/orders/{number}").text, "data-going")["data-going"] == "Ada"
    assert ada(client) == ("at venue", "200")
    client.post(f"/counter/orders/{number}/gas/1", data={"act": "back", "client_key": "b", "bar": "180"})
    assert "data-going" not in client.get(f"/counter/orders/{number}").text
    assert ada(client) == ("part used", "180")


def test_what_is_left_is_said_and_what_it_would_fill(client):
    add(client)
    take(client)
    press(client, "use", bar="10")
    left, short = outlook(client)
    assert (left, short) == (pytest.approx(litres_of(10) - ELEVENS, abs=2), 0)
    assert f"<td>11.8 L</td><td>{int(left / (ELEVENS / 24))}</td>" in gas(client)
