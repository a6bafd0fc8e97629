"""A phone order typed into the counter's form, well and badly."""

import re

import pytest
from sqlalchemy import func, select

from app.actions.catalogue.designs import archive_design
from app.actions.orders.customers import name_problem, phone_problem
from app.actions.orders.overrides import NO_ACCEPTED_RISK
from app.actions.records.catalogue import load_catalogue
from app.craft.colours import describe_sum
from app.physics.material import Material, materials_that
from app.places.counter.choices import OCCASIONS, PLACES
from app.places.counter.forms import CHOOSE_ANY_GOODS, ENTER_ADDRESS, ENTER_PHONE
from app.places.counter.line_form import CHOOSE_GOODS, MOST_OF_A_LINE
from app.quoting.checks import EVENT_IN_THE_PAST, TOO_FAR, TOO_LATE
from app.quoting.errors import NO_LONGER_SOLD
from app.quoting.fills import TOO_HIGH_TO_FLOAT
from app.quoting.parts import AIR_NOT_TREATED, DESIGN_NO_LONGER_SOLD, NOT_TREATED, TOO_HEAVY_TO_FLOAT
from app.quoting.request import OVER_THE_COUNTER, HandOver
from app.store.models import Order
from app.web.wording.forms import (
    CHECK_YEAR,
    CHOOSE_DATE,
    ENTER_TIME,
    choose_from,
    describe_missing_day,
    enter_date,
    enter_whole,
    shorten_to,
)
from tests.actions.builders import MORNING, bouquet
from tests.numbers_in import numbers_in
from tests.places.marks import text_of
from tests.places.page_states import wrong_fields
from tests.places.payloads import Page, payload, read_page, take, words

FOIL, SMALL_FOIL = "balloon_type:12", "balloon_type:11"
TREATED = materials_that(lambda traits: traits.can_be_treated)

BAD = {
    "no lines": ({"lines__0__what": "", "lines__0__quantity": "", "lines__0__colours": ""}, "lines-0-what",
          CHOOSE_ANY_GOODS),
    "a line of nothing": ({"lines__0__what": ""}, "lines-0-what", CHOOSE_GOODS),
    "no quantity": ({"lines__0__quantity": ""}, "lines-0-quantity", "1 to 5,000"),
    "zero": ({"lines__0__quantity": "0"}, "lines-0-quantity", "1 to 5,000"),
    "negative": ({"lines__0__quantity": "-3"}, "lines-0-quantity", "1 to 5,000"),
    "fractional": ({"lines__0__quantity": "1.5"}, "lines-0-quantity", "1 to 5,000"),
    "absurd": ({"lines__0__quantity": "1000000"}, "lines-0-quantity", "1 to 5,000"),
    "absurdly long": ({"lines__0__quantity": "9" * 5000}, "lines-0-quantity", "1 to 5,000"),
    "words for a number": ({"lines__0__quantity": "two dozen"}, "lines-0-quantity", "1 to 5,000"),
    "colours of another number": ({"lines__0__colours": "12 red"}, "lines-0-colours", describe_sum(12, 24)),
    "ready after the start": ({"hand_over_time__hour": "15:30"}, "hand_over_time-hour",
          TOO_LATE[HandOver.COLLECT]),
    "a past event": ({"event_start__day": "2026-11-14"}, "event_start-hour", EVENT_IN_THE_PAST),
    "a past year": ({"event_start__day": "1926-11-21"}, "event_start-day", CHECK_YEAR),
    "a far year": ({"event_start__day": "2031-11-21", "lasts_until__day": ""}, "event_start-hour", TOO_FAR),
    "no date": ({"event_start__day": ""}, "event_start-day", CHOOSE_DATE),
    "a date that is none": (
        {"event_start__day": "2026-02-30"}, "event_start-day", describe_missing_day(30, "February"),
    ),
    "a collection on a date that is none": (
        {"hand_over_time__day": "31 feb"}, "hand_over_time-day", describe_missing_day(31, "February"),
    ),
    "a collection whose date is half typed": (
        {"hand_over_time__day": "21 n"}, "hand_over_time-day", enter_date("28/11"),
    ),
    "an hour that is none": ({"event_start__hour": "25:00"}, "event_start-hour", ENTER_TIME),
    "no hour": ({"hand_over_time__hour": ""}, "hand_over_time-hour", ENTER_TIME),
    "treated foil": ({"lines__0__what": FOIL, "lines__0__treated": "y"}, "lines-0-treated",
          NOT_TREATED.format(material=Material.FOIL, treated=TREATED)),
    "treated air": ({"lines__0__gas": "air", "lines__0__treated": "y"}, "lines-0-treated",
          AIR_NOT_TREATED.format(material=Material.LATEX)),
    "a foil too small": ({"lines__0__what": SMALL_FOIL}, "lines-0-gas",
          TOO_HEAVY_TO_FLOAT.format(name="9 in foil")),
    "a foil too high up": ({"lines__0__what": FOIL, "venue_elevation": "5000"}, "lines-0-what",
          TOO_HIGH_TO_FLOAT.format(name="18 in foil", height=5000).replace("\u00a0", " ")),
    "higher than any venue": ({"venue_elevation": "9000"}, "venue_elevation", "-430 to 5,000 m"),
    "hotter than any venue": ({"venue_warmth": "80"}, "venue_warmth", "-20 to 50 °C"),
    "warmth in words": ({"venue_warmth": "warm"}, "venue_warmth", "-20 to 50 °C"),
    "warmth that is no number": ({"venue_warmth": "nan"}, "venue_warmth", "-20 to 50 °C"),
    "a phone with letters": ({"phone": "01632 ask for Wil"}, "phone", phone_problem("01632 ask for Wil")),
    "no phone": ({"phone": ""}, "phone", ENTER_PHONE),
    "10,000 characters of notes": ({"notes": "balloons, " * 1000}, "notes",
          shorten_to(2000, 10_000)),
    "a long name": ({"customer": "x" * 81}, "customer", shorten_to(80, 81)),
    "no name": ({"customer": "  "}, "customer", name_problem("")),
    "an emoji name": ({"customer": "🎈🎈"}, "customer", name_problem("🎈🎈")),
    "a design that is gone": ({"lines__0__what": "design:77"}, "lines-0-what", DESIGN_NO_LONGER_SOLD),
    "a kind that is gone": ({"lines__0__what": "balloon_type:777"}, "lines-0-what", NO_LONGER_SOLD),
    "delivery to nowhere": ({"hand_over": "deliver", "travel_minutes": "20"}, "address", ENTER_ADDRESS),
    "delivery without a way": ({"hand_over": "deliver", "address": "4 Mill"}, "travel_minutes", "1 to 1,440"),
    "an occasion that is none": ({"occasion": "wake"}, "occasion",
          choose_from(one.label for one in OCCASIONS)),
    "surroundings that are none": ({"surroundings": "moon"}, "surroundings",
          choose_from(one.label for one in PLACES)),
    "risky without what they accepted": ({"lasts_until__day": "2026-11-22"}, "accepted_risk",
          NO_ACCEPTED_RISK.sentence),
}  # fmt: skip
ALSO_WRONG = {"a past event": ["hand_over_time-hour"], "a far year": ["lasts_until-hour"]}
"""Where one slip makes a second field wrong."""


def _orders(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(Order))


def _one(database):
    with database.reading() as session:
        order = session.scalars(select(Order)).one()
        return order, order.lines, order.batches


def test_it_is_saved_and_the_answer_leads_to_its_page(client, database):
    answer = client.post("/counter/orders", data=payload())
    order, lines, (batch,) = _one(database)
    assert (answer.status_code, answer.location) == (303, f"/counter/orders/{order.number}")
    assert (order.customer, order.notes, lines[0].quantity) == ("Wilhelmina Hart", "Ring the bell twice.", 24)
    assert batch.colours == [["red", 12], ["white", 12]]
    said = text_of(client.get(answer.location).text, "read-back")
    assert numbers_in(said)[0] == order.number
    assert "Wilhelmina Hart" in said
    assert re.findall(r"\d\d:\d\d", said) == ["15:00", "19:00", "14:00"]


@pytest.mark.parametrize("name", BAD)
def test_bad_input_has_a_sentence_at_its_field_saves_nothing_and_loses_nothing_typed(client, database, name):
    changes, field, sentence = BAD[name]
    sent = payload(**changes)
    answer = client.post("/counter/orders", data=sent)
    page = read_page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem(field)
    assert wrong_fields(answer.text) == [field, *ALSO_WRONG.get(name, ())]
    assert page.describes(field), f"nothing at {field} points at it"
    assert _orders(database) == 0
    not_to_be_chosen = {"an occasion that is none": {"occasion"}, "surroundings that are none": {"surroundings"}}
    for typed in set(sent) - not_to_be_chosen.get(name, set()):
        if sent[typed].strip():
            assert page.values.get(typed, "").split() == sent[typed].split(), typed


def test_only_the_date_that_the_others_follow_is_asked_for(client):
    page = Page(
        client.post(
            "/counter/orders", data=payload(event_start__day="", lasts_until__day="", hand_over_time__day="")
        ).text
    )
    asked = [field for field in ("event_start-day", "lasts_until-day", "hand_over_time-day") if page.problem(field)]
    assert asked == ["event_start-day"]


def test_several_wrong_fields_each_have_their_sentence(client):
    sent = payload(phone="x", lines__0__quantity="0", event_start__hour="99")
    page = Page(client.post("/counter/orders", data=sent).text)
    assert all(page.problem(field) for field in ("phone", "lines-0-quantity", "event_start-hour"))


def test_the_sentence_stands_at_its_line_when_lines_before_are_blank(client):
    sent = payload(
        lines__0__what="",
        lines__0__quantity="",
        lines__0__colours="",
        lines__1__what="balloon_type:4",
        lines__1__quantity="3",
        lines__2__what=FOIL,
        lines__2__quantity="1",
        lines__2__treated="y",
    )
    page = Page(client.post("/counter/orders", data=sent).text)
    assert page.problem("lines-2-treated")
    assert not page.problem("lines-1-treated")


def test_a_refused_order_can_be_put_right_and_taken(client, database):
    client.post("/counter/orders", data=payload(phone="x"))
    assert client.post("/counter/orders", data=payload()).status_code == 303
    assert _orders(database) == 1


def test_a_double_click_saves_one_order(client, database):
    answers = [client.post("/counter/orders", data=payload()) for _ in range(2)]
    assert answers[0].location == answers[1].location
    assert _orders(database) == 1


def test_a_form_whose_key_is_taken_gets_one_of_its_own_and_loses_nothing(client, database):
    first = take(client)
    answer = client.post("/counter/orders", data=payload(customer="Otis Pell"))
    page = Page(answer.text)
    assert (answer.status_code, page.links) == (422, [])
    assert str(first) in page.summary
    assert page.values["customer"] == "Otis Pell"
    assert page.values["client_key"] not in ("", "key-1")
    second = client.post("/counter/orders", data=page.values)
    assert int(second.location.rpartition("/")[2]) == first + 1
    with database.reading() as session:
        assert [order.customer for order in session.scalars(select(Order).order_by(Order.number))] == [
            "Wilhelmina Hart",
            "Otis Pell",
        ]


def test_two_orders_without_a_key_are_two_orders(client, database):
    """A form that lost its key must not hand out somebody else's order."""
    for customer in ("Wilhelmina Hart", "Otis Pell"):
        client.post("/counter/orders", data=payload(client_key="", customer=customer))
    assert _orders(database) == 2


def test_an_emoji_beside_letters_is_part_of_a_name(client, database):
    take(client, customer="Zoë 🎈 O'Neill")
    assert _one(database)[0].customer == "Zoë 🎈 O'Neill"


def test_what_people_type_is_never_a_tag(client):
    number = take(client, customer="<b>Bo</b>", notes="<script src=x></script>", lines__0__colours="<i>red</i>")
    for address in (f"/counter/orders/{number}", "/bench", "/pickups/", f"/bench/batches/{number}-1"):
        text = client.get(address).text
        assert "<b>Bo" not in text
        assert "<i>red" not in text
        assert "<script src=x>" not in text


def test_an_order_at_once_asks_for_neither_name_nor_hours(client, database):
    hours = dict.fromkeys(
        [
            "event_start__day",
            "event_start__hour",
            "lasts_until__day",
            "lasts_until__hour",
            "hand_over_time__day",
            "hand_over_time__hour",
        ]
    )
    take(client, occasion="now", customer="", phone="", **hours)
    order, _, _ = _one(database)
    assert (order.customer, order.event_start, order.lasts_until) == (OVER_THE_COUNTER, None, None)


def test_an_order_at_once_is_not_asked_where_to(client, database):
    """“Delivered” was picked before “at once”: nothing is delivered then."""
    take(client, occasion="now", hand_over="deliver")
    assert _one(database)[0].hand_over == "collect"


def test_a_delivery_leaves_the_travel_time_before(client, database):
    take(client, hand_over="deliver", address="4 Mill Lane", travel_minutes="45")
    order, _, _ = _one(database)
    assert f"{order.ready_by:%H:%M} {order.arrives_at:%H:%M}" == "13:15 14:00"


def test_a_date_left_out_follows_from_the_event(client, database):
    take(client, lasts_until__day="", hand_over_time__day="")
    order, _, _ = _one(database)
    assert f"{order.ready_by:%d %H:%M} {order.lasts_until:%d %H:%M}" == "21 14:00 21 19:00"


@pytest.mark.parametrize(("typed", "hour"), [("2pm", 14), ("14", 14), ("1400", 14), ("2.00 pm", 14), ("noon", 12)])
def test_hours_are_typed_as_people_write_them(client, database, typed, hour):
    take(client, hand_over_time__hour=typed)
    assert _one(database)[0].ready_by.hour == hour


def test_a_risky_order_is_taken_with_what_the_customer_accepted_and_the_ticket_shows_it(client):
    number = take(client, lasts_until__day="2026-11-22", accepted_risk="It need only last until the cake.")
    for address in (f"/bench/batches/{number}-1", f"/counter/orders/{number}", "/bench"):
        assert "It need only last until the cake." in words(client.get(address).text)


def test_a_design_retired_since_the_form_was_opened_is_refused(client, database):
    with database.writing() as session:
        design = bouquet(session, load_catalogue(session))
        archive_design(session, design.id, MORNING)
    answer = client.post("/counter/orders", data=payload(lines__0__what=f"design:{design.id}"))
    assert answer.status_code == 422
    assert Page(answer.text).problem("lines-0-what") == DESIGN_NO_LONGER_SOLD
    assert Page(answer.text).values["lines-0-what"] == f"design:{design.id}"


def test_a_line_with_two_slips_is_told_of_both(client):
    page = Page(client.post("/counter/orders", data=payload(lines__0__what="", lines__0__quantity="2.5")).text)
    assert page.problem("lines-0-what") == CHOOSE_GOODS
    asked = enter_whole(1, MOST_OF_A_LINE).replace(f"{MOST_OF_A_LINE}", f"{MOST_OF_A_LINE:,}")
    assert page.problem("lines-0-quantity") == asked
