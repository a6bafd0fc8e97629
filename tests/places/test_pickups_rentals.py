"""Take-downs and rentals on the pick-ups, on the order's page, and in the office's list of what is out."""

import csv
import io
import re
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.actions.records.catalogue import load_catalogue
from app.actions.rentals.returns import COUNT_MISSING, NOTHING_OUT, TOO_MANY_BACK, TOO_MUCH_KEPT
from app.quoting.request import ExtraRequest, ExtraSort, HandOver
from app.store.models import Order, Payment, RentalReturn
from app.store.queries.rentals import TAKEN_DOWN
from app.web.wording.forms import enter_amount, enter_whole
from tests.actions.builders import BENCH_REASON, at, order_request, take
from tests.actions.rental_helpers import arch, hand_over, pole, rental
from tests.places.marks import marks as data_of
from tests.places.payloads import CALLED_OFF, Page, words
from tests.places.test_office_gas import mark, marks
from tests.places.test_query_budget import BUDGET, counted

COUNTED = enter_whole(0, 9999).replace("9999", "9,999")
THERE = {
    "hand_over": HandOver.DELIVER,
    "arrives_at": at(14, 20),
    "travel_minutes": 20,
    "address": "The Corn Hall, 1 High Street",
    "take_down_at": at(23),
}


@pytest.fixture
def put(database):
    """An order in the store, with two poles at 20.00 of deposit unless told; handed over at one if gone."""

    def put_one(*, gone=True, key="key-1", paid=0, extras=None, **changes):
        with database.writing() as session:
            goods = load_catalogue(session)
            rentals = (rental(pole(session), 2),) if extras is None else extras(session)
            order = take(
                session, order_request(goods, extras=rentals, bench_override=BENCH_REASON, **changes), key=key
            )
            if gone:
                hand_over(session, order)
            if paid:
                session.add(_paid(order, paid))
            return order.number

    return put_one


def _paid(order, amount_minor):
    how = {"direction": "in", "rental": True, "how": "cash", "note": ""}
    return Payment(client_key="p", order_id=order.id, amount_minor=amount_minor, at=at(9), who="Maren", **how)


def _board(client, day=None):
    return client.get("/pickups/", query_string={"day": day} if day else None).text


def _of(page, number):
    """The part of the board about the rentals of an order; empty where they are not on it."""
    found = re.search(rf'<li\s+class="[^"]*"\s+id="rental-{number}".*?\n    </li>', page, re.DOTALL)
    return found[0] if found else ""


def _returned(part):
    """Of each rental of a part of a page: its name, what came back, and what is lost."""
    return [(one["data-good"], one["data-returned"], one["data-lost"]) for one in marks(part, "data-good")]


def _is_overdue(part):
    return {"true": True, "false": False}[mark(part, "data-overdue")["data-overdue"]]


def _next_act(client, number, day=None):
    """The tap that the board offers; None where it offers none."""
    return Page(_board(client, day)).by_id.get(f"rentals-{number}", {}).get("data-act")


def _press(client, number, act, key="k", day=None, **sent):
    return client.post(
        f"/pickups/orders/{number}/rentals",
        data={"act": act, "client_key": key, **sent},
        query_string={"day": day} if day else None,
    )


def _count(client, number, **sent):
    return client.post(f"/pickups/orders/{number}/back", data={"client_key": "count", **sent})


def _rental_id(client, number):
    return re.search(r'name="back-(\d+)"', client.get(f"/pickups/orders/{number}/back").text)[1]


def test_a_take_down_says_who_where_when_and_what_and_that_nothing_is_released(client, put):
    number = put(**THERE)
    page = _board(client)
    part = _of(page, number)
    trip = mark(part, "data-leaves")
    assert [trip[f"data-{at}"][11:16] for at in ("leaves", "enters", "back")] == ["22:40", "23:00", "23:50"]
    assert trip["data-crew"] == "2"
    for said in ("Wilhelmina Hart", "01632 960101", "The Corn Hall, 1 High Street", "2 × Pole", "24 balloons"):
        assert said in words(part)
    assert mark(part, "data-cut")["data-cut"] == "false"
    assert "never-release" in Page(page).by_id


def test_balloons_are_cut_first_then_all_is_fetched_and_the_visit_is_done(client, put):
    number = put(**THERE)
    assert _next_act(client, number) == "cut"
    assert _press(client, number, "cut", "c").status_code == 303
    part = _of(_board(client), number)
    assert _next_act(client, number) == "all back"
    assert mark(part, "data-cut")["data-cut"] == "true"
    assert "07:00, somebody" in words(part)
    assert _press(client, number, "all back", "b").status_code == 303
    assert _next_act(client, number) is None
    assert _returned(_of(_board(client), number)) == [("Pole", "2/2", "0")]


def test_undo_takes_back_the_latest_of_the_two_and_then_the_other(client, put, now):
    number = put(**THERE)
    _press(client, number, "cut", "c")
    now.tick(timedelta(minutes=1))
    _press(client, number, "all back", "b")
    for act in ("all back", "cut"):
        form = re.search(r'name="(tap|came)"\s+value="(\d+)">\s*<button[^>]*id="undo-rentals', _board(client))
        assert _press(client, number, "undo", **{form[1]: form[2]}).status_code == 303
        assert _next_act(client, number) == act
    assert f"undo-rentals-{number}" not in Page(_board(client)).by_id


def test_a_return_stands_on_the_day_it_is_due_with_all_back_in_one_tap(client, put):
    number = put(return_by=at(10, days=1))
    assert _of(_board(client), number) == ""
    page = _board(client, "2026-11-22")
    assert "10:00" in words(_of(page, number))
    assert marks(_of(page, number), "data-leaves") == []
    answer = _press(client, number, "all back", day="2026-11-22")
    assert answer.location == "/pickups/?day=2026-11-22"
    assert _returned(_of(_board(client, "2026-11-22"), number)) == [("Pole", "2/2", "0")]


def test_a_repeated_press_counts_once(client, database, put):
    number = put(return_by=at(10, days=1))
    for _ in range(2):
        assert _press(client, number, "all back").status_code == 303
    with database.reading() as session:
        assert [one.back for one in session.scalars(select(RentalReturn))] == [2]


def test_a_second_person_is_told_that_nothing_is_out_any_more(client, put):
    number = put(return_by=at(18))
    _press(client, number, "all back", "one")
    answer = _press(client, number, "all back", "two")
    assert answer.status_code == 422
    assert NOTHING_OUT in Page(answer.text).summary


def test_htmx_gets_the_board_as_it_is_after_the_press(client, put):
    number = put(return_by=at(18))
    answer = client.post(
        f"/pickups/orders/{number}/rentals",
        data={"act": "all back", "client_key": "k"},
        headers={"HX-Request-Type": "partial"},
    )
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert _returned(_of(answer.text, number)) == [("Pole", "2/2", "0")]


def test_what_is_overdue_comes_first_and_only_on_todays_page(client, put, now):
    soon = put(return_by=at(20), key="soon")
    late = put(return_by=at(18), key="late")
    now.move_to(at(19))
    page = _board(client)
    assert page.index(f"rental-{late}") < page.index(f"rental-{soon}")
    assert _is_overdue(_of(page, late))
    assert not _is_overdue(_of(page, soon))
    now.move_to(at(10, days=1))
    today = _board(client)
    assert "Sat 18:00" in words(_of(today, late))
    assert _is_overdue(_of(today, soon))
    assert _of(_board(client, "2026-11-23"), late) == ""


def test_what_is_back_is_overdue_no_more(client, put, now):
    number = put(return_by=at(18))
    now.move_to(at(10, days=1))
    _press(client, number, "all back")
    assert _of(_board(client), number) == ""


def test_a_take_down_under_way_is_not_overdue_until_its_half_hour_is_over(client, put, now):
    number = put(**THERE)
    now.move_to(at(23, 30))
    assert not _is_overdue(_of(_board(client), number))
    now.tick(timedelta(seconds=1))
    assert _is_overdue(_of(_board(client), number))


def test_a_visit_in_the_night_stands_also_on_the_day_its_crew_leaves(client, put):
    number = put(**(THERE | {"take_down_at": at(0, 10, days=1)}))
    assert "Sun 00:10" in words(_of(_board(client), number))
    assert "Sat 23:50" in words(_of(_board(client, "2026-11-22"), number))
    late = put(**(THERE | {"take_down_at": at(0, 30, days=1)}), key="late")
    assert _of(_board(client), late) == ""


def test_before_the_hand_over_it_is_announced_but_not_tapped(client, put):
    number = put(gone=False, **THERE)
    page = _board(client)
    assert "data-not-handed-over" in _of(page, number)
    assert f"rentals-{number}" not in Page(page).by_id
    assert _press(client, number, "cut").status_code == 422
    assert _press(client, number, "all back").status_code == 422


def test_a_cancelled_order_is_not_taken_down(client, put):
    number = put(gone=False, **THERE)
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    assert _of(_board(client), number) == ""


def test_a_day_without_any_has_no_such_section(client, put):
    put(return_by=at(10, days=1))
    assert "rentals-due" not in Page(_board(client)).by_id


@pytest.mark.parametrize("act", ["", "paid", "Cut"])
def test_a_press_that_is_none_is_refused(client, put, act):
    assert _press(client, put(return_by=at(18)), act).status_code == 422


@pytest.mark.parametrize("named", [{"tap": "9"}, {"came": "9"}, {"tap": "x"}, {}])
def test_what_never_was_is_not_undone(client, put, named):
    assert _press(client, put(return_by=at(18)), "undo", **named).status_code == 404


def _version(page):
    return re.search(r'data-version="([^"]+)"', page)[1]


def test_the_clock_alone_renews_the_board_when_goods_become_overdue(client, put, now):
    put(return_by=at(18))
    now.move_to(at(17, 59) + timedelta(seconds=30))
    page = _board(client)
    now.tick(timedelta(seconds=20))
    assert client.get("/pickups/", query_string={"v": _version(page)}).status_code == 204
    now.tick(timedelta(seconds=12))
    answer = client.get("/pickups/", query_string={"v": _version(page)})
    assert answer.status_code == 200
    assert 'data-overdue="true"' in answer.text
    assert 'data-overdue="true"' not in page


def test_a_press_renews_the_board_of_others(client, put):
    number = put(**THERE)
    for act in ("cut", "all back"):
        version = _version(_board(client))
        _press(client, number, act, act)
        assert client.get("/pickups/", query_string={"v": version}).status_code == 200


def test_twenty_rentals_cost_as_many_statements_as_five(app, client, put):
    counts = []
    for all_rentals in (5, 20):
        for place in range(all_rentals):
            put(gone=False, key=f"{all_rentals}-{place}", **THERE)
        with counted(app) as statements:
            page = client.get("/pickups/")
        counts.append(len(statements))
    assert page.text.count('id="rental-') == 25
    assert counts[0] == counts[1] <= BUDGET


# Counting some of it


def test_some_back_some_lost_and_a_part_of_the_deposit_kept(client, put):
    number = put(return_by=at(18), paid=4000)
    rental_id = _rental_id(client, number)
    sent = {
        f"back-{rental_id}": "1",
        f"lost-{rental_id}": "1",
        f"kept-{rental_id}": "15.00",
        "note": "One snapped.",
    }
    answer = _count(client, number, **sent)
    assert answer.location == f"/pickups/orders/{number}/back"
    page = client.get(answer.location).text
    assert _returned(page) == [("Pole", "1", "1")]
    assert mark(page, "data-good")["data-deposit-kept"] == "1500"
    assert "One snapped." in words(page)
    assert mark(page, "data-refund")["data-refund"] == "2500"
    assert _returned(_of(_board(client), number)) == [("Pole", "1/2", "1")]


def test_the_page_begins_with_all_of_it_back(client, put):
    number = put(return_by=at(18))
    page = Page(client.get(f"/pickups/orders/{number}/back").text)
    rental_id = _rental_id(client, number)
    assert (page.values[f"back-{rental_id}"], page.values[f"lost-{rental_id}"]) == ("2", "0")


@pytest.mark.parametrize(
    ("sent", "at_field", "sentence"),
    [
        ({"back": "3"}, "back", TOO_MANY_BACK.format(out=2, name="Pole")),
        ({"back": "1", "lost": "2"}, "back", TOO_MANY_BACK.format(out=2, name="Pole")),
        ({"back": "some"}, "back", COUNTED),
        ({"back": "1", "lost": "-1"}, "lost", COUNTED),
        ({"back": "1", "kept": "20.01"}, "kept", TOO_MUCH_KEPT),
        ({"back": "1", "kept": "much"}, "kept", enter_amount(2)),
    ],
)
def test_a_wrong_count_has_its_sentence_and_nothing_typed_is_lost(client, database, put, sent, at_field, sentence):
    number = put(return_by=at(18))
    rental_id = _rental_id(client, number)
    answer = _count(client, number, note="As typed", **{f"{name}-{rental_id}": text for name, text in sent.items()})
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.problem(f"{at_field}-{rental_id}") == sentence
    assert page.describes(f"{at_field}-{rental_id}")
    assert page.values[f"{at_field}-{rental_id}"] == sent[at_field]
    assert page.values["note"] == "As typed"
    with database.reading() as session:
        assert session.scalars(select(RentalReturn)).all() == []


def test_nothing_counted_is_said_above_the_form(client, put):
    number = put(return_by=at(18))
    answer = _count(client, number, **{f"back-{_rental_id(client, number)}": "0"})
    assert answer.status_code == 422
    assert COUNT_MISSING in Page(answer.text).summary


def test_what_was_counted_is_undone_on_its_page(client, put):
    number = put(return_by=at(18))
    _count(client, number, **{f"back-{_rental_id(client, number)}": "2"})
    address = f"/pickups/orders/{number}/back"
    came = Page(client.get(address).text).values["came"]
    assert client.post(f"{address}/undo", data={"came": came}).location == address
    assert _rental_id(client, number)
    assert _returned(client.get(address).text) == []


def test_an_order_without_rentals_says_so_and_none_has_no_such_page(client, put):
    address = f"/pickups/orders/{put(extras=lambda _: ())}/back"
    assert "no-rentals" in Page(client.get(address).text).by_id
    assert client.post(address, data={"client_key": "k"}).status_code == 404
    assert client.get("/pickups/orders/999/back").status_code == 404


# The order's page, and the office


def test_the_orders_page_says_what_is_rented_until_when_and_what_came_back(client, put):
    number = put(return_by=at(18))
    address = f"/counter/orders/{number}"
    assert "Sat 21 Nov, 18:00" in words(client.get(address).text.split('id="rental"')[1].split("</section>")[0])
    _press(client, number, "all back")
    said = words(client.get(address).text)
    assert "2 × Pole (2 back)" in said
    assert "2 → 0" in said


def test_the_orders_page_says_when_it_is_taken_down_and_that_it_was(client, put):
    number = put(extras=lambda _: (ExtraRequest(ExtraSort.TAKE_DOWN, 1),), **THERE)
    _press(client, number, "cut")
    said = words(client.get(f"/counter/orders/{number}").text)
    assert "Sat 21 Nov, 23:00" in said
    assert "Sat 21 Nov, 07:00" in said
    assert TAKEN_DOWN in said.lower()


def test_an_order_without_either_has_no_such_section(client, put):
    assert 'id="rental"' not in client.get(f"/counter/orders/{put(extras=lambda _: ())}").text


def test_the_office_lists_what_is_out_overdue_first(client, put, now, database):
    both = put(
        extras=lambda s: (rental(pole(s), 2), rental(arch(s), 1)), return_by=at(20, days=1), key="b", paid=3000
    )
    late = put(return_by=at(20), key="l")
    never, back = put(return_by=at(18), key="n"), put(return_by=at(18), key="back")
    with database.writing() as session:  # as one from before the hour was asked for
        session.scalar(select(Order).where(Order.number == never)).return_by = None
    put(gone=False, return_by=at(20, days=3), key="here")
    _press(client, back, "all back")
    now.move_to(at(9, days=1))
    page = client.get("/office/rentals").text
    rows = [(one["data-order"], one["data-overdue"]) for one in marks(page, "data-order")]
    assert rows == [(str(late), "true"), (str(both), "false"), (str(never), "false")]
    assert mark(page, "data-pieces")["data-pieces"] == "7"
    assert len(marks(page, "data-no-time")) == 1
    rows = list(csv.DictReader(io.StringIO(client.get("/office/rentals.csv").data.decode("utf-8-sig"), newline="")))
    assert [
        (row["rental"], row["pieces out"], row["overdue"], row["security deposit"], row["security deposit paid"])
        for row in rows
    ] == [
        ("Pole", "2", "yes", "40.00", "0.00"),
        ("Pole", "2", "no", "40.00", "30.00"),
        ("Flower arch", "1", "no", "50.00", ""),
        ("Pole", "2", "no", "40.00", "0.00"),
    ]
    assert rows[0]["due back"] == "2026-11-21T20:00:00+00:00"


def test_the_office_says_so_when_nothing_is_out(client):
    assert "none-out" in Page(client.get("/office/rentals").text).by_id


def test_a_pick_up_says_what_is_to_pay_on_top_of_its_price(client, put):
    back = {"gone": False, "return_by": at(18, days=1)}
    number = put(**back)
    card = _board(client)
    assert f'id="order-{number}"' in card
    (security,), (due,) = data_of(card, "security"), data_of(card, "balance")
    assert int(security) == 4000
    put(**back, key="paid", paid=4000)
    assert data_of(_board(client), "security") == ["4000", "4000"]
    put(gone=False, key="none", extras=lambda session: ())
    assert len(data_of(_board(client), "security")) == 2
    assert int(due) > int(security)
