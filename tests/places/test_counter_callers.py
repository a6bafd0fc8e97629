"""While the caller talks: who they are, what they ordered before, and the same again on another day."""

import pytest
from sqlalchemy import func, select, update

from app.actions.records.catalogue import load_catalogue
from app.quoting.parts import DESIGN_NO_LONGER_SOLD
from app.store.models import BalloonTypeRow, Customer, DesignRow, Order
from tests.actions.builders import bouquet
from tests.places.answers import having
from tests.places.marks import marks, text_of
from tests.places.payloads import CALLED_OFF, Page, payload, take, words

FROM_MEMORY = {"surroundings": "sun", "venue_warmth": "27", "venue_elevation": "300", "notes": "side door"}
DELIVERED = {"hand_over": "deliver", "address": "4 Mill Lane", "travel_minutes": "25"}
BLANK = {
    "event_start__day": "",
    "event_start__hour": "",
    "lasts_until__day": "",
    "lasts_until__hour": "",
    "hand_over_time__day": "",
    "hand_over_time__hour": "",
    "lines__0__what": "",
    "lines__0__quantity": "",
    "lines__0__colours": "",
    "notes": "",
    "client_key": "key-9",
}


def _callers(client, **asked):
    answer = client.get("/counter/callers", query_string=asked)
    assert answer.status_code == 200
    return answer.text


def _draft(client, fix, **changes):
    answer = client.post("/counter/draft", data=payload(fix=fix, **(BLANK | changes)))
    assert answer.status_code == 200
    return answer.text


def _buttons(text, beginning):
    return [
        attrs["value"]
        for tag, attrs in Page(text).tags
        if tag == "button" and attrs.get("value", "").startswith(beginning)
    ]


def _customer_of(database, number):
    with database.reading() as session:
        return session.scalars(select(Order.customer_id).where(Order.number == number)).one()


def test_they_are_found_by_digits_of_the_phone_or_letters_of_the_name(client, database):
    customer = _customer_of(database, take(client))
    for asked in ({"phone": "960101"}, {"phone": "+44 1632 960101"}, {"customer": "elmina"}, {"customer": "0101"}):
        assert _buttons(_callers(client, **asked), "caller-") == [f"caller-{customer}"], asked
    text = _callers(client, phone="9601")
    assert "Wilhelmina Hart 01632 960101" in words(text)
    assert [attrs["data-last-order"] for attrs in having(Page(text), "data-last-order")] == ["2026-11-21"]


def test_the_phone_counts_first_and_the_name_where_the_phone_finds_nobody(client, database):
    hart = _customer_of(database, take(client))
    vik = _customer_of(database, take(client, client_key="key-2", customer="Runa Vik", phone="01632 960202"))
    assert _buttons(_callers(client, customer="runa", phone="960101"), "caller-") == [f"caller-{hart}"]
    assert _buttons(_callers(client, customer="runa", phone="555555"), "caller-") == [f"caller-{vik}"]


@pytest.mark.parametrize(
    "asked", [{}, {"customer": "x"}, {"phone": "01"}, {"customer": "%%"}, {"phone": "9" * 999}]
)
def test_nobody_is_an_empty_list(client, asked):
    take(client)
    assert words(_callers(client, **asked)) == ""


def test_it_is_a_list_alone_and_its_buttons_go_to_the_draft_of_the_order(client, number):
    text = _callers(client, phone="960101", order=str(number))
    assert "<html" not in text
    (button,) = [attrs for tag, attrs in Page(text).tags if tag == "button"]
    assert button["formaction"] == button["hx-post"] == f"/counter/draft?order={number}"


def test_names_are_shown_as_text(client):
    take(client, customer="Zoë <b>Sons</b>")
    assert "Zoë &lt;b&gt;Sons&lt;/b&gt;" in _callers(client, customer="zoe")


def test_without_scripts_a_button_shows_the_same_list(client, database):
    customer = _customer_of(database, take(client))
    text = _draft(client, "callers", customer="", phone="960101")
    assert _buttons(text, "caller-") == [f"caller-{customer}"]
    assert Page(text).values["phone"] == "960101"
    assert "aria-invalid" not in text
    assert "no-caller" in Page(_draft(client, "callers", customer="Nobody", phone="")).by_id


def test_choosing_fills_in_who_and_keeps_what_was_typed(client, database):
    customer = _customer_of(database, take(client))
    text = _draft(client, f"caller-{customer}", customer="", phone="9601", notes="ring twice")
    page = Page(text)
    assert page.values["customer"] == "Wilhelmina Hart"
    assert page.values["phone"] == "01632 960101"
    assert page.values["customer_id"] == str(customer)
    assert page.values["notes"] == "ring twice"
    assert "autofocus" in page.by_id["event_start-day"]
    assert not _buttons(text, "caller-")


def test_of_several_phones_the_one_that_was_typed_is_filled_in(client, database):
    customer = _customer_of(database, take(client))
    client.post(
        f"/counter/customers/{customer}",
        data={
            "shown_name": "Wilhelmina Hart",
            "shown_phones-0": "01632 960101",
            "name": "Wilhelmina Hart",
            "phones-0": "01632 960101",
            "phones-1": "020 7946 0999",
        },
    )
    for typed, filled in (("7946", "020 7946 0999"), ("", "01632 960101"), ("+44 1632 96", "01632 960101")):
        page = Page(_draft(client, f"caller-{customer}", customer="Wil", phone=typed))
        assert page.values["phone"] == filled


def test_a_new_phone_that_was_typed_stays_and_becomes_theirs(client, database):
    customer = _customer_of(database, take(client))
    page = Page(_draft(client, f"caller-{customer}", customer="Wilh", phone="020 7946 0999"))
    assert (page.values["customer"], page.values["phone"]) == ("Wilhelmina Hart", "020 7946 0999")
    take(client, client_key="key-2", phone=page.values["phone"], customer_id=page.values["customer_id"])
    assert "01632 960101 · 020 7946 0999" in words(_callers(client, customer="Wilhelmina"))
    unsound = Page(_draft(client, f"caller-{customer}", customer="Wilh", phone="ask for Bo"))
    assert unsound.values["phone"] == "01632 960101"


def test_the_phone_of_a_caller_chosen_by_mistake_does_not_stay_with_the_next_one(client, database):
    mistaken = _customer_of(database, take(client, client_key="key-2", customer="Runa Vik", phone="01632 960202"))
    customer = _customer_of(database, take(client))
    for chosen, filled in ((customer, "01632 960101"), (mistaken, "01632 960202")):
        page = Page(
            _draft(client, f"caller-{chosen}", customer="V", phone="01632 960202", customer_id=str(mistaken))
        )
        assert page.values["phone"] == filled


def _short_take(client, **changes):
    """Takes an order of which nine fit on the bench beside one another: it may be filled from early on."""
    return take(client, lasts_until__hour="17:00", **changes)


def test_both_name_and_phone_come_before_the_field_in_hand(client, database):
    hester = _customer_of(database, take(client, customer="Hester", phone="01632 960100"))
    others = [
        _customer_of(
            database, _short_take(client, client_key=f"k{n}", customer=f"{name} Vik", phone=f"01632 96020{n}")
        )
        for n, name in enumerate(["Ada", "Bo", "Cy", "Di", "Ed", "Flo", "Gus", "Hal"])
    ]
    for hand in ("phone", "customer"):
        text = _callers(client, customer="Hester", phone="016", typed_field=hand)
        assert _buttons(text, "caller-")[0] == f"caller-{hester}"
    both = _buttons(_callers(client, customer="Hester", phone="016", typed_field="phone"), "caller-")
    assert both == [f"caller-{one}" for one in (hester, *reversed(others[1:]))]
    only = _buttons(_callers(client, customer="Hester", phone="020", typed_field="customer"), "caller-")
    assert only == [f"caller-{hester}"]


def _found(text):
    (found,) = having(Page(text), "data-found")
    return found["data-found"], found["data-more"]


def test_more_than_eight_are_said_to_be_more(client):
    for number in range(8):
        _short_take(
            client, client_key=f"k{number}", customer=f"Vik {'abcdefgh'[number]}", phone=f"01632 96020{number}"
        )
    assert _found(_callers(client, customer="vik")) == ("8", "no")
    _short_take(client, client_key="k9", customer="Vik i", phone="01632 960209")
    text = _callers(client, customer="vik")
    assert _found(text) == ("8", "yes")
    assert len(_buttons(text, "caller-")) == 8


def test_each_field_asks_with_both_and_says_that_it_is_in_hand(client):
    page = Page(client.get("/counter/").text)
    for name in ("customer", "phone"):
        assert page.by_id[name]["hx-include"] == "#customer, #phone"
        assert page.by_id[name]["hx-vals"] == f'{{"typed_field": "{name}"}}'


def test_who_becomes_a_customer_is_said_only_where_it_is_so(client, number):
    asked = {"customer": "Nobody", "phone": "555 111"}
    assert "new-customer" in Page(_draft(client, "callers", **asked)).by_id
    assert "new-customer" not in Page(_draft(client, "callers", **asked | {"phone": ""})).by_id
    changing = client.post(f"/counter/draft?order={number}", data=payload(fix="callers", **asked)).text
    assert "no-caller" in Page(changing).by_id
    assert "new-customer" not in Page(changing).by_id


def test_earlier_orders_say_air_and_later_part(client, database):
    later = {
        "later_hand_over_time__day": "2026-11-21",
        "later_hand_over_time__hour": "14:30",
        "lines__1__later": "y",
    }
    number = take(client, lines__0__gas="air", lines__1__what="balloon_type:4", lines__1__quantity="2", **later)
    page = client.get(f"/counter/customers/{_customer_of(database, number)}").text
    (lines,) = marks(page, "lines")
    first, second = (line.split(", ") for line in lines.split("|"))
    assert first == ["24 × 11 in latex", "12 red", "12 white", "air"]
    assert second == ["2 × 11 in latex", "later part"]
    assert all(value in words(page) for value in (*first, *second))


def test_who_was_chosen_is_whose_order_it_is(client, database):
    customer = _customer_of(database, take(client))
    number = take(client, client_key="key-2", phone="01632 960777", customer_id=str(customer))
    assert _customer_of(database, number) == customer
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Customer)) == 1


def test_their_latest_five_orders_stand_beside_the_form(client, database):
    numbers = [take(client, client_key=f"key-{place}") for place in range(7)]
    client.post(f"/counter/orders/{numbers[6]}/cancel", data=CALLED_OFF)
    customer = _customer_of(database, numbers[0])
    text = _draft(client, f"caller-{customer}")
    assert _buttons(text, "repeat-") == [f"repeat-{number}" for number in reversed(numbers[2:])]
    past = having(Page(text), "data-state")
    assert [(one["data-state"], one["data-verdict"]) for one in past][:2] == [
        ("cancelled", "safe"),
        ("open", "safe"),
    ]
    said = text_of(text, "regular")
    assert "Wilhelmina Hart" in said
    assert said.count("£26.40") == 9  # each has its price; the four that are open have it to pay as well
    assert [line.split(", ") for line in marks(text, "lines")] == [["24 × 11 in latex", "12 red", "12 white"]] * 5
    assert said.count(marks(text, "lines")[0]) == 5
    assert [attrs["value"] for _, attrs in Page(text).tags if attrs.get("data-keys") == "Alt+r"] == [
        f"repeat-{numbers[6]}"
    ]


def test_they_stay_there_while_the_form_is_worked_out_and_go_with_the_name(client, database):
    customer = str(_customer_of(database, take(client)))
    assert "regular" in Page(_draft(client, "work", customer_id=customer)).by_id
    assert "regular" in Page(_draft(client, "restore", customer_id=customer)).by_id
    assert "regular" not in Page(_draft(client, "work", customer_id=customer, customer="Jory Hart")).by_id
    assert "regular" not in Page(_draft(client, "work", customer_id="999")).by_id


def test_a_repeat_fills_in_all_but_the_dates(client):
    number = take(client, **FROM_MEMORY, **DELIVERED, lines__1__what="balloon_type:12", lines__1__quantity="2")
    page = Page(_draft(client, f"repeat-{number}", customer_id="1"))
    assert {page.values[f"{moment}-day"] for moment in ("event_start", "lasts_until", "hand_over_time")} == {""}
    hours = [page.values[f"{moment}-hour"] for moment in ("event_start", "lasts_until", "hand_over_time")]
    assert hours == ["15:00", "19:00", "14:00"]
    for name, value in (FROM_MEMORY | DELIVERED | {"venue_warmth": ""}).items():
        assert page.values[name] == value, name
    assert (page.values["lines-0-what"], page.values["lines-0-colours"]) == ("balloon_type:4", "12 red, 12 white")
    assert (page.values["lines-1-what"], page.values["lines-1-quantity"]) == ("balloon_type:12", "2")
    assert page.values["client_key"] == "key-9"
    assert page.values["customer_id"] == "1"
    assert "autofocus" in page.by_id["event_start-day"]
    assert not page.problem("event_start-day")


TYPED = {
    "event_start__day": "2026-11-28",
    "event_start__hour": "16:00",
    "hand_over": "deliver",
    "address": "7 Quay Row",
    "travel_minutes": "15",
    "notes": "blue door",
    "lines__0__what": "balloon_type:12",
    "lines__0__quantity": "3",
    "lines__1__what": "balloon_type:6",
    "lines__1__quantity": "1",
    "lines__2__what": "balloon_type:4",
    "lines__2__quantity": "7",
    "lines__2__treated": "y",
}


def test_a_repeat_keeps_what_was_typed_of_dates_notes_and_address(client, number):
    values = Page(_draft(client, f"repeat-{number}", **TYPED)).values
    for name in ("event_start__day", "event_start__hour", "hand_over", "address", "travel_minutes", "notes"):
        assert values[name.replace("__", "-")] == TYPED[name], name
    assert (values["lasts_until-day"], values["lasts_until-hour"]) == ("", "19:00")
    assert (values["lines-0-quantity"], "lines-1-what" in values) == ("24", False)


def _press(client, page, fix):
    return Page(client.post("/counter/draft", data=page.values | {"fix": fix}).text)


def _typed(page):
    return {name: value for name, value in page.values.items() if name not in ("undo", "accepted_risk")}


def test_one_press_takes_a_repeat_back_with_all_lines(client):
    many, one = (
        take(client, lines__1__what="balloon_type:6", lines__1__quantity="2"),
        take(client, client_key="key-2"),
    )
    before = Page(_draft(client, "restore", **TYPED))
    text = client.post("/counter/draft", data=before.values | {"fix": f"repeat-{one}"}).text
    assert Page(text).by_id["undo"]["data-undoes"] == "repeat"
    assert _typed(Page(text)) != _typed(before)
    assert _typed(_press(client, Page(text), "undo")) == _typed(before)
    blank = Page(_draft(client, "restore"))
    assert _typed(_press(client, _press(client, blank, f"repeat-{many}"), "undo")) == _typed(blank)


def test_another_repeat_brings_nothing_of_the_first_and_goes_back_step_by_step(client):
    first = take(client, notes="first notes", **DELIVERED)
    second = take(client, client_key="key-2", notes="second notes", lines__0__quantity="5", lines__0__colours="")
    blank = Page(_draft(client, "restore"))
    one = _press(client, blank, f"repeat-{first}")
    two = _press(client, one, f"repeat-{second}")
    assert (two.values["notes"], two.values["address"], two.values["hand_over"]) == ("second notes", "", "collect")
    back = _press(client, two, "undo")
    assert _typed(back) == _typed(one)
    assert _typed(_press(client, back, "undo")) == _typed(blank)


@pytest.mark.parametrize(
    "undo", ['{"lines": 9999}', '{"lines": "x"}', '{"lines": 2, "undo": 7}', "[" * 9999, '{"undo": []}', "7"]
)
def test_an_undo_that_no_form_wrote_does_no_harm(client, undo, number):
    for fix in ("undo", f"repeat-{number}", "work"):
        page = Page(_draft(client, fix, undo=undo))
        assert "lines-0-what" in page.values


def test_an_hour_of_another_day_than_the_events_is_left_to_say(client):
    day_before = {"event_start__day": "2026-11-22", "event_start__hour": "18:00"}
    until = {"lasts_until__day": "2026-11-22", "lasts_until__hour": "20:00"}
    number = take(client, hand_over_time__hour="15:00", accepted_risk="Fine.", **day_before, **until)
    values = Page(_draft(client, f"repeat-{number}")).values
    hours = [values[f"{moment}-hour"] for moment in ("event_start", "lasts_until", "hand_over_time")]
    assert hours == ["18:00", "20:00", ""]


@pytest.mark.parametrize(("end", "saved"), [("01:00", "01:00"), ("20:00", "")])
def test_an_end_on_the_next_day_stays_where_the_form_can_offer_that_day(client, end, saved):
    until = {"lasts_until__day": "2026-11-22", "lasts_until__hour": end}
    number = take(client, accepted_risk="Fine.", **until)
    values = Page(_draft(client, f"repeat-{number}")).values
    assert values["lasts_until-hour"] == saved


def test_indoors_the_warmth_stays(client):
    number = take(client, surroundings="indoors", venue_warmth="24")
    assert Page(_draft(client, f"repeat-{number}")).values["venue_warmth"] == "24"


def test_the_same_again_takes_todays_prices_on_the_new_date(client, database, number):
    with database.writing() as session:
        session.execute(update(BalloonTypeRow).where(BalloonTypeRow.id == 4).values(price_minor=200))
    repeated = Page(_draft(client, f"repeat-{number}")).values | {"event_start-day": "2026-11-28"}
    again = client.post("/counter/orders", data=repeated)
    assert again.status_code == 303, again.text
    with database.reading() as session:
        orders = session.scalars(select(Order).order_by(Order.number)).all()
    assert [order.total_minor for order in orders] == [2640, 4800]
    assert [f"{order.lasts_until:%d %H:%M}" for order in orders] == ["21 19:00", "28 19:00"]
    assert orders[0].customer_id == orders[1].customer_id


def test_a_repeat_begins_at_the_day_it_must_last_to_or_at_the_number(client):
    until = take(client, occasion="until")
    at_once = take(client, client_key="key-2", occasion="now")
    assert "autofocus" in Page(_draft(client, f"repeat-{until}")).by_id["lasts_until-day"]
    assert "autofocus" in Page(_draft(client, f"repeat-{at_once}")).by_id["lines-0-quantity"]


def test_what_is_no_longer_sold_is_said_at_its_line(client, database):
    with database.writing() as writing:
        design = bouquet(writing, load_catalogue(writing)).id
    number = take(client, lines__1__what=f"design:{design}", lines__1__quantity="1", lines__1__colours="blue")
    with database.writing() as writing:
        writing.execute(update(DesignRow).values(archived_at=writing.scalars(select(Order.taken_at)).one()))
    page = Page(_draft(client, f"repeat-{number}"))
    assert page.problem("lines-1-what") == DESIGN_NO_LONGER_SOLD
    assert not page.problem("lines-0-what")
    assert page.values["lines-1-what"] == f"design:{design}"


@pytest.mark.parametrize("fix", ["caller-999", "repeat-999", "caller-", "repeat-²", "caller-" + "9" * 30])
def test_a_press_that_means_nobody_changes_nothing(client, fix):
    page = Page(_draft(client, fix, notes="ring twice"))
    assert page.values["customer"] == "Wilhelmina Hart"
    assert page.values["notes"] == "ring twice"


def test_a_change_keeps_its_customer_and_offers_no_repeat(client, database, number):
    text = client.get(f"/counter/orders/{number}/change").text
    assert Page(text).values["customer_id"] == str(_customer_of(database, number))
    assert not _buttons(text, "repeat-")


def test_asking_keeps_nothing(client, database, number):
    _draft(client, f"repeat-{number}")
    _draft(client, "caller-1")
    _callers(client, customer="Somebody New")
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Order)) == 1
        assert session.scalar(select(func.count()).select_from(Customer)) == 1
