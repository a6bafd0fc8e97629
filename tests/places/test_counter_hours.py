"""Ends before starts on the next day, and hours that the clocks skip or show twice: asked about, never guessed."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import select

from app.places.counter.order_hours import ENDS_AS_IT_STARTS, ENDS_BEFORE_IT_STARTS
from app.store.models import Order
from app.web.wording.forms import describe_skipped_time, describe_time_shown_twice
from tests.places.answers import having
from tests.places.payloads import Page, payload, words

WINTER = {"event_start__day": "2026-10-24", "event_start__hour": "20:00", "hand_over_time__day": "2026-10-24",
          "hand_over_time__hour": "17:00", "lasts_until__day": "2026-10-25",
          "lasts_until__hour": "01:30"}  # fmt: skip
"""The clocks of London go back at 02:00 on 25 October 2026."""
SPRING = {"event_start__day": "2027-03-27", "event_start__hour": "20:00", "hand_over_time__day": "2027-03-27",
          "hand_over_time__hour": "17:00", "lasts_until__day": "2027-03-28",
          "lasts_until__hour": "01:30"}  # fmt: skip
"""They go forward at 01:00 on 28 March 2027."""


def _order(database):
    with database.reading() as session:
        return session.scalars(select(Order)).one()


def _none(database):
    with database.reading() as session:
        return session.scalars(select(Order)).first() is None


def _offered(text):
    return [attrs["data-ends"] for attrs in having(Page(text), "data-ends")]


def _post(client, *, to="orders", **changes):
    return client.post(f"/counter/{to}", data=payload(**changes))


EVENING = {"event_start__hour": "21:00", "lasts_until__hour": "02:00", "hand_over_time__hour": "18:00"}


def test_an_earlier_hour_without_a_date_is_the_next_day_and_says_so(client, database):
    live = Page(_post(client, to="draft", fix="live", lasts_until__day="", **EVENING).text)
    assert live.by_id["ends-next-day"]["data-ends"] == "2026-11-22"
    assert live.by_id["ends-next-day"]["hx-swap-oob"] == "true"
    checked = Page(_post(client, to="draft", fix="work", lasts_until__day="", **EVENING).text)
    assert checked.by_id["ends-next-day"]["data-ends"] == "2026-11-22"
    assert "hx-swap-oob" not in checked.by_id["ends-next-day"]
    assert _post(client, lasts_until__day="", **EVENING).status_code == 303
    assert _order(database).lasts_until == datetime(2026, 11, 22, 2, tzinfo=UTC)


@pytest.mark.parametrize("changes", [{"lasts_until__day": ""}, {"lasts_until__hour": "23:00"}])
def test_nothing_is_said_of_the_next_day_where_the_end_is_later_or_has_a_date(client, changes):
    sent = {"event_start__hour": "15:00", "lasts_until__hour": "19:00"} | changes
    page = Page(_post(client, to="draft", fix="live", **sent).text)
    assert "data-ends" not in page.by_id["ends-next-day"]


@pytest.mark.usefixtures("in_october")
def test_an_end_on_the_next_day_may_still_be_shown_twice_by_the_clocks(client):
    page = Page(_post(client, **(WINTER | {"lasts_until__day": ""})).text)
    assert page.problem("lasts_until-fold") == describe_time_shown_twice("01:30")


def test_an_end_before_the_start_on_a_typed_date_is_offered_as_the_next_day(client, database):
    answer = _post(client, **EVENING)
    assert answer.status_code == 422
    assert Page(answer.text).problem("lasts_until-hour") == ENDS_BEFORE_IT_STARTS.format(time="21:00")
    assert _offered(answer.text) == ["2026-11-22T02:00"]
    assert _none(database)


def test_taking_up_the_offer_sets_the_date_and_the_order_is_taken(client, database):
    answer = _post(client, to="draft", fix="end-next-day", **EVENING)
    page = Page(answer.text)
    assert page.values["lasts_until-day"] == "22 Nov 2026"
    assert not page.problem("lasts_until-hour")
    sent = {name: value for name, value in page.values.items() if name != "q"}
    assert client.post("/counter/orders", data=sent).status_code == 303
    assert _order(database).lasts_until == datetime(2026, 11, 22, 2, tzinfo=UTC)


def test_an_end_equal_to_the_start_is_asked_about(client, database):
    answer = _post(client, lasts_until__hour="15:00")
    assert answer.status_code == 422
    assert Page(answer.text).problem("lasts_until-hour") == ENDS_AS_IT_STARTS.format(time="15:00")
    assert _offered(answer.text) == ["2026-11-22T15:00"]
    assert _none(database)


def test_an_event_of_several_days_is_taken(client, database):
    answer = _post(client, lasts_until__day="2026-11-24", accepted_risk="We know.")
    assert answer.status_code == 303
    assert _order(database).lasts_until.day == 24


@pytest.fixture
def in_october(now):
    now.move_to(datetime(2026, 10, 23, 7, tzinfo=UTC))


@pytest.fixture
def in_march(now):
    now.move_to(datetime(2027, 3, 26, 7, tzinfo=UTC))


@pytest.mark.usefixtures("in_october")
def test_an_hour_shown_twice_is_asked_about(client, database):
    answer = _post(client, **WINTER)
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.problem("lasts_until-fold") == describe_time_shown_twice("01:30")
    assert page.describes("lasts_until-fold")
    assert page.by_id["lasts_until-fold"]["name"] == "lasts_until-fold"
    assert _none(database)


@pytest.mark.usefixtures("in_october")
@pytest.mark.parametrize(("turn", "utc"), [("first", "00:30"), ("second", "01:30")])
def test_the_turn_that_is_chosen_is_taken_and_shown_again(client, database, turn, utc):
    answer = _post(client, lasts_until__fold=turn, accepted_risk="Fine.", **WINTER)
    assert answer.status_code == 303
    assert f"{_order(database).lasts_until:%d %H:%M}" == f"25 {utc}"
    page = Page(client.get(answer.location + "/change").text)
    assert (page.values["lasts_until-hour"], page.values["lasts_until-fold"]) == ("01:30", turn)


@pytest.mark.usefixtures("in_october")
def test_a_turn_that_is_none_is_asked_about_again(client, database):
    answer = _post(client, lasts_until__fold="third", **WINTER)
    assert answer.status_code == 422
    assert Page(answer.text).problem("lasts_until-fold") == describe_time_shown_twice("01:30")
    assert _none(database)


@pytest.mark.usefixtures("in_march")
def test_an_hour_that_is_skipped_is_told_with_the_hour_it_would_be(client, database):
    answer = _post(client, **SPRING)
    assert answer.status_code == 422
    assert Page(answer.text).problem("lasts_until-hour") == describe_skipped_time("01:30", "02:30")
    assert _none(database)
    corrected = _post(client, accepted_risk="Fine.", **(SPRING | {"lasts_until__hour": "02:30"}))
    assert corrected.status_code == 303
    assert _order(database).lasts_until == datetime(2027, 3, 28, 1, 30, tzinfo=UTC)


@pytest.mark.usefixtures("in_october")
def test_the_read_back_of_a_doubled_hour_says_which(client):
    answer = _post(client, lasts_until__fold="second", accepted_risk="Fine.", **WINTER)
    assert "01:30 GMT" in words(client.get(answer.location).text)
