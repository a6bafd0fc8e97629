"""The review: each picture, its table and its .csv have the same numbers, for any two dates."""

import csv
import io
import shutil
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis.strategies import dates, integers
from sqlalchemy import event, text, update

from app.actions.gas.reconciliation import compare_used_with_filled
from app.places.office.review import QUESTIONS, changes_between
from app.places.office.review_period import Period, whole_before
from app.places.office.review_shown import MOST_ROWS
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
        shown = min(len(rows), MOST_ROWS + 1)
        assert shown * len(heads) == len(table["cells"])


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


def _listed(client, address):
    """How many orders the list at an address has, on all of its pages."""
    count = 0
    for page in range(1, 100):
        tags = [tag for _, tag in Page(client.get(f"{address}&page={page}").text).tags]
        count += next(int(tag["data-rows"]) for tag in tags if "data-page" in tag)
        if not any(f"page={page + 1}" in tag.get("href", "") for tag in tags):
            return count
    raise AssertionError(address)


def test_a_bar_leads_to_as_many_orders_as_it_counts(client):
    tags = _tags(client, **{"from": "2026-11-20", "to": "2026-11-20"})
    totals = _tables(tags)["sold"]["totals"]
    address = next(tag["href"] for tag in tags if "counted=sold" in tag.get("href", ""))
    assert _listed(client, address) == totals["orders"] + totals["quick_sales"] > 0


def _cells_by_address(tags, table):
    """The numbers of each row of a table that leads to orders, by that address."""
    found, here, address = {}, False, ""
    for tag in tags:
        if "data-table" in tag:
            here = tag["data-table"] == table
        if here and "data-row-address" in tag:
            address = tag["data-row-address"]
        if here and "data-column" in tag and address:
            found.setdefault(address, {})[tag["data-column"]] = tag.get("data-value")
    return {one: cells for one, cells in found.items() if "counted=" in one}


@pytest.mark.parametrize(("table", "column"), [("earned", "orders"), ("returning", "orders"), ("shares", "sold")])
def test_a_part_of_the_orders_leads_to_as_many_as_it_counts(client, table, column):
    rows = _cells_by_address(_tags(client, **LAST_WEEKS), table)
    assert rows
    for address, cells in rows.items():
        assert _listed(client, address) == int(cells[column]), address


def test_each_hour_leads_to_the_orders_that_were_taken_in_it(client):
    tags = _tags(client, **LAST_WEEKS)
    hours = {tag["href"]: tag["aria-label"] for tag in tags if "counted=taken" in tag.get("href", "")}
    assert len(hours) > 3
    for address, said in hours.items():
        assert _listed(client, address) == int(said.rpartition(" ")[2])


@pytest.mark.parametrize("table", ["burst-types", "burst-colours", "burst-lots", "hours"])
def test_what_was_filled_leads_to_its_orders(client, lived, table):
    rows = _cells_by_address(_tags(client, **LAST_WEEKS), table)
    assert rows
    for address, cells in rows.items():
        filled = cells.get("filled") or cells.get("batches")
        assert (_listed(client, address) > 0) == (int(filled) > 0) or cells.get("burst") != "0", address


def test_all_hours_at_the_bench_lead_to_all_timed_orders(client):
    tags = _tags(client, **LAST_WEEKS)
    hours = {tag["href"] for tag in tags if "counted=timed&of=hour" in tag.get("href", "")}
    found = [_listed(client, address) for address in hours]
    dates = f"from={LAST_WEEKS['from']}&to={LAST_WEEKS['to']}"
    assert sum(found) >= _listed(client, f"/counter/orders?{dates}&counted=timed") > 0
    assert min(found) > 0


@pytest.mark.parametrize(
    "part", ["moon", "lot", "lot-x", "hour-7-1", "hour-1", "hour-1-24", "treated-1", "type-9999999999"]
)
def test_there_are_no_orders_of_another_part(client, part):
    assert client.get("/counter/orders", query_string={"counted": "sold", "of": part}).status_code == 422


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
    none = _statements(client, shared_app, {"from": "2019-01-01", "to": "2019-01-02"})
    assert none == many - 1 <= 30  # without two readings, what was filled between them is not asked


def test_each_question_has_its_pictures_and_an_empty_one_says_so(client):
    tags = _tags(client, **LAST_WEEKS)
    assert [tag["data-question-of-review"] for tag in tags if "data-question-of-review" in tag] == [*QUESTIONS]
    pictures = sum(tag.get("data-role") == "chart" for tag in tags)
    nothing = sum("data-none" in tag for tag in tags)
    assert (pictures + nothing, pictures > 8) == (14, True)
    of_old = _tags(client, **{"from": "2010-01-01", "to": "2010-01-07"})
    assert not [tag for tag in of_old if tag.get("data-role") == "chart" and "data-none" in tag]
    assert sum("data-none" in tag for tag in of_old) >= 11


@pytest.mark.parametrize(
    ("first", "last", "sort", "before", "year_before", "steps"),
    [
        ("2026-11-20", "2026-11-20", "day", "2026-11-19 2026-11-19", "2025-11-21 2025-11-21", 1),
        ("2026-11-15", "2026-11-21", "days", "2026-11-08 2026-11-14", "2025-11-16 2025-11-22", 7),
        ("2026-11-16", "2026-11-20", "week", "2026-11-09 2026-11-13", "2025-11-17 2025-11-21", 5),
        ("2026-11-01", "2026-11-21", "month", "2026-10-01 2026-10-21", "2025-11-01 2025-11-21", 3),
        ("2026-03-01", "2026-03-30", "month", "2026-02-01 2026-02-28", "2025-03-01 2025-03-30", 5),
        ("2026-02-01", "2026-02-28", "month", "2026-01-01 2026-01-31", "2025-02-01 2025-02-28", 4),
        ("2026-01-01", "2026-01-31", "month", "2025-12-01 2025-12-31", "2025-01-01 2025-01-31", 5),
        ("2028-01-01", "2028-02-29", "year", "2027-01-01 2027-02-28", "2027-01-01 2027-02-28", 9),
        ("2027-01-01", "2027-12-31", "year", "2026-01-01 2026-12-31", "2026-01-01 2026-12-31", 53),
    ],
)
def test_a_period_of_the_calendar_is_compared_with_the_same_days(
    shop_opening, first, last, sort, before, year_before, steps
):
    period = Period(date.fromisoformat(first), date.fromisoformat(last), shop_opening)
    assert period.sort == sort
    assert f"{period.before.first} {period.before.last}" == before
    assert f"{period.year_before.first} {period.year_before.last}" == year_before
    assert [*period.compared] == (["year_before"] if sort == "year" else ["before", "year_before"])
    assert len(period.steps) == steps


@given(dates(date(2001, 1, 1), date(2080, 1, 1)), integers(0, 900))
def test_the_steps_of_what_is_compared_have_each_of_its_days_once(shop_opening, first, days):
    period = Period(first, first + timedelta(days=days), shop_opening)
    for one in (period, *period.compared.values(), whole_before(period)):
        steps = period.steps_of(one)
        assert (steps[0].first, steps[-1].last) == (one.first, one.last)
        assert all(step.last + timedelta(days=1) == after.first for step, after in pairwise(steps))
        assert len(steps) <= len(period.steps)
    assert whole_before(period).last < period.first


@pytest.mark.parametrize(
    ("first", "last", "earlier"),
    [
        ("2026-11-16", "2026-11-20", "2026-11-09 2026-11-15"),
        ("2026-11-01", "2026-11-21", "2026-10-01 2026-10-31"),
        ("2026-01-01", "2026-11-21", "2025-01-01 2025-12-31"),
        ("2025-01-01", "2025-12-31", "2024-01-01 2024-12-31"),
        ("2026-11-15", "2026-11-21", "2026-11-08 2026-11-14"),
    ],
)
def test_the_period_before_is_whole(shop_opening, first, last, earlier):
    found = whole_before(Period(date.fromisoformat(first), date.fromisoformat(last), shop_opening))
    assert f"{found.first} {found.last}" == earlier


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ({}, "days"),
        ({"from": "2026-11-21"}, "day"),
        ({"from": "2026-11-16"}, "week"),
        ({"from": "2026-11-01"}, "month"),
        ({"from": "2026-01-01"}, "year"),
        ({"from": "2026-11-16", "to": "2026-11-20"}, ""),
    ],
)
def test_a_usual_period_is_the_one_that_is_pressed(client, asked, name):
    pressed = [
        tag["data-preset"] for tag in _tags(client, **asked) if tag.get("aria-current") and "data-preset" in tag
    ]
    assert pressed == ([name] if name else [])


@pytest.fixture(scope="module")
def shop_opening(lived):
    with lived.reading() as session:
        return ctx(session, now=DEMO_NOON).shop.opening


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
