"""The sliders of the help: what they send, what is drawn for it, as a part and as a page, and what is refused."""

import pytest
from sqlalchemy import select

from app.store.models import BalloonTypeRow
from tests.places.page_states import states, wrong_fields
from tests.places.payloads import Page

PART = {"HX-Request-Type": "partial"}


def _get(client, part=True, **sent):
    return client.get("/help/curve", query_string=sent, headers=PART if part else {})


def _hours(client, which="median", **sent):
    page = _get(client, **sent)
    assert page.status_code == 200
    (chart,) = [tag for tag in states(page.text, "role") if tag["data-role"] == "chart"]
    return float(chart[f"data-{which}-hours"])


def _slider(page, name):
    return next(attrs for tag, attrs in Page(page.text).tags if tag == "input" and attrs.get("name") == name)


@pytest.mark.parametrize(
    ("sent", "hours"),
    [
        # Common practice for 11 inches at 20 °C; the others computed from it with the leak law.
        ({"size": "11", "load": "0.75", "celsius": "20", "altitude": "0"}, 15.0),
        ({"size": "10.5"}, 13.5),
        ({"size": "10"}, 11.8),
        ({"size": "9"}, 7.9),
        ({"celsius": "35"}, 15.0 * 0.548),
        ({"altitude": "1609"}, 12.1),
        ({"load": "0"}, 18.6),
        ({"load": "1"}, 14.0),
        ({"load": "2"}, 10.7),
        ({"load": "5"}, 4.5),
    ],
)
def test_the_hours_on_the_page_are_those_of_the_trade(client, sent, hours):
    assert _hours(client, **sent) == pytest.approx(hours, abs=0.06)


def test_a_treated_one_has_a_median_of_a_hundred_and_fifty_hours(client):
    """Source: from memory."""
    assert _hours(client, treated="1") == pytest.approx(150, abs=0.5)
    assert _hours(client, treated="0") == _hours(client) == pytest.approx(15.0, abs=0.06)


def test_the_safe_hours_follow_the_certainty_of_the_shop(client):
    """Source: computed with another integral, for one untreated balloon and for 22 of 24."""
    before = _hours(client, "safe")
    assert before == pytest.approx(0.6628 * _hours(client), abs=0.02)
    assert _hours(client, "batch") == pytest.approx(0.6276 * _hours(client), abs=0.02)
    client.post("/office/settings", data={"certainty_percent": "80"})
    assert _hours(client, "safe") > before


@pytest.mark.parametrize(
    ("units", "sent"),
    [
        ({"length": "cm"}, {"size": "25.4"}),
        ({"measures": "inches and ounces"}, {"altitude": "5280"}),
        ({"measures": "inches and ounces"}, {"load": "0.071"}),
        ({"temperature": "°F"}, {"celsius": "95"}),
    ],
)
def test_the_sliders_have_the_measures_of_the_shop(client, units, sent):
    metric = {"size": "10", "altitude": "1609.344", "load": "2.01", "celsius": "35"}
    (name,) = sent
    expected = _hours(client, **{name: metric[name]})
    plain = _slider(_get(client), name)
    client.post("/office/settings", data=units)
    assert _hours(client, **sent) == pytest.approx(expected, abs=0.03)
    shown = _slider(_get(client), name)
    assert shown["max"] != plain["max"]
    assert float(shown["min"]) <= float(sent[name]) <= float(shown["max"])


def test_a_slider_sends_a_point_where_the_shop_writes_a_comma(client):
    expected = _hours(client, load="1.125")
    client.post("/office/settings", data={"locale": "en_DE"})
    assert _hours(client, load="1.125") == _hours(client, load="1,125") == expected
    assert _slider(_get(client), "load")["value"] == "0.75"


def test_htmx_gets_the_part_and_a_browser_the_page(client):
    part, page = _get(client, size="10"), _get(client, part=False, size="10")
    assert part.text.lstrip().startswith('<div id="curve"')
    assert "<main" in page.text
    assert part.text.strip() in page.text
    assert "HX-Request-Type" in part.headers["Vary"]
    form = next(attrs for tag, attrs in Page(page.text).tags if tag == "form" and "curve-form" in attrs["class"])
    assert (form["method"], form["action"], form["hx-get"]) == ("get", "/help/curve", "/help/curve")
    assert any(tag == "button" and "curve-draw" in attrs.get("class", "") for tag, attrs in Page(part.text).tags)


def test_the_chapter_has_the_curve_of_the_shops_usual_balloon(client):
    page = client.get("/help/numbers")
    (chart,) = [tag for tag in states(page.text, "role") if tag["data-role"] == "chart"]
    assert float(chart["data-median-hours"]) == _hours(client)
    assert "curve-usual" not in page.text


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        *(("size", text) for text in ("x", "", "11.5", "0", "-3", "nan", "1e9")),
        *(("load", text) for text in ("-0.1", "9000", "inf")),
        *(("celsius", text) for text in ("46", "-11", "warm")),
        *(("altitude", text) for text in ("3001", "-1", "9" * 400)),
    ],
)
def test_what_cannot_be_drawn_gets_a_sentence_at_its_slider(client, name, wrong):
    page = _get(client, part=False, **{name: wrong})
    assert page.status_code == 422
    (field,) = wrong_fields(page.text)
    assert field.startswith(f"{name}-curve")
    assert not [tag for tag in states(page.text, "role") if tag["data-role"] == "chart"]


def test_each_balloon_type_of_latex_can_be_chosen_and_begins_full(client, session):
    names = {
        row.id: row
        for row in session.scalars(select(BalloonTypeRow).where(BalloonTypeRow.material == "latex"))
        if not row.air_only
    }
    assert len(names) > 5
    for row in names.values():
        page = _get(client, balloon=str(row.id), sized_for="0", size="2")
        assert page.status_code == 200
        assert float(_slider(page, "size")["value"]) == (row.rated_in or row.nominal_in)
        assert _slider(page, "sized_for")["value"] == str(row.id)


def test_a_balloon_type_that_is_not_there_is_the_usual_one(client):
    assert _hours(client, balloon="999999") == _hours(client, balloon="x") == _hours(client)


def test_what_is_too_heavy_does_not_float(client):
    assert _hours(client, load="9") == 0.0


def test_a_shop_without_latex_has_no_curve_and_no_error(client, session):
    for row in session.scalars(select(BalloonTypeRow).where(BalloonTypeRow.material == "latex")):
        row.air_only = True
    session.commit()
    for address in ("/help/curve", "/help/numbers"):
        page = client.get(address)
        assert page.status_code == 200
        assert not [tag for tag in states(page.text, "role") if tag["data-role"] == "chart"]
