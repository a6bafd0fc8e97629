"""The review in pictures: each picture, its table and its .csv have the same numbers, for any two dates."""

import csv
import io
import shutil
from datetime import date, timedelta

import pytest
from sqlalchemy import event, text, update

from app.actions.gas.reconciliation import compare_used_with_filled
from app.places.office.review import QUESTIONS, changes_between
from app.places.office.review_period import Period
from app.store.models import Order
from app.store.queries.gas import all_cylinders
from app.store.queries.review_sales import PeriodFigures
from tests.actions.builders import ctx
from tests.conftest import DEMO_NOON, open_unsafely
from tests.many_orders import copy_into_the_past
from tests.places.payloads import Page

NONE = PeriodFigures(0, 0, 0, 0, 0, 0.0, 0, 0, 0, 0, 0, 0, 0)
ADDRESS = "/office/review"
LAST_WEEKS = {"from": "2026-10-01", "to": "2026-11-21"}


@pytest.fixture(scope="module")
def lived(demo_file, tmp_path_factory):
    database = open_unsafely(shutil.copy(demo_file, tmp_path_factory.mktemp("asked") / "lived.sqlite"))
    with database.writing() as session:
        copy_into_the_past(session, 400, hours_between=12)
        session.execute(update(Order).where(Order.id % 7 == 1).values(late_reason="staff"))
    yield database
    database.engine.dispose()


@pytest.fixture
def client(shared_app, lived, monkeypatch):
    monkeypatch.setattr("app.web.clock.now", lambda: DEMO_NOON)
    shared_app.database = lived
    shared_app.forget()
    return shared_app.test_client()


def _tags(client, **dates):
    answer = client.get(ADDRESS, query_string=dates)
    assert answer.status_code == 200
    return [tag for _, tag in Page(answer.text).tags]


def _tables(tags):
    """The cells and the totals of each table, by its name."""
    found, name = {}, ""
    for tag in tags:
        if "data-table" in tag:
            name = tag["data-table"]
            found[name] = {"cells": [], "totals": {}}
        if "data-total" in tag:
            found[name]["totals"][tag["data-total"]] = int(tag["data-value"])
        elif "data-column" in tag:
            found[name]["cells"].append((tag["data-column"], tag.get("data-value")))
    return found


def test_every_total_is_the_sum_of_what_its_table_shows(client):
    tables = _tables(_tags(client, **LAST_WEEKS))
    assert len(tables) == 14
    checked = 0
    for name, table in tables.items():
        for column, total in table["totals"].items():
            values = [int(value) for head, value in table["cells"] if head == column and value != "None"]
            assert sum(values) == total, (name, column)
            checked += total > 0
    assert checked > 20


def test_each_bar_of_revenue_has_the_number_of_its_row(client):
    tags = _tags(client, **LAST_WEEKS)
    cells = [int(value) for head, value in _tables(tags)["sold"]["cells"] if head == "revenue"]
    first = next(place for place, tag in enumerate(tags) if tag.get("data-table") == "sold")
    until = next(place for place, tag in enumerate(tags) if tag.get("data-table") == "earned")
    drawn = [
        float(tag["data-value"])
        for tag in tags[first:until]
        if tag.get("class") == "chart-bar-0" and "data-value" in tag
    ]
    assert drawn == [value for value in cells if value]
    assert len(drawn) > 5


def test_the_figures_on_top_are_those_of_the_table_below(client):
    tags = _tags(client, **LAST_WEEKS)
    (now,) = (tag for tag in tags if tag.get("data-period") == "now")
    totals = _tables(tags)["sold"]["totals"]
    assert (int(now["data-orders"]), int(now["data-quick-sales"])) == (totals["orders"], totals["quick_sales"])
    assert (int(now["data-revenue"]), int(now["data-balloons"])) == (totals["revenue"], totals["balloons"])
    assert totals["revenue"] == totals["revenue_orders"] + totals["revenue_quick_sales"] > 0


def test_each_table_is_the_same_as_csv_with_the_mark_of_utf_8(client):
    tables = _tables(_tags(client, **LAST_WEEKS))
    for name, table in tables.items():
        answer = client.get(f"{ADDRESS}/{name}.csv", query_string=LAST_WEEKS)
        assert (answer.status_code, answer.mimetype) == (200, "text/csv")
        assert answer.data.startswith(b"\xef\xbb\xbf")
        rows = [*csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"), newline=""))]
        heads = {head for head, _ in table["cells"]}
        assert not rows or heads == rows[0].keys()
        assert len(rows) * len(heads) == len(table["cells"])


def test_a_customer_whose_name_is_a_formula_is_text_in_the_csv(client, lived):
    with lived.writing() as session:
        order = session.query(Order).filter(Order.unpaid.is_(True)).first()
        order.customer, kept = "=1+1", order.customer
    rows = client.get(f"{ADDRESS}/unpaid.csv", query_string=LAST_WEEKS).data.decode("utf-8-sig")
    assert "'=1+1" in rows
    with lived.writing() as session:
        session.execute(update(Order).where(Order.customer == "=1+1").values(customer=kept))


@pytest.mark.parametrize("name", ["moon", "burst", "burst-moon", "sold-"])
def test_there_is_no_csv_of_anything_else(client, name):
    assert client.get(f"{ADDRESS}/{name}.csv").status_code == 404


def test_a_bar_leads_to_as_many_orders_as_it_counts(client):
    tags = _tags(client, **{"from": "2026-11-20", "to": "2026-11-20"})
    totals = _tables(tags)["sold"]["totals"]
    address = next(tag["href"] for tag in tags if "counted=sold" in tag.get("href", ""))
    (listed,) = (int(tag["data-rows"]) for _, tag in Page(client.get(address).text).tags if "data-page" in tag)
    assert listed == totals["orders"] + totals["quick_sales"] > 0


def _statements(client, app, dates):
    asked = []
    listen = ("before_cursor_execute", lambda *call: asked.append(call[2]))
    client.get(ADDRESS, query_string=dates)
    event.listen(app.database.engine, *listen)
    _tags(client, **dates)
    event.remove(app.database.engine, *listen)
    return len(asked)


def test_it_asks_as_much_of_many_orders_as_of_none(client, shared_app):
    many = _statements(client, shared_app, LAST_WEEKS)
    assert _statements(client, shared_app, {"from": "2019-01-01", "to": "2019-01-02"}) == many <= 30


def test_each_question_has_its_pictures_and_an_empty_one_says_so(client):
    tags = _tags(client, **LAST_WEEKS)
    assert [tag["data-question-of-review"] for tag in tags if "data-question-of-review" in tag] == [*QUESTIONS]
    pictures = sum(tag.get("data-role") == "chart" for tag in tags)
    nothing = sum("data-none" in tag for tag in tags)
    assert (pictures + nothing, pictures > 8) == (14, True)
    of_old = _tags(client, **{"from": "2010-01-01", "to": "2010-01-07"})
    assert not [tag for tag in of_old if tag.get("data-role") == "chart" and "data-none" in tag]
    assert sum("data-none" in tag for tag in of_old) >= 11


@pytest.mark.parametrize(("days", "name"), [(1, "day"), (7, "week"), (28, "month"), (364, "year")])
def test_a_usual_period_is_compared_with_the_same_weekdays(shop_opening, days, name):
    last = date(2026, 11, 21)
    period = Period(last - timedelta(days=days - 1), last, shop_opening)
    assert period.before.last == period.first - timedelta(days=1)
    assert period.before.days == period.year_before.days == days
    assert (period.first - period.year_before.first).days == 364
    assert period.year_before.first.weekday() == period.first.weekday()
    assert period.steps[0].first == period.first
    assert period.steps[-1].last == period.last
    assert len(period.step_bounds) == len(period.steps) + 1
    assert len(period.steps) == {"day": 1, "week": 7, "month": 4, "year": 52}[name]


@pytest.fixture
def shop_opening(session):
    return ctx(session).shop.opening


def test_only_what_has_changed_is_said():
    same = PeriodFigures(50, 5, 900, 12, 90_000, 2e8, 80_000, 40_000, 5, 10, 10, 10, 20)
    assert not [name for name, change in changes_between(same, same, 1, 1).items() if change.is_one]
    assert not [name for name, change in changes_between(NONE, NONE, 0, 0).items() if change.is_one]
    worse = PeriodFigures(20, 5, 400, 60, 30_000, 6e7, 30_000, 20_000, 12, 4, 4, 4, 8)
    changed = {name for name, change in changes_between(worse, same, 1, 1).items() if change.is_one}
    assert changed == {"orders", "revenue", "burst", "late"}


def test_at_most_three_changes_are_said(client):
    (on_top,) = (tag["data-changes"] for tag in _tags(client, **LAST_WEEKS) if "data-changes" in tag)
    said = [tag["data-change"] for tag in _tags(client, **LAST_WEEKS) if "data-change" in tag]
    assert on_top.split() == said
    assert len(said) <= 3


def test_helium_is_what_the_gauges_and_the_taps_say(client, lived):
    with lived.reading() as session:
        asked = ctx(session, now=DEMO_NOON)
        compared = compare_used_with_filled(asked, all_cylinders(session))
        known = [one for one in compared if not one.unread]
    table = _tables(_tags(client, **LAST_WEEKS))["helium"]
    drawn = [int(value) for head, value in table["cells"] if head == "litres_drawn"]
    assert drawn == [round(one.used) for one in known] != []
    assert table["totals"].get("litres_calculated", 0) == sum(round(one.filled) for one in known)


def test_a_reason_leads_to_as_many_orders_as_it_counts(client, lived):
    dates = {"from": "2026-11-01", "to": "2026-11-19"}
    with lived.writing() as session:
        session.execute(text("UPDATE orders SET ready_by = ready_by - 90000 WHERE late_reason = 'staff'"))
    tags = _tags(client, **dates)
    late = [int(value) for head, value in _tables(tags)["late"]["cells"] if head in ("late", "missed")]
    address = next(tag["href"] for tag in tags if "reason=staff" in tag.get("href", ""))
    (listed,) = (int(tag["data-rows"]) for _, tag in Page(client.get(address).text).tags if "data-page" in tag)
    assert listed == sum(late[:2]) > 0
    assert client.get("/counter/orders?counted=late&reason=moon").status_code == 422
