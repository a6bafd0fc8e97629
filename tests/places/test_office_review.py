"""The review: what was done, on the page and as a table for elsewhere."""

import csv
import io
from datetime import timedelta

import pytest
from sqlalchemy import delete, update

from app.store.models import BalloonTypeRow, Order, SupplyRow
from app.web.wording.forms import enter_date
from tests.actions.builders import MORNING
from tests.places.payloads import Page, take, words


def _hand_over(client, number, bursts=0):
    ticket = f"/bench/batches/{number}-1/taps"
    for burst in range(bursts):
        client.post(ticket, data={"act": "burst", "colour": "red", "client_key": f"{number} burst {burst}"})
    client.post(ticket, data={"act": "finish", "client_key": f"{number} fill", "sure": "yes"})
    for step in ("assembled", "weighted", "bagged", "ready", "handed over"):
        sent = {"step": step, "client_key": f"{number} {step}", "sure": "unpaid"}
        client.post(f"/pickups/orders/{number}/steps", data=sent)


def _csv(client, **dates):
    answer = client.get("/office/review.csv", query_string=dates)
    assert (answer.status_code, answer.mimetype) == (200, "text/csv")
    return list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"), newline="")))


def _data(client, name, **dates):
    """What each element with this data attribute says, by name."""
    tags = Page(client.get("/office/review/orders", query_string=dates).text).tags
    return [
        {key.removeprefix("data-"): value for key, value in tag.items() if key.startswith("data-")}
        for _, tag in tags
        if f"data-{name}" in tag
    ]


def _totals(client):
    (totals,) = _data(client, "orders")
    return totals


def test_a_completed_order_is_a_row_with_balloons_bursts_and_revenue(client, app, now, number):
    now.tick(timedelta(hours=3))
    _hand_over(client, number, bursts=2)
    (row,) = _data(client, "order")
    assert (row["order"], row["verdict"], row["minutes-late"]) == (str(number), "safe", "0")
    assert (row["balloons"], row["bursts"], row["revenue"]) == ("24", "2", "2640")
    said = words(client.get("/office/review/orders").text)
    cells = said.partition(f"{number} Wilhelmina Hart")[2]
    assert cells.index("14:00") < cells.index("10:00") < cells.index("£26.40")


@pytest.mark.parametrize(("hours", "verdict"), [(2, "risky"), (3, "safe")])
def test_an_order_has_the_verdict_of_its_real_start(client, now, number, hours, verdict):
    """Two dozen that are up until 19:00 may be filled from 09:35 on."""
    now.tick(timedelta(hours=hours))
    _hand_over(client, number)
    assert [row["verdict"] for row in _data(client, "order")] == [verdict]
    assert [row["verdict"] for row in _csv(client)] == [verdict]


@pytest.mark.parametrize("state", ["handed-over", "not-made", "not-started", "cancelled"])
def test_each_row_says_the_state_of_its_order(client, now, number, state):
    if state == "handed-over":
        now.tick(timedelta(hours=3))
        _hand_over(client, number)
    elif state == "cancelled":
        client.post(f"/counter/orders/{number}/cancel", data={"version": "1", "reason": "mistake", "fee": "0"})
    else:
        now.tick(timedelta(days=1))
    if state == "not-made":
        client.post(f"/bench/orders/{number}/leftover", data={"outcome": state, "client_key": "k"})
    assert [one["progress"] for one in _data(client, "progress")] == [state]
    assert [row["state"] for row in _csv(client)] == [state.replace("-", " ").capitalize()]


def test_only_what_was_handed_over_counts(client):
    take(client)
    assert _data(client, "empty")
    assert not _data(client, "order")


def test_an_order_that_was_ready_too_late_is_late_by_its_minutes(client, now, number):
    now.tick(timedelta(hours=8, minutes=4, seconds=1))
    _hand_over(client, number)
    assert [row["minutes-late"] for row in _data(client, "order")] == ["65"]
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
    totals = _totals(client)
    assert (totals["orders"], totals["on-time"]) == ("2", "1")
    assert (totals["balloons"], totals["bursts"], totals["revenue"]) == ("48", "1", "5280")
    assert "£52.80" in words(client.get("/office/review/orders").text)


def test_an_undone_burst_is_none(client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "burst", "colour": "red", "client_key": "b"})
    client.post(f"/bench/batches/{number}-1/undo", data={"tap": "1"})
    _hand_over(client, number)
    (row,) = _csv(client)
    assert (row["balloons"], row["burst"]) == ("24", "0")


def test_the_table_has_local_hours_and_plain_amounts(client, now, number):
    now.tick(timedelta(hours=3))
    _hand_over(client, number)
    (row,) = _csv(client)
    assert row == {
        "order": str(number),
        "customer": "Wilhelmina Hart",
        "state": "Handed over",
        "ready_by": "2026-11-21T14:00:00+00:00",
        "ready_at": "2026-11-21T10:00:00+00:00",
        "handed_over_at": "2026-11-21T10:00:00+00:00",
        "minutes_late": "0",
        "verdict": "safe",
        "balloons": "24",
        "burst": "0",
        "revenue": "26.40",
        "revenue_without_tax": "26.40",
        "cost": "",
        "profit": "",
        "profit_percent": "",
        "payment": "to pay",
        "to_pay": "26.40",
        "cancelled_at": "",
        "missed": "",
        "cancellation_fee": "",
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
    page = client.get("/office/review/orders", query_string=dates).text
    assert ("Wilhelmina Hart" in page) == bool(found)


@pytest.mark.parametrize(("address", "status"), [("/office/review/orders", 422), ("/office/review.csv", 400)])
def test_a_wrong_date_is_refused(client, address, status):
    answer = client.get(address, query_string={"from": "last week"})
    assert answer.status_code == status
    assert enter_date("28/11") in words(answer.text)
    if status == 422:
        assert Page(answer.text).problem("from") == enter_date("28/11")


def test_an_hour_after_midnight_counts_on_the_shops_day(client, now):
    """In New York it is still 21 November when the day in UTC is over."""
    client.post("/office/settings", data={"zone": "America/New_York"})
    number = take(client)
    now.tick(timedelta(hours=20))
    _hand_over(client, number)
    assert len(_csv(client, **{"from": "2026-11-21", "to": "2026-11-21"})) == 1
    assert _csv(client)[0]["handed_over_at"] == "2026-11-21T22:00:00-05:00"


def _set_cost(database, number, minor, **more):
    """As if the order had cost this much when it was saved."""
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


def _earned(row):
    return tuple(row[name] for name in ("revenue", "net", "cost", "profit", "percent"))


def test_each_order_has_its_profit_and_the_foot_adds_up_those_whose_cost_is_known(client, three):
    """£26.40 at £10.00 is a profit of £16.40 or 62.1 %, £20.00 at £25.00 a loss of a quarter; £46.40 at £35.00 is a
    profit of £11.40."""
    assert [_earned(row) for row in _data(client, "order")] == [
        ("2640", "2640", "1000", "1640", "62.1"),
        ("2400", "2000", "2500", "-500", "-25.0"),
        ("2640", "2640", "", "", ""),
    ]
    assert _earned(_totals(client)) == ("7680", "7280", "3500", "1140", "24.6")
    (without,) = _data(client, "orders-without-cost")
    assert (without["orders-without-cost"], without["net-without-cost"]) == ("1", "2640")
    said = words(client.get("/office/review/orders").text)
    assert all(amount in said for amount in ("£76.80", "£72.80", "£35.00", "£11.40", "24%", "62%"))


def test_the_table_has_the_profits_too(client, three):
    cells = ("revenue_without_tax", "cost", "profit", "profit_percent")
    assert [tuple(row[cell] for cell in cells) for row in _csv(client)] == [
        ("26.40", "10.00", "16.40", "62.1"),
        ("20.00", "25.00", "-5.00", "-25.0"),
        ("26.40", "", "", ""),
    ]


def test_the_sums_are_the_sums_of_the_rows(client, three):
    rows = [row for row in _csv(client) if row["cost"]]
    net, cost, profit = (
        sum(round(float(row[cell]) * 100) for row in rows) for cell in ("revenue_without_tax", "cost", "profit")
    )
    assert net - cost == profit == 1140


def test_an_order_given_away_has_a_loss_and_no_percent(client, database, number):
    _hand_over(client, number)
    _set_cost(database, number, 500, total_minor=0)
    assert [_earned(row) for row in _data(client, "order")] == [("0", "0", "500", "-500", "")]
    (row,) = _csv(client)
    assert (row["profit"], row["profit_percent"]) == ("-5.00", "")


def test_a_cost_of_nothing_is_unknown(client, database, number):
    _hand_over(client, number)
    _set_cost(database, number, 0)
    assert [_earned(row) for row in _data(client, "order")] == [("2640", "2640", "", "", "")]
    assert _earned(_totals(client)) == ("2640", "2640", "", "", "")


def test_each_row_leads_to_what_the_order_costs(client, three):
    page = client.get("/office/review/orders").text
    assert all(f'href="/office/orders/{number}"' in page for number in three)


def _missing_costs(client):
    return [name for found in _data(client, "missing-costs") for name in found["missing-costs"].split("|")]


def test_costs_that_are_not_entered_yet_are_listed_until_they_are(client, database):
    assert _missing_costs(client)[1:6] == ["helium", "ribbon", "treatment", "5 in latex", "9 in latex"]
    client.post("/office/settings", data={"hour_minor": "18", "helium_m3_minor": "60"})
    with database.writing() as session:
        session.execute(delete(SupplyRow))
        session.add(_supply("Ribbon, 5 mm", "ribbon", 400))
        session.add(_supply("Foil weight", "weight", 0))
        session.execute(update(BalloonTypeRow).where(BalloonTypeRow.name != "9 in latex").values(pack_minor=900))
    assert _missing_costs(client) == ["treatment", "9 in latex", "Foil weight"]


def test_when_every_cost_is_entered_nothing_is_listed(client, database):
    client.post("/office/settings", data={"hour_minor": "18", "helium_m3_minor": "60"})
    with database.writing() as session:
        session.execute(delete(SupplyRow))
        session.add_all([_supply("Ribbon, 5 mm", "ribbon", 400), _supply("Coat", "treatment", 2500)])
        session.add(_supply("Old bags", "bag", 0, archived_at=MORNING))
        session.execute(update(BalloonTypeRow).values(pack_minor=900))
    assert _missing_costs(client) == []


def _supply(name, sort, pack_minor, **more):
    return SupplyRow(
        name=name, sort=sort, unit="piece", pack_size=100, pack_minor=pack_minor, deposit_minor=0, **more
    )


def test_what_was_never_made_is_missed_and_not_completed(client, now, number):
    assert _totals(client)["missed"] == "0"
    now.tick(timedelta(days=1))
    assert [row["outcome"] for row in _data(client, "missed-order")] == ["open"]
    for outcome, said in (("not-made", "not made"), ("", "open")):
        address = f"/bench/orders/{number}/leftover" + ("" if outcome else "/undo")
        client.post(address, data={"outcome": outcome, "client_key": "k"})
        totals = _totals(client)
        assert (totals["missed"], totals["orders"], totals["revenue"]) == ("1", "0", "0")
        assert [(row["missed"], row["revenue"], row["to_pay"]) for row in _csv(client)] == [(said, "", "")]
    assert _csv(client, **{"from": "2026-11-22"}) == []


def test_what_was_made_after_all_or_cancelled_is_not_missed(client, now, number):
    second = take(client, client_key="key-2")
    now.tick(timedelta(days=1))
    client.post(f"/bench/orders/{number}/leftover", data={"outcome": "made", "client_key": "k"})
    client.post(f"/counter/orders/{second}/cancel", data={"version": "1", "reason": "customer", "fee": "0"})
    totals = _totals(client)
    assert (totals["missed"], totals["cancelled"]) == ("0", "1")
