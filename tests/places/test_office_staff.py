"""The owner says who is at the bench when."""

import pytest

from app.actions.records.shop import load_opening, load_roster
from tests.places.payloads import Page, payload, take, words


def _roster(database):
    with database.reading() as session:
        return load_roster(session, load_opening(session))


def _week(**changes):
    return {"from-5-0": "8", "to-5-0": "12:30", "staff-5-0": "2", "from-5-1": "10", "to-5-1": "18",
            "staff-5-1": "1"} | {name.replace("__", "-"): value for name, value in changes.items()}  # fmt: skip


def test_shifts_are_kept_and_shown_again(client, database):
    assert client.post("/office/bench", data=_week()).status_code == 303
    turns = _roster(database).week[5]
    assert [(f"{turn.start:%H:%M}", f"{turn.end:%H:%M}", turn.staff) for turn in turns] == [
        ("08:00", "12:30", 2),
        ("10:00", "18:00", 1),
    ]
    values = Page(client.get("/office/bench").text).values
    assert (values["from-5-0"], values["to-5-0"], values["staff-5-0"]) == ("08:00", "12:30", "2")
    assert values["from-5-2"] == values["from-0-0"] == ""


def test_emptied_shifts_leave_one_hand_while_the_shop_is_open(client, database):
    client.post("/office/bench", data=_week())
    client.post("/office/bench", data={})
    assert _roster(database).week == {}


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"to__5__0": "7"}, "A shift must end after it begins."),
        ({"to__5__0": ""}, "Two hours"),
        ({"from__5__0": "soon"}, "Two hours"),
        ({"staff__5__0": ""}, "Hands: a whole number"),
        ({"staff__5__0": "51"}, "from 0 to 50"),
        ({"from__5__0": "", "to__5__0": ""}, "From when to when?"),
    ],
)
def test_a_wrong_shift_is_told_at_its_day_and_nothing_typed_is_lost(client, database, changes, sentence):
    answer = client.post("/office/bench", data=_week(**changes))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert sentence in page.problem("shifts-5")
    assert page.values["from-5-1"] == "10"
    assert _roster(database).week == {}


def test_a_date_has_other_hands_until_it_is_removed(client, database):
    sent = {"day": "2026-11-28", "from-day-0": "9", "to-day-0": "12", "staff-day-0": "1"}
    assert client.post("/office/bench/days", data=sent).status_code == 303
    assert "Saturday 28 November 2026 09:00 to 12:00: 1 hand" in words(client.get("/office/bench").text)
    client.post("/office/bench/days/2026-11-28/remove")
    assert _roster(database).days == {}


def test_a_date_on_which_nobody_is_there(client, database):
    sent = {"day": "2026-11-28", "from-day-0": "8", "to-day-0": "18", "staff-day-0": "0"}
    client.post("/office/bench/days", data=sent)
    assert "08:00 to 18:00: nobody" in words(client.get("/office/bench").text)


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"day": ""}, "day", "Which day?"),
        ({"staff-day-0": "", "from-day-0": "", "to-day-0": ""}, "shifts-day", "Who is there then?"),
    ],
)
def test_a_date_without_its_day_or_hands_is_asked_for(client, changes, field, sentence):
    sent = {"day": "2026-11-28", "from-day-0": "9", "to-day-0": "12", "staff-day-0": "1"} | changes
    answer = client.post("/office/bench/days", data=sent)
    assert answer.status_code == 422
    assert sentence in Page(answer.text).problem(field)


def test_more_hands_and_points_make_room(client):
    hour = {"hand_over_time__hour": "12:00", "lines__0__quantity": "36", "lines__0__colours": "red"}
    for place in range(4):
        take(client, **hour, client_key=f"other-{place}")
    assert "cannot make it" in words(client.post("/counter/draft", data=payload(**hour)).text)
    more = {f"{name}-5-0": text for name, text in (("from", "8"), ("to", "18"), ("staff", "3"))}
    client.post("/office/bench", data=more)
    client.post("/office/settings", data={"helium_points": "3"})
    assert "The bench can make it" in words(client.post("/counter/draft", data=payload(**hour)).text)
