"""The owner enters who is at the bench when."""

import pytest

from app.actions.records.shop import load_opening, load_roster
from app.places.office.shifts import MAX_STAFF, NO_SHIFT
from app.web.wording.forms import CHOOSE_DATE, enter_both_times, enter_whole
from tests.places.answers import answer_states
from tests.places.payloads import Page, payload, take


def _roster(database):
    with database.reading() as session:
        return load_roster(session, load_opening(session))


def _saved_day(database):
    (shifts,) = _roster(database).days.values()
    return shifts


def _week(**changes):
    return {"from-5-0": "8", "to-5-0": "12:30", "staff-5-0": "2", "from-5-1": "10", "to-5-1": "18",
            "staff-5-1": "1"} | {name.replace("__", "-"): value for name, value in changes.items()}  # fmt: skip


def test_shifts_are_saved_and_shown_again(client, database):
    assert client.post("/office/bench", data=_week()).status_code == 303
    turns = _roster(database).week[5]
    assert [(f"{turn.start:%H:%M}", f"{turn.end:%H:%M}", turn.staff) for turn in turns] == [
        ("08:00", "12:30", 2),
        ("10:00", "18:00", 1),
    ]
    values = Page(client.get("/office/bench").text).values
    assert (values["from-5-0"], values["to-5-0"], values["staff-5-0"]) == ("08:00", "12:30", "2")
    assert values["from-5-2"] == values["from-0-0"] == ""


def test_without_shifts_one_person_works_while_the_shop_is_open(client, database):
    client.post("/office/bench", data=_week())
    client.post("/office/bench", data={})
    assert _roster(database).week == {}


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"to__5__0": ""}, "to-5-0", enter_both_times(8, 12)),
        ({"from__5__0": "soon"}, "from-5-0", enter_both_times(8, 12)),
        ({"staff__5__0": ""}, "staff-5-0", enter_whole(0, MAX_STAFF)),
        ({"staff__5__0": "51"}, "staff-5-0", enter_whole(0, MAX_STAFF)),
        ({"from__5__0": "", "to__5__0": ""}, "from-5-0", enter_both_times(8, 12)),
    ],
)
def test_a_wrong_shift_has_its_problem_at_its_day_and_nothing_typed_is_lost(
    client, database, changes, field, sentence
):
    answer = client.post("/office/bench", data=_week(**changes))
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("shifts-5") == sentence
    assert page.links == [field]
    assert page.by_id[field]["aria-invalid"] == "true"
    assert page.values["from-5-1"] == "10"
    assert _roster(database).week == {}


def _dates(client):
    """The staff of each shift by date, as the page has them."""
    tags = Page(client.get("/office/bench").text).tags
    return {tag["data-day"]: tag["data-staff"] for _, tag in tags if "data-staff" in tag}


def test_a_date_has_other_staff_until_it_is_removed(client, database):
    sent = {"day": "2026-11-28", "from-day-0": "9", "to-day-0": "12", "staff-day-0": "1"}
    assert client.post("/office/bench/days", data=sent).status_code == 303
    assert _dates(client) == {"2026-11-28": "1"}
    assert [(f"{turn.start:%H:%M}", f"{turn.end:%H:%M}", turn.staff) for turn in _saved_day(database)] == [
        ("09:00", "12:00", 1)
    ]
    client.post("/office/bench/days/2026-11-28/remove")
    assert _roster(database).days == {}
    assert _dates(client) == {}


def test_a_date_on_which_nobody_works(client, database):
    sent = {"day": "2026-11-28", "from-day-0": "8", "to-day-0": "18", "staff-day-0": "0"}
    client.post("/office/bench/days", data=sent)
    assert _dates(client) == {"2026-11-28": "0"}
    assert [turn.staff for turn in _saved_day(database)] == [0]


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"day": ""}, "day", CHOOSE_DATE),
        ({"staff-day-0": "", "from-day-0": "", "to-day-0": ""}, "shifts-day", NO_SHIFT),
    ],
)
def test_an_exception_needs_its_date_and_staff(client, database, changes, field, sentence):
    sent = {"day": "2026-11-28", "from-day-0": "9", "to-day-0": "12", "staff-day-0": "1"} | changes
    answer = client.post("/office/bench/days", data=sent)
    assert answer.status_code == 422
    assert Page(answer.text).problem(field) == sentence
    assert _roster(database).days == {}


def test_more_staff_and_points_make_room(client):
    hour = {"hand_over_time__hour": "12:00", "lasts_until__hour": "18:30"}
    hour |= {"lines__0__quantity": "36", "lines__0__colours": "red"}
    for place in range(4):
        take(client, **hour, client_key=f"other-{place}")
    assert answer_states(client.post("/counter/draft", data=payload(**hour)).text)["can-make"] != "fits"
    more = {f"{name}-5-0": text for name, text in (("from", "8"), ("to", "18"), ("staff", "3"))}
    client.post("/office/bench", data=more)
    client.post("/office/settings", data={"helium_points": "3"})
    assert answer_states(client.post("/counter/draft", data=payload(**hour)).text)["can-make"] == "fits"
