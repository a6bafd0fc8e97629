"""The counter's answer says whether the bench can make the order along with all the others."""

import html
import re
from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest

from app.actions.orders.cancel import NOT_REOPENED
from app.actions.orders.overrides import NO_BENCH_OVERRIDE
from app.actions.shop.office import ShiftMinutes, change_shifts
from app.web.wording.forms import shorten_to
from tests.places.answers import answer_states, offers
from tests.places.marks import marked, marks, text_of
from tests.places.payloads import CALLED_OFF, Page, payload, take, words

NOON = {
    "hand_over_time__hour": "12:00",
    "lasts_until__hour": "18:30",
    "lines__0__quantity": "36",
    "lines__0__colours": "red",
}
"""They may be filled from 09:05 on; four of these just fit."""


def _text(client, **changes):
    return client.post("/counter/draft", data=payload(**(NOON | changes))).text


def _can_make(client, **changes):
    return answer_states(_text(client, **changes))["can-make"]


def _cause(text):
    """The states that the answer names where the bench cannot make the order."""
    return Page(text).by_id["answer-bench"]


def _others(client, count):
    """More than four clash."""
    said = {"bench_override": "They come by turns."}
    return [take(client, **NOON, **said, client_key=f"other-{place}") for place in range(count)]


def test_it_says_that_the_bench_can(client):
    assert _can_make(client) == "fits"


@pytest.mark.parametrize(("staff", "can_make"), [(1, "late"), (3, "fits")])
def test_what_one_person_would_be_late_with_several_can_make(client, noon, database, staff, can_make):
    """48 and 48 in an hour; one person takes more than an hour for them."""
    client.post("/office/settings", data={"helium_points": "3"})
    with database.writing() as session:
        change_shifts(session, {5: [ShiftMinutes(8 * 60, 18 * 60, staff)]})
    second = {"what": "balloon_type:5", "quantity": "48", "colours": "red", "gas": "helium"}
    many = {f"lines__1__{name}": value for name, value in second.items()}
    hours = {"hand_over_time__hour": "13:00", "lasts_until__hour": "16:00"}
    assert _can_make(client, **hours, lines__0__quantity="48", **many) == can_make


def test_it_says_how_much_is_too_much_with_whom_and_when_it_would_fit(client):
    first, *_ = _others(client, 4)
    text = _text(client)
    assert answer_states(text)["can-make"] == "cannot"
    assert _cause(text)["data-competing"].startswith(f"{first} ")
    assert _cause(text)["data-first-time"].startswith("2026-11-21T1")
    assert "staff" in _cause(text)["text"]


def test_the_hour_it_names_fits(client):
    _others(client, 4)
    hour = _cause(_text(client))["data-first-time"].removeprefix("2026-11-21T")
    assert _can_make(client, hand_over_time__hour=hour) == "fits"


def test_changing_an_order_does_not_compete_with_itself(client):
    *_, last = _others(client, 4)
    assert answer_states(client.get(f"/counter/orders/{last}/change").text)["can-make"] == "fits"


def test_where_no_later_hour_would_do_it_says_so(client):
    _others(client, 4)
    text = _text(client, event_start__hour="12:00")
    assert _cause(text)["data-first-time"] == ""
    assert "first-time" in Page(text).by_id


def test_a_bench_that_does_not_fit_as_it_is_is_told_but_not_held_against_another_day(client):
    _others(client, 6)
    later = {
        "event_start__day": "2026-11-24",
        "lasts_until__day": "2026-11-24",
        "hand_over_time__day": "2026-11-24",
    }
    said = answer_states(_text(client, **later))
    assert said["can-make"] == "fits"
    assert len(said["already-unfit"].split()) > 1


def test_without_a_reason_the_form_comes_back_and_asks_for_one(client):
    _others(client, 4)
    answer = client.post("/counter/orders", data=payload(**NOON, notes="Blue door."))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("bench_override") == NO_BENCH_OVERRIDE.sentence
    assert page.describes("bench_override")
    assert page.values["notes"] == "Blue door."
    assert page.values["lines-0-quantity"] == "36"


def test_a_reason_is_kept_and_stands_on_the_order_the_ticket_and_in_its_history(client):
    _others(client, 4)
    number = take(client, **NOON, bench_override="Isolde stays an hour longer.")
    for address in (f"/counter/orders/{number}", f"/bench/batches/{number}-1"):
        assert text_of(client.get(address).text, "bench-reason").endswith("Isolde stays an hour longer.")
    assert Page(client.get(f"/counter/orders/{number}/change").text).values["bench_override"].startswith("Isolde")
    change = payload(**NOON, version="1", bench_override="Isolde stays.")
    client.post(f"/counter/orders/{number}/change", data=change)
    (change,) = marked(client.get(f"/counter/orders/{number}").text, "was")
    assert (change["data-was"], change["data-is"]) == ("Isolde stays an hour longer.", "Isolde stays.")


def test_a_new_name_keeps_the_reason_even_where_its_field_came_empty(client):
    _others(client, 4)
    number = take(client, **NOON, bench_override="Isolde stays an hour longer.")
    client.post(f"/counter/orders/{number}/change", data=payload(**NOON, version="1", customer="Odd Larsen"))
    assert "Isolde stays an hour longer." in words(client.get(f"/counter/orders/{number}").text)


def test_the_field_stands_where_it_is_needed_or_filled_in(client):
    assert 'type="hidden" name="bench_override"' in client.post("/counter/draft", data=payload(**NOON)).text
    typed = client.post("/counter/draft", data=payload(**NOON, bench_override="Isolde stays.")).text
    assert Page(typed).values["bench_override"] == "Isolde stays."
    assert Page(typed).by_id["bench_override"]["type"] == "text"
    _others(client, 4)
    assert Page(_text(client)).by_id["bench_override"]["type"] == "text"


def test_a_repeat_leaves_the_reason_of_another_day_to_say(client):
    _others(client, 4)
    number = take(client, **NOON, bench_override="Isolde stays an hour longer.")
    again = client.post("/counter/draft", data={"client_key": "new", "fix": f"repeat-{number}"}).text
    assert "Isolde stays" not in again


def test_one_more_hand_is_told_in_words(client):
    _others(client, 4)
    page = client.post("/counter/draft", data=payload(**NOON)).text
    hours = re.search(r"(\d\d:00) to (\d\d:00)", Page(page).by_id["more-staff"]["text"])
    (link,) = re.findall(r'href="(/bench/staff[^"]+)"', page)
    asked = parse_qs(urlsplit(html.unescape(link)).query)
    assert asked == {"day": ["2026-11-21"], "from": [hours[1]], "to": [hours[2]], "by": ["1"]}
    assert client.get(html.unescape(link)).status_code == 200


def test_one_more_filling_point_is_told_where_points_are_wanting(client, database):
    _others(client, 6)
    with database.writing() as session:
        change_shifts(session, {weekday: [ShiftMinutes(8 * 60, 18 * 60, 4)] for weekday in range(7)})
    assert "helium" in Page(_text(client)).by_id["extra-point"]["text"]


def _draft(client, sent, fix):
    return client.post("/counter/draft", data=sent | {"fix": fix}).text


AHEAD = NOON | {f"{name}__day": "2026-11-23" for name in ("event_start", "lasts_until", "hand_over_time")}
"""Monday, so that it may be filled the day before if it is treated."""


@pytest.mark.parametrize("way", ["later", "treat", "venue"])
def test_a_way_pressed_makes_the_bench_fit_and_leaves_no_trace_when_taken_back(client, way):
    for place in range(4):
        take(client, **AHEAD, client_key=f"other-{place}")
    sent = payload(**AHEAD)
    worked_out = _draft(client, sent, "work")
    before = Page(worked_out).values
    assert f'id="bench-{way}"' in worked_out
    applied = _draft(client, sent, f"bench-{way}")
    assert answer_states(applied)["can-make"] == "fits"
    after = Page(applied).values
    assert after != before
    assert Page(_draft(client, after, "undo")).values == before


def test_an_alternative_that_the_bench_cannot_make_says_so_and_stands_last(client):
    """A hundred, down before five in the morning: treated would do, and so would larger ones, but not by noon."""
    for place in range(4):
        take(client, **AHEAD, client_key=f"other-{place}")
    until_five = {"lasts_until__day": "2026-11-24", "lasts_until__hour": "05:00", "lines__0__quantity": "100"}
    found = offers(client.post("/counter/draft", data=payload(**(AHEAD | until_five))).text)
    fits = [attrs["data-fit"] for key, attrs in found.items() if key.startswith("alternative-0-")]
    keys = [*found]
    assert keys.index("alternative-0-treat") < keys.index("alternative-0-larger")
    assert "cannot" in fits
    assert fits.index("cannot") > fits.index("fits")
    assert "fits" not in fits[fits.index("cannot") :]


@pytest.fixture
def called_off(client):
    """An order that was cancelled, and whose place at the bench others have."""
    number = take(client, **NOON)
    client.post(f"/counter/orders/{number}/cancel", data=CALLED_OFF)
    _others(client, 4)
    return number


def test_opened_again_where_the_bench_does_not_fit_it_asks_for_a_reason_and_keeps_it(client, called_off):
    address = f"/counter/orders/{called_off}"
    assert 'name="bench_override"' not in client.get(address).text
    answer = client.post(f"{address}/reopen")
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("bench_override") == NO_BENCH_OVERRIDE.sentence
    assert page.describes("bench_override")
    assert marks(answer.text, "order") == [str(called_off)]
    assert "Wilhelmina Hart" in words(answer.text)
    assert marks(client.get(address).text, "state") == ["cancelled"]
    assert client.post(f"{address}/reopen", data={"bench_override": "Isolde stays."}).status_code == 303
    page = client.get(address).text
    assert marks(page, "override") == ["bench"]
    assert text_of(page, "bench-reason").endswith("Isolde stays.")
    assert marks(page, "act")[-1] == "reopened"
    assert marks(page, "is")[-1] == "Isolde stays."


def test_a_reason_too_long_to_open_it_again_comes_back_as_typed(client, called_off):
    typed = "She insists. " * 24
    answer = client.post(f"/counter/orders/{called_off}/reopen", data={"bench_override": typed})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("bench_override") == shorten_to(300, len(typed))
    assert page.values["bench_override"] == typed


def test_what_cannot_be_opened_again_for_another_cause_says_so(client, number):
    client.post(f"/bench/batches/{number}-1/taps", data={"act": "finish", "client_key": "t1", "sure": "yes"})
    for step in ("assembled", "weighted", "bagged", "ready", "handed over"):
        sent = {"step": step, "client_key": step, "sure": "unpaid"}
        client.post(f"/pickups/orders/{number}/steps", data=sent)
    answer = client.post(f"/counter/orders/{number}/reopen")
    assert answer.status_code == 422
    assert NOT_REOPENED.format(number=number) in words(answer.text)


def _answer(client, **changes):
    """The text of the answer, and the class of its button to save."""
    text = _text(client, **changes)
    (save,) = [attrs for attrs in marked(text, "save") if attrs.get("id") == "take"]
    return text.partition('id="answer"')[2], save["class"]


def test_to_save_is_the_strongest_button_only_where_all_is_well(client):
    last = {"lasts_until__day": "2026-11-22", "lasts_until__hour": "02:00"}
    assert [_answer(client)[1], _answer(client, **last)[1]] == ["main", "save-unsafe"]
    _others(client, 4)
    assert _answer(client)[1] == "save-unsafe"


@pytest.mark.parametrize(
    ("quantity", "starts", "causes", "folded"),
    [("24", "12:00", ["float"], []), ("100", "18:00", ["bench", "float"], ["float"])],
)
def test_alternatives_are_folded_only_where_others_for_the_bench_stand_open(
    client, now, quantity, starts, causes, folded
):
    """At ten nothing can be ready at ten past ten."""
    now.tick(timedelta(hours=3))
    last = {"lasts_until__day": "2026-11-22", "lasts_until__hour": "02:00", "hand_over_time__hour": "10:10"}
    text, _ = _answer(client, lines__0__quantity=quantity, event_start__hour=starts, **last)
    assert marks(text, "cause") == causes
    assert [key for key in causes if f'id="cause-{key}"' in text] == folded


def test_a_late_answer_says_of_each_chance_from_when_on_it_is_filled(client, now):
    now.tick(timedelta(hours=4, minutes=30))
    last = {"lasts_until__day": "2026-11-21", "lasts_until__hour": "23:30"}
    text, _ = _answer(client, lines__0__quantity="200", **last)
    (batch,) = marked(text, "inflate-by")
    assert batch["data-verdict"] == "wont-last"
    start = batch["data-inflate-by"].partition("T")[2]
    assert start < "11:30"
    (said,) = re.findall(r"<strong>([^<]*)</strong>", text.partition("data-inflate-by=")[2].partition("</div>")[0])
    assert start in said
    assert re.findall(r"\d\d:\d\d", said)[-1] == "23:30"


def test_the_form_says_when_the_shop_opens_only_while_it_is_closed(client, now):
    assert marks(client.get("/counter/").text, "opens-at") == ["2026-11-21T08:00:00+00:00"]
    now.tick(timedelta(hours=1))
    assert marks(client.get("/counter/").text, "opens-at") == []
    now.tick(timedelta(hours=12))
    (opens,) = marks(client.get("/counter/").text, "opens-at")
    assert opens > "2026-11-22"
