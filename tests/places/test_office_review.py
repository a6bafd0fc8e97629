"""The review: what was done, on the page and as a table for elsewhere."""

import csv
import io
from datetime import timedelta

import pytest
from sqlalchemy import delete, update

from app.store.models import BalloonTypeRow, Order, SupplyRow
from tests.actions.builders import MORNING
from tests.places.payloads import take, words


def _hand_over(client, number, bursts=0):
    ticket = f"/bench/batches/{number}-1/taps"
    for burst in range(bursts):
        client.post(ticket, data={"act": "burst", "colour": "red", "client_key": f"{number} burst {burst}"})
    client.post(ticket, data={"act": "finish", "client_key": f"{number} fill", "sure": "yes"})
    for step in ("assembled", "weighted", "bagged", "ready", "handed over"):
        client.post(f"/pickups/orders/{number}/steps", data={"step": step, "client_key": f"{number} {step}"})


def _csv(client, **dates):
    answer = client.get("/office/review.csv", query_string=dates)
    assert (answer.status_code, answer.mimetype) == (200, "text/csv")
    return list(csv.DictReader(io.StringIO(answer.text, newline="")))


def test_a_completed_order_is_a_row_with_balloons_bursts_and_revenue(client, now, number):
    now.tick(timedelta(hours=2))
    _hand_over(client, number, bursts=2)
    said = words(client.get("/office/review").text)
    assert (
        f"{number} Wilhelmina Hart Sat 21 Nov, 14:00 Sat 21 Nov, 09:00 on time Sat 21 Nov, 09:00 Safe 24 2 £26.40"
        in said
    )


def test_only_what_was_handed_over_counts(client):
    take(client)
    assert "No order was handed over between these dates." in words(client.get("/office/review").text)


def test_an_order_that_stood_ready_too_late_is_late_by_so_much(client, now, number):
    now.tick(timedelta(hours=8, minutes=4, seconds=1))
    _hand_over(client, number)
    assert "1 h 05 min late" in words(client.get("/office/review").text)
    (row,) = _csv(client)
    assert row["minutes_late"] == "65"


def test_totals_add_the_rows_up(client, now):
    late = {
        "hand_over_time__hour": "08:00",
        "accepted_risk": "Late is fine.",
        "bench_override": "They wait for it.",
    }
    first, second = take(client), take(client, client_key="key-2", **late)
    now.tick(timedelta(hours=2))
    _hand_over(client, first, bursts=1)
    _hand_over(client, second)
    said = words(client.get("/office/review").text)
    assert "Orders 2 On time 1 of 2 Balloons 48 Bursts 1 2.0 % Revenue £52.80" in said


def test_an_undone_burst_is_none(client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "burst", "colour": "red", "client_key": "b"})
    client.post(f"/bench/batches/{number}-1/undo", data={"tap": "1"})
    _hand_over(client, number)
    (row,) = _csv(client)
    assert (row["balloons"], row["bursts"]) == ("24", "0")


def test_the_table_has_local_hours_and_plain_amounts(client, now, number):
    now.tick(timedelta(hours=2))
    _hand_over(client, number)
    (row,) = _csv(client)
    assert row == {
        "order": str(number),
        "customer": "Wilhelmina Hart",
        "ready_by": "2026-11-21T14:00:00+00:00",
        "finished_at": "2026-11-21T09:00:00+00:00",
        "handed_over_at": "2026-11-21T09:00:00+00:00",
        "minutes_late": "0",
        "verdict": "safe",
        "balloons": "24",
        "bursts": "0",
        "revenue": "26.40",
        "revenue_without_tax": "26.40",
        "cost": "",
        "margin": "",
        "margin_percent": "",
    }


@pytest.mark.parametrize(("decimals", "revenue"), [("0", "2640"), ("1", "264.0"), ("3", "2.640")])
def test_revenue_has_the_currencys_decimals(client, decimals, revenue):
    _hand_over(client, take(client))
    client.post("/office/settings", data={"currency_decimals": decimals})
    (row,) = _csv(client)
    assert row["revenue"] == revenue


def test_the_table_has_decimal_points_in_every_country(client):
    _hand_over(client, take(client))
    client.post("/office/settings", data={"locale": "en_DE"})
    (row,) = _csv(client)
    assert row["revenue"] == "26.40"


@pytest.mark.parametrize("name", ["=HYPERLINK(A1)", "+SUM(A1)", "-A1", "@A1"])
def test_a_name_that_a_spreadsheet_would_compute_is_only_a_name(client, name):
    _hand_over(client, take(client, customer=name))
    (row,) = _csv(client)
    assert row["customer"] == f"'{name}"


def test_a_name_with_commas_and_quotes_stays_one_cell(client):
    name = 'Hart, "Wil" & Sons'
    _hand_over(client, take(client, customer=name))
    (row,) = _csv(client)
    assert row["customer"] == name


@pytest.mark.parametrize(
    ("dates", "found"),
    [
        ({"from": "2026-11-21", "to": "2026-11-21"}, 1),
        ({"from": "2026-11-01", "to": "2026-11-20"}, 0),
        ({"from": "2026-11-22", "to": "2026-11-30"}, 0),
        ({"from": "2026-11-30", "to": "2026-11-01"}, 1),
        ({"to": "2026-11-25"}, 1),
        ({}, 1),
    ],
)
def test_both_dates_count_and_may_be_the_wrong_way_round(client, dates, found):
    _hand_over(client, take(client))
    assert len(_csv(client, **dates)) == found
    page = client.get("/office/review", query_string=dates).text
    assert ("Wilhelmina Hart" in page) == bool(found)


@pytest.mark.parametrize(("address", "status"), [("/office/review", 422), ("/office/review.csv", 400)])
def test_a_date_that_is_none_is_answered_with_a_sentence(client, address, status):
    answer = client.get(address, query_string={"from": "last week"})
    assert answer.status_code == status
    assert "is not a date" in words(answer.text)


def test_an_hour_after_midnight_counts_on_the_shops_day(client, now):
    """In New York it is still 21 November when the day in UTC is over."""
    client.post("/office/settings", data={"zone": "America/New_York"})
    number = take(client)
    now.tick(timedelta(hours=20))
    _hand_over(client, number)
    assert len(_csv(client, **{"from": "2026-11-21", "to": "2026-11-21"})) == 1
    assert _csv(client)[0]["handed_over_at"] == "2026-11-21T22:00:00-05:00"


def _set_cost(database, number, minor, **more):
    """As if the order had cost so much when it was taken."""
    with database.writing() as session:
        session.execute(update(Order).where(Order.number == number).values(cost_minor=minor, **more))


@pytest.fixture
def three(client, database):
    """£26.40 at a cost of £10.00, £24.00 with £4.00 of tax in it at £25.00, and £26.40 without a cost."""
    numbers = [take(client, client_key=f"key-{place}", bench_override="By turns.") for place in range(3)]
    for number in numbers:
        _hand_over(client, number)
    _set_cost(database, numbers[0], 1000)
    _set_cost(database, numbers[1], 2500, total_minor=2400, tax_minor=400)
    _set_cost(database, numbers[2], None)
    return numbers


def test_each_order_has_its_margin_and_the_foot_adds_up_those_whose_cost_is_told(client, three):
    """Of £26.40 are left £16.40 or 62.1 %, of £20.00 at £25.00 is lost a quarter; of £46.40 are left £11.40."""
    said = words(client.get("/office/review").text)
    for row in (
        "£26.40 £26.40 £10.00 £16.40 62.1",
        "£24.00 £20.00 £25.00 −£5.00 −25.0",
        "£26.40 £26.40 – – –",
        "All 72 0 £76.80 £72.80 £35.00 £11.40 24.6",
        "1 of these 3 orders have no cost told",
        "their revenue, £26.40 without tax, is not in the margin",
        "Margin £11.40 24.6 %",
    ):
        assert row in said


def test_the_table_has_the_margins_too(client, three):
    cells = ("revenue_without_tax", "cost", "margin", "margin_percent")
    assert [tuple(row[cell] for cell in cells) for row in _csv(client)] == [
        ("26.40", "10.00", "16.40", "62.1"),
        ("20.00", "25.00", "-5.00", "-25.0"),
        ("26.40", "", "", ""),
    ]


def test_the_sums_are_the_sums_of_the_rows(client, three):
    rows = [row for row in _csv(client) if row["cost"]]
    net, cost, margin = (
        sum(round(float(row[cell]) * 100) for row in rows) for cell in ("revenue_without_tax", "cost", "margin")
    )
    assert net - cost == margin == 1140


def test_an_order_given_away_has_a_loss_and_no_percent(client, database, number):
    _hand_over(client, number)
    _set_cost(database, number, 500, total_minor=0)
    assert "£0.00 £0.00 £5.00 −£5.00 All" in words(client.get("/office/review").text)
    (row,) = _csv(client)
    assert (row["margin"], row["margin_percent"]) == ("-5.00", "")


def test_a_cost_of_nothing_is_none_told(client, database, number):
    _hand_over(client, number)
    _set_cost(database, number, 0)
    said = words(client.get("/office/review").text)
    assert "£26.40 £26.40 – – –" in said
    assert "Margin £" not in said


def test_each_row_leads_to_what_the_order_costs(client, three):
    page = client.get("/office/review").text
    assert all(f'href="/office/orders/{number}"' in page for number in three)


def test_costs_that_nobody_told_are_listed_until_somebody_does(client, database):
    said = words(client.get("/office/review").text)
    assert "Not told yet: an hour of one hand, helium, ribbon, treatment, 5 in latex, 9 in latex" in said
    client.post("/office/settings", data={"hour_minor": "18", "helium_m3_minor": "60"})
    with database.writing() as session:
        session.execute(delete(SupplyRow))
        session.add(_supply("Ribbon, 5 mm", "ribbon", 400))
        session.add(_supply("Foil weight", "weight", 0))
        session.execute(update(BalloonTypeRow).where(BalloonTypeRow.name != "9 in latex").values(pack_minor=900))
    said = words(client.get("/office/review").text)
    assert "Not told yet: treatment, 9 in latex, Foil weight. Tell" in said


def test_when_every_cost_is_told_nothing_is_listed(client, database):
    client.post("/office/settings", data={"hour_minor": "18", "helium_m3_minor": "60"})
    with database.writing() as session:
        session.execute(delete(SupplyRow))
        session.add_all([_supply("Ribbon, 5 mm", "ribbon", 400), _supply("Coat", "treatment", 2500)])
        session.add(_supply("Old bags", "bag", 0, archived_at=MORNING))
        session.execute(update(BalloonTypeRow).values(pack_minor=900))
    assert "Not told yet" not in client.get("/office/review").text


def _supply(name, sort, pack_minor, **more):
    return SupplyRow(
        name=name, sort=sort, unit="piece", pack_size=100, pack_minor=pack_minor, deposit_minor=0, **more
    )
