"""Pick-ups: the day on its time line, what a wait does, the place and the tag, the run of the deliveries."""

from datetime import timedelta

import pytest

from app.actions.records.orders import load_order
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import Page, take, words
from tests.places.test_bench_gas import put_venue_order
from tests.places.test_office_gas import add

FOIL_TOO = {"lines__1__what": "balloon_type:12", "lines__1__quantity": "2", "lines__1__gas": "helium"}


def _fill(client, number, batches=1):
    for batch in range(1, batches + 1):
        sent = {"act": "finish", "client_key": f"fill {number}-{batch}", "sure": "yes"}
        client.post(f"/bench/batches/{number}-{batch}/taps", data=sent)


def _step(client, number, step, sure="unpaid unweighted"):
    sent = {"step": step, "client_key": f"{number} {step}", "sure": sure}
    answer = client.post(f"/pickups/orders/{number}/steps", data=sent)
    assert answer.status_code == 303, words(answer.text)


def _place(client, number, place, part="main"):
    return client.post(f"/pickups/orders/{number}/place", data={"place": place, "part": part})


def _states(client):
    page = client.get("/pickups/").text
    on_line = marks(page, "mark")
    once = on_line[: len(on_line) // 3]
    assert on_line == once * 3  # drawn for three widths
    return marks(page, "state"), once


def test_an_empty_day_has_no_time_line(client):
    page = client.get("/pickups/").text
    assert marks(page, "role") == []
    assert "No pick-ups today." in words(page)


def test_every_state_is_a_word_and_a_sign_on_the_list_and_on_the_time_line(client, now, number):
    assert marks(client.get("/pickups/").text, "role") == ["chart"]
    assert _states(client) == (["not-started"], ["not-started"])
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "start", "client_key": "s", "sure": "yes"})
    assert _states(client) == (["in-progress"], ["in-progress"])
    assert "In progress 0/24" in text_of(client.get("/pickups/").text, f"order-{number}")
    _fill(client, number)
    assert _states(client) == (["filled"], ["filled"])
    now.move_to(now().replace(hour=14, minute=1))
    assert _states(client) == (["late"], ["late"])
    _step(client, number, "ready")
    assert _states(client) == (["not-collected"], ["not-collected"])
    _step(client, number, "handed over")
    assert _states(client) == (["gone"], ["gone"])


def test_the_time_line_says_in_words_what_it_shows(client, number):
    take(client, client_key="key-2", hand_over_time__hour="11:00", bench_override="By turns.")
    page = client.get("/pickups/").text
    pictures = [attrs for tag, attrs in Page(page).tags if tag == "svg" and attrs.get("role") == "group"]
    lines = [attrs["aria-label"] for attrs in pictures if "day-line" in attrs["class"]]
    assert len(lines) == 3
    assert set(lines) == {"2 pick-ups: 2 not started"}


def test_what_is_left_from_yesterday_is_counted_but_not_on_the_line_of_today(client, now, number):
    now.tick(timedelta(days=1))
    assert _states(client) == (["late"], [])
    assert "from earlier days" in words(client.get("/pickups/").text)


def test_a_late_collection_in_the_same_air_changes_nothing_and_needs_nothing(client, now, number):
    now.move_to(now().replace(hour=13, minute=30))
    _fill(client, number)
    assert marked(client.get("/pickups/").text, "wait") == []
    now.move_to(now().replace(hour=14, minute=20))
    (wait,) = marked(client.get("/pickups/").text, "wait")
    assert wait["data-agreed"] == wait["data-waited"]
    assert (wait["data-wait-verdict"], wait["data-remedies"]) == ("safe", "")
    assert wait["data-kept-until"].startswith("2026-11-21T")


def test_latex_that_nobody_collected_by_the_next_day_is_replaced_and_foil_still_floats(client, now):
    number = take(client, bench_override="By turns.", lines__1__colours="gold", **FOIL_TOO)
    now.move_to(now().replace(hour=13, minute=30))
    _fill(client, number, 2)
    now.tick(timedelta(days=1))
    (wait,) = marked(client.get("/pickups/").text, "wait")
    assert (wait["data-wait-verdict"], wait["data-remedies"]) == ("wont-last", "replace")
    agreed, waited = (int(wait[f"data-{when}"].removesuffix("%")) for when in ("agreed", "waited"))
    assert agreed >= 95
    assert waited < 5
    assert "24 × 11 in latex" in text_of(client.get("/pickups/").text, f"order-{number}").split("Replace")[1]


def test_foil_that_waits_for_weeks_is_topped_up(client, now):
    line = {name.replace("lines__1", "lines__0"): value for name, value in FOIL_TOO.items()}
    number = take(client, lines__0__colours="gold", **line)
    _fill(client, number)
    now.tick(timedelta(days=15))
    (wait,) = marked(client.get("/pickups/").text, "wait")
    assert (wait["data-wait-verdict"], wait["data-remedies"]) == ("wont-last", "top-up")


def test_what_is_filled_with_air_and_what_has_left_waits_for_nobody(client, now):
    air = take(client, lines__0__gas="air")
    gone = take(client, client_key="key-2", bench_override="By turns.")
    for number in (air, gone):
        _fill(client, number)
    _step(client, gone, "handed over")
    now.tick(timedelta(hours=9))
    assert marked(client.get("/pickups/").text, "wait") == []


def test_a_page_with_a_waiting_order_comes_anew_at_the_next_quarter(client, now, number):
    _fill(client, number)
    now.move_to(now().replace(hour=14, minute=14, second=50))
    version = marks(client.get("/pickups/").text, "version")[0]
    now.tick(timedelta(seconds=9))
    assert client.get("/pickups/", query_string={"v": version}).status_code == 204
    now.tick(timedelta(seconds=1))
    assert client.get("/pickups/", query_string={"v": version}).status_code == 200


def test_a_place_is_saved_with_one_field_and_shown_on_card_and_tag(client, number):
    _fill(client, number)
    page = client.get("/pickups/").text
    assert marks(page, "place") == []
    assert Page(page).by_id[f"place-{number}"]["value"] == ""
    assert _place(client, number, " Rail  3 ").status_code == 303
    page = client.get("/pickups/").text
    assert len(marks(page, "place")) == 1
    assert "Rail 3" in text_of(page, f"order-{number}")
    assert Page(page).by_id[f"place-{number}"]["value"] == "Rail 3"
    assert "Rail 3" in words(client.get(f"/pickups/{number}/tag").text)
    assert "placed" in marks(client.get(f"/counter/orders/{number}").text, "act")


def test_a_place_that_is_too_long_stays_typed_with_its_sentence(client, number):
    answer = _place(client, number, "x" * 31)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.links == [f"place-{number}"]
    assert page.by_id[f"place-{number}"]["value"] == "x" * 31


def _take_in_two_parts(client):
    later = {"later_hand_over_time__day": "2026-11-21", "later_hand_over_time__hour": "15:15",
             "lines__0__later": "y", "event_start__hour": "16:00", "lasts_until__hour": "20:00"}  # fmt: skip
    return take(client, bench_override="By turns.", lines__1__colours="gold", **FOIL_TOO, **later)


def test_the_tag_names_order_customer_time_and_each_part(client):
    number = _take_in_two_parts(client)
    page = client.get(f"/pickups/{number}/tag").text
    assert marks(page, "tag") == [str(number)] * 2
    assert marks(page, "part") == ["main", "later"]
    assert [moment[11:16] for moment in marks(page, "ready-by")] == ["14:00", "15:15"]
    assert "Wilhelmina Hart" in words(page)
    assert "Sat 21 Nov" in words(page)


def test_only_the_card_and_the_tag_of_a_part_show_where_it_stands(client):
    number = _take_in_two_parts(client)
    assert _place(client, number, "Net", "later").status_code == 303
    page = client.get("/pickups/").text
    assert "Net" not in text_of(page, f"order-{number}")
    assert Page(page).by_id[f"place-{number}-later"]["value"] == "Net"
    main, later = client.get(f"/pickups/{number}/tag").text.split('data-part="later"')
    assert ("Net" in words(main), "Net" in words(later)) == (False, True)
    assert _place(client, number, "Net", "third").status_code == 422


@pytest.mark.parametrize("number", [9999, 2**40])
def test_an_order_that_is_not_there_has_no_tag(client, number):
    assert client.get(f"/pickups/{number}/tag").status_code == 404


def test_deliveries_are_a_run_by_the_time_they_leave_with_address_and_phone(client):
    take(client)
    sent = {"hand_over": "deliver", "travel_minutes": "45", "bench_override": "By turns."}
    late = take(client, client_key="key-2", address="4 Mill Lane", **sent)
    early = take(client, client_key="key-3", address="9 Weir Road", hand_over_time__hour="13:00", **sent)
    page = client.get("/pickups/").text
    run = marked(page, "run")
    assert [one["data-run"] for one in run] == [str(early), str(late)]
    assert [one["data-leave-by"][11:16] for one in run] == ["12:15", "13:15"]
    said = text_of(page, "run")
    assert said.index("9 Weir Road") < said.index("4 Mill Lane")
    calls = [attrs["href"] for tag, attrs in Page(page).tags if tag == "a" and "button" in attrs.get("class", "")]
    assert calls.count("tel:01632960101") == 2


def test_what_leaves_first_is_on_top_and_the_next_one_is_the_first_that_is_not_ready(client):
    first = take(client)
    sent = {"hand_over": "deliver", "travel_minutes": "30", "bench_override": "By turns.", "address": "4 Mill Lane"}
    late = take(client, client_key="key-2", hand_over_time__hour="15:00", **sent)
    early = take(client, client_key="key-3", hand_over_time__hour="13:00", **sent)
    page = client.get("/pickups/").text
    assert _cards(page) == [f"order-{number}" for number in (early, first, late)]
    assert _next(page) == str(early)
    _fill(client, early)
    for step in ("assembled", "weighted", "bagged", "ready"):
        _step(client, early, step)
    page = client.get("/pickups/").text
    assert _cards(page)[0] == f"order-{early}"
    assert _next(page) == str(first)
    assert marks(client.get("/pickups/", query_string={"day": "2026-11-22"}).text, "next") == []


def _cards(page):
    return [attrs["id"] for tag, attrs in Page(page).tags if tag == "li" and "data-part" in attrs]


def _next(page):
    (card,) = marks(page, "next")
    return card


def test_a_day_with_collections_only_has_no_run(client, number):
    assert "run" not in Page(client.get("/pickups/").text).by_id


def test_the_crew_loads_gas_stands_balloons_and_tools(client, database):
    add(client)
    number = put_venue_order(database)
    page = client.get("/pickups/").text
    assert marks(page, "load-group") == ["gas", "stands", "balloons", "tools", "papers"]
    said = text_of(page, f"load-{number}")
    for what in ("of helium", "not chosen yet", "Filling stand", "24 × 11 in latex", "Sizer", "to collect"):
        assert what in said
    client.post(f"/counter/orders/{number}/gas/1", data={"act": "along", "client_key": "go", "number": str(number)})
    assert "Cylinder Ada" in text_of(client.get("/pickups/").text, f"load-{number}")


def test_a_delivery_loads_what_is_filled(client):
    number = take(client, hand_over="deliver", travel_minutes="45", address="4 Mill Lane")
    page = client.get("/pickups/").text
    assert marks(page, "load-group") == ["balloons", "papers"]
    assert "24 × 11 in latex" in text_of(page, f"load-{number}")


def test_on_account_is_one_press_and_its_undo_is_another(client, database, number):
    _fill(client, number)
    assert marks(client.get("/pickups/").text, "unpaid") == ["2640"]
    _step(client, number, "on account")
    page = client.get("/pickups/").text
    assert (marks(page, "unpaid"), marks(page, "money")) == ([], ["on account"])
    _step(client, number, "weighted")
    (tap,) = [attrs["value"] for attrs in _undo_of(client, "on account")]
    client.post(f"/pickups/orders/{number}/undo", data={"tap": tap})
    assert marks(client.get("/pickups/").text, "unpaid") == ["2640"]
    _step(client, number, "handed over", sure="unpaid")
    with database.reading() as session:
        assert load_order(session, number).state == "handed over"


def _undo_of(client, step):
    """The hidden field of the undo at this check."""
    part = client.get("/pickups/").text.split(f'data-of-step="{step}"')[1].split("</li>")[0]
    return [attrs for _, attrs in Page(f"<li {part}").tags if attrs.get("name") == "tap"]


def test_paid_at_the_check_list_says_who_and_when(client, number):
    _fill(client, number)
    sent = {"client_key": "cash", "how": "cash", "due": "2640"}
    assert client.post(f"/pickups/orders/{number}/payments", data=sent).status_code == 303
    page = client.get("/pickups/").text
    assert (marks(page, "unpaid"), marks(page, "money")) == ([], ["paid"])
    paid = page.split('data-of-step="paid"')[1].split("</li>")[0]
    assert "no name" in words(f"<li {paid}")
    assert f"/counter/orders/{number}#money" in paid


def test_one_way_back_stands_at_a_hand_over_that_was_pressed_wrongly(client, number):
    _fill(client, number)
    _step(client, number, "handed over")
    page = client.get("/pickups/").text
    assert f"undo-{number}" in Page(page).by_id
    (tap,) = [attrs["value"] for _, attrs in Page(page).tags if attrs.get("name") == "tap"]
    assert client.post(f"/pickups/orders/{number}/undo", data={"tap": tap}).status_code == 303
    assert marks(client.get("/pickups/").text, "state") == ["ready"]


def test_a_place_is_shown_on_the_ticket_and_the_board_too(client, number):
    assert marks(client.get(f"/bench/batches/{number}-1").text, "place") == []
    _place(client, number, "Rail 3")
    ticket = client.get(f"/bench/batches/{number}-1").text
    assert len(marks(ticket, "place")) == 1
    assert "Rail 3" in words(ticket)
    assert len(marks(client.get("/bench").text, "place")) == 1


def _ask(client, number, at):
    return client.get("/pickups/", query_string={"later": str(number), "at": at}).text


def test_a_caller_who_comes_later_hears_at_once_what_the_wait_does(client, now, number):
    """Before it is overdue; a time that has passed is one of tomorrow. The page renews itself with the answer."""
    now.move_to(now().replace(hour=13))
    _fill(client, number)
    (wait,) = marked(_ask(client, number, "16:30"), "wait")
    assert (wait["data-wait"], wait["data-wait-verdict"]) == (str(number), "safe")
    assert Page(_ask(client, number, "16:30")).by_id[f"at-{number}"]["value"] == "16:30"
    page = _ask(client, number, "9")
    (wait,) = marked(page, "wait")
    assert (wait["data-wait-verdict"], wait["data-remedies"]) == ("wont-last", "replace")
    assert f"later={number}&at=9" in Page(page).by_id["board"]["hx-get"]


@pytest.mark.parametrize("at", ["", "soon", "25:00"])
def test_a_time_that_is_none_gets_its_sentence_and_stays_typed(client, number, at):
    _fill(client, number)
    page = Page(_ask(client, number, at))
    assert page.problem(f"at-{number}")
    assert page.by_id[f"at-{number}"]["value"] == at


def test_for_what_is_not_filled_yet_no_wait_is_asked_about(client, number):
    page = _ask(client, number, "16:30")
    assert marked(page, "wait") == []
    assert f"at-{number}" not in Page(page).by_id
