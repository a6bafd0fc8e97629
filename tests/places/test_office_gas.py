"""Office: cylinders, what is left, which day it runs out, and what was used against what was filled."""

import csv
import io
import re
from datetime import timedelta

import pytest

from app.actions.gas.reconciliation import GasFinding
from app.places.office.cylinders import CONTENTS, RIGHT_FULL
from app.places.office.gas import CSV_HEAD
from app.store.models import Cylinder, CylinderReading
from app.web.wording.forms import (
    CHECK_YEAR,
    ENTER_PRESSURE,
    choose_from,
    enter_date,
    enter_number,
    enter_pressure,
)
from tests.later import coolprop
from tests.places.payloads import Page, take, words
from tests.places.test_query_budget import BUDGET, counted

ADA = {
    "client_key": "ada",
    "name": "Ada",
    "holds": "50",
    "holds_in": "water",
    "full": "200",
    "purity": "100",
    "came_on": "2026-11-19",
}


def add(client, **changes):
    return client.post("/office/gas/new", data=ADA | changes)


def press(client, act, number=1, key="", **more):
    sent = {"act": act, "client_key": key or f"{act} {more}"} | more
    return client.post(f"/office/gas/{number}/press", data=sent)


def gas(client):
    return client.get("/office/gas").text


def marks(text, attribute):
    """The attributes of each element of a page that has this one, in order."""
    return [attrs for _, attrs in Page(text).tags if attribute in attrs]


def mark(text, attribute):
    """The attributes of the one element that has this one."""
    (found,) = marks(text, attribute)
    return found


def ada(client):
    """What the page of the gas says of Ada: her condition and her last reading in bar; None where she is not
    listed."""
    shown = [one for one in marks(gas(client), "data-cylinder") if one["data-cylinder"].endswith("Ada")]
    return next(((one["data-condition"], one.get("data-bar")) for one in shown), None)


def outlook(client):
    """The litres that are left after all orders, and those that are short."""
    shown = mark(gas(client), "data-spare")
    return int(shown["data-spare"]), int(shown["data-short"])


def litres_of(bar, celsius=20.0):
    """By CoolProp: what comes out of Ada, in a room of that temperature, until 2 bar are left."""
    normal = coolprop.PropsSI("D", "T", celsius + 273.15, "P", 101325, "Helium")
    full, residual = (
        coolprop.PropsSI("D", "T", celsius + 273.15, "P", 101325 + gauge * 1e5, "Helium") for gauge in (bar, 2.0)
    )
    return 50 * (full - residual) / normal


ELEVENS = 24 * 11.4 * (1 + 3.5 / 101.325)
"""Gas in two dozen: 11.4 L in a sphere of 11 in, under 3.5 kPa."""


def the_cylinder(database):
    with database.reading() as session:
        row = session.query(Cylinder).one()
        return row.water_l, row.full_bar


def test_without_a_cylinder_it_says_that_nothing_is_said(client):
    assert "no-cylinders" in Page(gas(client)).by_id


def test_a_cylinder_that_came_is_shown_with_what_it_fills(client):
    assert add(client).status_code == 303
    page = gas(client)
    shown = mark(page, "data-cylinder")
    assert (shown["data-cylinder"], shown["data-litres"], shown["data-condition"]) == ("Ada", "9048", "full")
    assert (shown["data-bar"], shown["data-read"]) == ("200", "false")
    fills = re.findall(r'data-fills="([^"]+)">.*?<td>([0-9.]+) L</td><td>([0-9,]+)</td>', page, re.DOTALL)
    assert ("11 in latex", "11.8", "765") in fills
    assert ("18 in foil", "14", "646") in fills
    assert "none-in-use" in Page(page).by_id
    assert "52 °C / 125 °F" in page.split("gas-caution")[1].split("</p>")[0]
    assert outlook(client) == (9048, 0)


def test_the_same_form_twice_is_one_cylinder(client, database):
    for _ in range(2):
        assert add(client).status_code == 303
    assert the_cylinder(database) == (50, pytest.approx(200))


def test_a_content_in_cubic_metres_gives_its_inside(client, database):
    """FACTS: 50 L at 200 bar gauge hold 9.04 m³."""
    add(client, holds="9.04", holds_in="m3")
    assert the_cylinder(database)[0] == pytest.approx(50, rel=2e-3)


def test_a_content_in_cubic_feet_is_told_at_70_f(client, database):
    """From memory: 291 cu ft at 2640 psi in 49.5 L; at 15 °C its gauge says 2 % less than at 70 °F."""
    add(client, holds="291", holds_in="cuft", full="2,640 psi")
    water, bar = the_cylinder(database)
    assert water == pytest.approx(49.5, rel=6e-3)
    assert bar == pytest.approx(182.0 * 0.978, rel=3e-3)


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"name": ""}, "name", "1 to 40"),
        ({"holds": "much"}, "holds", enter_number(0.2, 200, "L")),
        ({"holds": "900"}, "holds", enter_number(0.2, 200, "L")),
        ({"holds_in": "pints"}, "holds_in", choose_from(CONTENTS.values())),
        ({"full": "lots"}, "full", ENTER_PRESSURE),
        ({"full": ""}, "full", RIGHT_FULL),
        ({"full": "320"}, "full", RIGHT_FULL),
        ({"purity": "101"}, "purity", enter_number(50, 100, "%")),
        ({"came_on": "soon"}, "came_on", enter_date("28/11")),
        ({"came_on": "1226-11-19"}, "came_on", CHECK_YEAR),
    ],
)
def test_what_cannot_be_has_its_sentence_and_loses_nothing(client, changes, field, sentence):
    answer = add(client, **changes)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem(field)
    assert page.values["client_key"] == "ada"
    for name, typed in (ADA | changes).items():
        if name != "holds_in":
            assert page.values[name] == typed


def test_a_gauge_is_read_in_psi_and_in_fahrenheit(client, database):
    add(client)
    client.post("/office/settings", data={"temperature": "°F"})
    assert press(client, "use", bar="2,000 psi", celsius="50").status_code == 303
    with database.reading() as session:
        reading = session.query(CylinderReading).one()
        assert (reading.bar, reading.celsius) == (pytest.approx(137.9, abs=0.05), pytest.approx(10))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"bar": ""}, ENTER_PRESSURE),
        ({"bar": "12 stone"}, ENTER_PRESSURE),
        ({"bar": "2000"}, enter_pressure(350, "bar", maybe_psi="2000")),
        ({"bar": "300"}, "203 bar"),
        ({"bar": "100", "celsius": "hot"}, enter_number(-40, 60, "°C")),
    ],
)
def test_a_reading_that_cannot_be_has_its_sentence(client, typed, sentence):
    add(client)
    answer = press(client, "read", **typed)
    assert answer.status_code == 422
    assert sentence in words(answer.text)
    assert f'value="{typed["bar"]}"' in answer.text


def test_a_reading_is_undone(client):
    add(client)
    press(client, "use", bar="150")
    press(client, "read", bar="50")
    assert ada(client) == ("in use", "50")
    assert int(mark(gas(client), "data-cylinder")["data-litres"]) == pytest.approx(litres_of(50), rel=2e-3)
    client.post("/office/gas/1/readings/2/undo")
    assert ada(client) == ("in use", "150")
    shown = marks(client.get("/office/gas/1").text, "data-bar")
    assert [(one["data-bar"], one.get("class")) for one in shown] == [("50", "undone"), ("150", None)]


def test_its_figures_are_changed(client, database):
    add(client)
    assert client.post("/office/gas/1", data=ADA | {"holds": "40"}).status_code == 303
    assert the_cylinder(database)[0] == 40
    wrong = client.post("/office/gas/1", data=ADA | {"holds": ""})
    assert (wrong.status_code, Page(wrong.text).values["holds"]) == (422, "")


def test_a_cylinder_goes_through_its_life(client):
    add(client)
    for act, bar, state in (
        ("use", "200", ("in use", "200")),
        ("aside", "120", ("part used", "120")),
        ("use", "120", ("in use", "120")),
        ("empty", "2", ("empty", None)),
        ("gone", "", ("gone back", None)),
        ("aside", "", ("part used", "2")),
    ):
        assert press(client, act, bar=bar, key=f"{act} {bar} {state}").status_code == 303
        assert ada(client) == state


def test_other_gas_says_what_it_does_to_the_hours(client):
    """FACTS: with helium of 92 % an 11-inch floats about 13.7 h."""
    add(client, purity="92")
    for page in (gas(client), client.get("/office/gas/1").text):
        assert "13.7 h" in page.split("data-purity>")[1].split("<")[0]
    client.post("/office/settings", data={"purity_percent": "92"})
    assert marks(gas(client), "data-purity") == []


def test_the_day_it_runs_out_is_told_by_day(client):
    add(client)
    take(client)
    press(client, "use", bar="4")
    page = gas(client)
    short = int(mark(page, "data-spare")["data-short"])
    assert short == pytest.approx(ELEVENS - litres_of(4), abs=2)
    assert mark(page, "data-day")["class"] == "short"
    assert re.search(rf"<td>284 L</td>\s*<td>{short} L short</td>", page)


def test_more_used_than_filled_shows(client, now):
    add(client)
    press(client, "use", bar="150")
    now.tick(timedelta(hours=2))
    press(client, "read", bar="120")
    assert [one["data-finding"] for one in marks(gas(client), "data-finding")] == [GasFinding.MORE_USED]
    now.tick(timedelta(hours=1))
    press(client, "read", bar="119", key="again")
    assert marks(gas(client), "data-finding")[0]["data-finding"] == GasFinding.MATCHES


def test_readings_as_a_table_for_elsewhere(client):
    add(client, name="=Ada")
    press(client, "use", bar="150", celsius="18")
    press(client, "read", bar="140")
    client.post("/office/gas/1/readings/2/undo")
    answer = client.get("/office/gas.csv")
    head, *rows = csv.reader(io.StringIO(answer.data.decode("utf-8-sig")))
    assert answer.mimetype == "text/csv"
    assert head == list(CSV_HEAD)
    assert rows[0] == ["'=Ada", "50", "150.0", "18", "2026-11-21T07:00:00+00:00", "somebody", "", ""]
    assert rows[1][6:] == ["2026-11-21T07:00:00+00:00", "somebody"]


def test_what_is_not_there_is_said(client):
    assert client.get("/office/gas/9").status_code == 404
    assert press(client, "read", 9, bar="100").status_code == 404
    add(client)
    assert client.post("/office/gas/1/readings/9/undo").status_code == 404
    assert press(client, "juggle").status_code == 422


def test_the_pages_cost_as_many_statements_with_many_cylinders_and_readings(app, client):
    counts = []
    for cylinders in (2, 6):
        for place in range(cylinders):
            add(client, name=f"Ada {place}", client_key=f"ada {place}")
            press(client, "use", place + 1, bar="150", key=f"use {place}")
            press(client, "read", place + 1, bar="140", key=f"read {cylinders} {place}")
        for address in ("/office/gas", "/bench/gas"):
            with counted(app) as statements:
                assert client.get(address).status_code == 200
            counts.append(len(statements))
    assert counts[:2] == counts[2:]
    assert max(counts) <= BUDGET
