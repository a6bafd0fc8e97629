"""The review of many orders: some to a page, and the sums of all on each."""

import csv
import io
from datetime import timedelta

import pytest
from sqlalchemy import event, insert, inspect, select, update

from app.places.office.review_orders import PAGE_SIZE
from app.store.models import Order
from tests.places.payloads import Page, take

ORDERS = 2 * PAGE_SIZE + 30
ALL = {"from": "2026-01-01", "to": "2026-12-31"}


@pytest.fixture
def many(client, database, now):
    """Three pages of orders that were handed over one hour apart, each a penny dearer than the one before. Every
    other one cost the shop £5.00; what the others cost is not known. One in ten was ready too late."""
    number = take(client)
    with database.writing() as session:
        first = session.scalars(select(Order).where(Order.number == number)).one()
        columns = [column.key for column in inspect(Order).column_attrs]
        values = {name: getattr(first, name) for name in columns if name != "id"}
        session.execute(
            insert(Order), [{**values, **_nth(values, nth), "number": number + nth} for nth in range(1, ORDERS)]
        )
        session.execute(update(Order).where(Order.number == number).values(_nth(values, 0)))
    return range(number, number + ORDERS)


def _nth(values, nth):
    handed_over = values["ready_by"] - timedelta(hours=nth + 1)
    return {
        "client_key": f"many-{nth}",
        "state": "handed over",
        "handed_over_at": handed_over,
        "ready_by": handed_over - timedelta(minutes=90) if nth % 10 == 0 else handed_over,
        "total_minor": 1000 + nth,
        "tax_minor": 0,
        "cost_minor": 500 if nth % 2 == 0 else None,
    }


def _page(client, **more):
    found = [tag for _, tag in Page(client.get("/office/review/orders", query_string=ALL | more).text).tags]
    (totals,) = (tag for tag in found if "data-orders" in tag)
    place = [tag for tag in found if "data-of" in tag]
    return totals, [tag for tag in found if "data-order" in tag], place


def test_each_page_has_its_orders_and_together_they_are_all(client, many):
    pages = [_page(client, page=number)[1] for number in (1, 2, 3)]
    assert [len(rows) for rows in pages] == [PAGE_SIZE, PAGE_SIZE, 30]
    numbers = [int(row["data-order"]) for rows in pages for row in rows]
    assert numbers == sorted(many, reverse=True)  # the last one was handed over first


def test_the_totals_of_each_page_are_the_sums_of_all_rows(client, many):
    rows = [row for number in (1, 2, 3) for row in _page(client, page=number)[1]]
    names = ("data-revenue", "data-net", "data-cost", "data-profit", "data-balloons", "data-bursts")
    for number in (1, 3):
        totals = _page(client, page=number)[0]
        assert {name: int(totals[name]) for name in names} == {
            name: sum(int(row[name] or 0) for row in rows) for name in names
        }
        assert int(totals["data-orders"]) == ORDERS == len(rows)
        assert int(totals["data-on-time"]) == sum(row["data-minutes-late"] == "0" for row in rows) == ORDERS * 0.9


def test_a_page_says_which_orders_it_has_and_leads_to_those_beside_it(client, many):
    def led_to(number):
        text = client.get("/office/review/orders", query_string=ALL | {"page": number}).text
        return {one for one in (1, 2, 3, 4) if f"page={one}" in text}

    (place,) = _page(client, page=2)[2]
    assert [place[name] for name in ("data-first", "data-last", "data-of")] == ["101", "200", str(ORDERS)]
    assert [led_to(number) for number in (1, 2, 3)] == [{2}, {3}, {2}]


@pytest.mark.parametrize(("asked", "shown"), [("", 1), ("0", 1), ("-1", 1), ("last", 1), ("99", 201)])
def test_a_page_that_there_is_not_is_the_nearest_one(client, many, asked, shown):
    (place,) = _page(client, page=asked)[2]
    assert place["data-first"] == str(shown)


def test_few_orders_have_one_page(client):
    totals, rows, place = _page(client)
    assert (totals["data-orders"], rows, place) == ("0", [], [])


def test_the_table_has_all_of_them_in_the_order_of_the_pages(client, many):
    answer = client.get("/office/review.csv", query_string=ALL)
    rows = list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"), newline="")))
    assert [int(row["order"]) for row in rows] == sorted(many, reverse=True)
    assert sum(round(float(row["revenue"]) * 100) for row in rows) == sum(1000 + nth for nth in range(ORDERS))


def test_a_page_asks_as_much_of_many_orders_as_of_none(client, app, many):
    asked = []
    _page(client)  # reads the shop, which is kept
    event.listen(app.database.engine, "before_cursor_execute", lambda *call: asked.append(call[2]))
    _page(client, page=2)
    of_many = len(asked)
    asked.clear()
    client.get("/office/review/orders", query_string={"from": "2020-01-01", "to": "2020-01-01"})
    assert of_many == len(asked) > 0
