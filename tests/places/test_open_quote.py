"""The open quote: asked in JSON, answered in JSON, described by OpenAPI 3.1, and saving nothing."""

import copy
import json
from datetime import timedelta

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import func, select

from app.places.counter.open_request import MOST_BALLOONS, MOST_LINES
from app.places.counter.open_schema import ANSWER, DESCRIPTION, PROBLEMS, REQUEST
from app.quoting.request import HandOver
from app.store.models import Order
from app.store.types import Base
from tests.actions.builders import BENCH_REASON, at, ctx, line, new_design, order_request, take
from tests.actions.stock_helpers import lot
from tests.json_strategies import ANYTHING, described_by
from tests.places.answers import answer_states
from tests.places.payloads import payload

LATEX = "11 in latex"
WRONG_COUNTS = (0, -1, 1.5, "12", True, MOST_BALLOONS + 1)
PARTY = {"starts": "2026-11-21T15:00", "ends": "2026-11-21T17:00"}


def _asked(**changes):
    """Two dozen for this afternoon."""
    usual = {
        "event": PARTY,
        "hand_over": {"how": "collected", "at": "2026-11-21T14:00"},
        "lines": [{"kind": LATEX, "quantity": 24, "colours": {"red": 12, "white": 12}}],
    }
    return usual | changes


def _line(**changes):
    return {"kind": LATEX, "quantity": 24} | changes


def _ask(client, **changes):
    return client.post("/quote.json", json=_asked(**changes))


def _told(client, **changes):
    answer = _ask(client, **changes)
    assert answer.status_code == 200, answer.text
    jsonschema.validate(answer.json, ANSWER)
    return answer.json


def _wrong_fields(client, **changes):
    answer = _ask(client, **changes)
    assert answer.status_code == 422, answer.text
    jsonschema.validate(answer.json, PROBLEMS)
    return [one["field"] for one in answer.json["problems"]]


def test_it_says_what_the_counter_says(client):
    told = _told(client)
    shown = answer_states(client.post("/counter/draft", data=payload(lasts_until__hour="17:00")).text)
    assert (told["verdict"], told["can_make"], told["total_minor"]) == ("safe", True, int(shown["price"]))
    ((row,), (batch,)) = told["lines"], told["lines"][0]["batches"]
    assert (row["title"], row["verdict"], row["total_minor"]) == (LATEX, "safe", told["total_minor"])
    assert (batch["kind"], batch["quantity"], batch["gas"], batch["treated"]) == (LATEX, 24, "helium", False)
    assert (batch["fill_size_in"], batch["load_g"]) == (11.0, 0.75)
    assert (batch["at_least"], batch["of"], batch["reasons"]) == (22, 24, [])
    assert row["alternatives"] == told["stock"] == told["problems"] == []
    assert told["bench"] == {"fits": True, "short_seconds": 0, "first_ready": "2026-11-21T14:00:00Z"}


def test_what_won_t_last_has_its_chance_and_ways_that_cure_it(client):
    late = {"starts": "2026-11-22T18:00", "ends": "2026-11-23T00:00"}
    told = _told(client, event=late, hand_over={"how": "collected", "at": "2026-11-22T09:00"})
    (row,) = told["lines"]
    (batch,) = row["batches"]
    assert (told["verdict"], told["can_make"], batch["reasons"]) == ("wont_last", True, ["float"])
    assert batch["chance"] < 0.8
    assert {"treat", "later", "larger"} <= {way["way"] for way in row["alternatives"]}
    for way in row["alternatives"]:
        assert way["verdict"] != "wont_last"
        assert way["chance"] >= (0.95 if way["verdict"] == "safe" else 0.8)
    extra = [way["extra_minor"] for way in row["alternatives"] if way["can_make"]]
    assert extra == sorted(extra)


def test_too_much_light_is_the_reason_and_treating_no_way(client):
    sun = {"starts": "2026-11-22T08:00", "ends": "2026-11-22T18:00", "where": "sun"}
    told = _told(client, event=sun, hand_over={"how": "collected", "at": "2026-11-21T17:00"})
    (row,) = told["lines"]
    assert "light" in row["batches"][0]["reasons"]
    assert "treat" not in {way["way"] for way in row["alternatives"]}


def test_a_bench_that_is_full_has_no_latest_start_and_does_not_touch_the_float(client, database):
    with database.writing() as session:
        context = ctx(session, now=at(8))
        for place in range(20):
            busy = order_request(
                context.catalogue, line(context.catalogue, quantity=60), bench_override=BENCH_REASON
            )
            take(session, busy, now=at(8), key=f"other-{place}")
    told = _told(client)
    (batch,) = told["lines"][0]["batches"]
    assert (told["verdict"], told["can_make"], told["bench"]["fits"]) == ("safe", False, False)
    assert batch["inflate_by"] is None
    assert batch["chance"] >= 0.95


def test_a_crew_that_is_let_in_too_late_has_no_latest_start_and_does_not_touch_the_float(client):
    """All must be filled by 14:30, in 30 minutes of one person; from 14:00 on the crew sets up for 20 minutes."""
    told = _told(client, hand_over={"how": "filled_at_venue", "at": "2026-11-21T14:00", "travel_minutes": 30})
    (batch,), ways = told["lines"][0]["batches"], told["lines"][0]["alternatives"]
    assert (told["verdict"], told["can_make"], batch["inflate_by"]) == ("safe", False, None)
    assert told["bench"] == {"fits": False, "short_seconds": 20 * 60, "first_ready": "2026-11-21T15:00:00Z"}
    assert [(way["way"], way["can_make"]) for way in ways] == [("venue", True)]


def test_what_the_crew_has_no_time_for_is_no_alternative_that_can_be_made(client):
    """Let in at 13:00, it can fill from 13:20 on: a treatment would have to dry for 2 hours before 14:30."""
    there = {"how": "filled_at_venue", "at": "2026-11-21T13:00", "travel_minutes": 30}
    told = _told(client, event=PARTY | {"ends": "2026-11-22T06:00"}, hand_over=there)
    assert told["can_make"]
    can_make = {way["way"]: way["can_make"] for way in told["lines"][0]["alternatives"]}
    assert (can_make["larger"], can_make["treat"]) == (True, False)
    assert list(can_make)[-1] == "treat"


def test_goods_that_are_short_are_named(client, database):
    with database.writing() as session:
        lot(session, 20, "teal")
    told = _told(client, lines=[_line(colours={"teal": 24})])
    assert (told["verdict"], told["can_make"]) == ("safe", False)
    assert told["stock"] == [{"item": f"teal {LATEX}", "short": 4}]


@pytest.mark.parametrize(
    ("how", "hand_over"), [("delivered", HandOver.DELIVER), ("filled_at_venue", HandOver.VENUE)]
)
def test_it_knows_how_they_get_there(client, how, hand_over):
    there = {"how": how, "at": "2026-11-21T12:00", "travel_minutes": 30}
    told = _told(client, hand_over=there)
    assert told["verdict"] == "safe"
    earliest = told["lines"][0]["batches"][0]["not_before"]
    assert (earliest == "2026-11-21T12:20:00Z") is (
        hand_over is HandOver.VENUE
    )  # let in, and set up for 20 minutes


def test_a_design_is_asked_for_by_its_name(client, database):
    with database.writing() as session:
        new_design(session, ctx(session).catalogue, name="Sea bouquet")
    told = _told(client, lines=[{"design": "sea BOUQUET", "quantity": 2, "colours": {"blue": 18}}])
    assert told["lines"][0]["title"] == "Sea bouquet"


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"lines": [_line(kind="11 in marble")]}, ["lines[0].kind"]),
        ({"lines": [{"design": "Castle", "quantity": 1}]}, ["lines[0].design"]),
        ({"lines": [_line(design="Castle")]}, ["lines[0].kind"]),
        ({"lines": [{"kind": LATEX}]}, ["lines[0].quantity"]),
        *(
            ({"lines": [_line(quantity=count)]}, ["lines[0].quantity"])
            for count in (0, -1, 1.5, "12", True, 10_001)
        ),
        ({"lines": []}, ["lines"]),
        ({"lines": [_line()] * (MOST_LINES + 1)}, ["lines"]),
        ({"lines": [_line(quantity=MOST_BALLOONS), _line(quantity=1)]}, ["lines"]),
        ({"lines": [_line(colours={"red": 12})]}, ["lines[0].colours"]),
        ({"lines": [_line(colours={"12 red": 24})]}, ["lines[0].colours"]),
        ({"lines": [_line(colours=["red"])]}, ["lines[0].colours"]),
        ({"lines": [_line(gas="hydrogen")]}, ["lines[0].gas"]),
        ({"lines": [_line(gas="air", treated=True)]}, ["lines[0].treated"]),
        ({"lines": [_line(glitter=True)]}, ["lines[0].glitter"]),
        ({"lines": ["24 red"]}, ["lines[0]", "lines[0].kind", "lines[0].quantity"]),
        ({"event": PARTY | {"starts": "2026-11-21"}}, ["event.starts"]),
        ({"event": PARTY | {"starts": "soon"}}, ["event.starts"]),
        ({"event": PARTY | {"starts": "0001-01-01T00:00"}}, ["event.starts"]),
        ({"event": PARTY | {"ends": "2026-02-31T10:00"}}, ["event.ends"]),
        ({"event": PARTY | {"ends": None}}, ["event.ends"]),
        ({"event": PARTY | {"where": "moon"}}, ["event.where"]),
        ({"event": PARTY | {"celsius": 90}}, ["event.celsius"]),
        ({"event": PARTY | {"guests": 80}}, ["event.guests"]),
        ({"hand_over": {"how": "thrown", "at": "2026-11-21T14:00"}}, ["hand_over.how"]),
        ({"hand_over": {"how": "collected", "at": "2026-11-21T16:00"}}, ["hand_over.at"]),
        ({"hand_over": {"how": "collected", "at": "2026-11-20T14:00"}}, ["hand_over.at"]),
        ({"customer": "Wilhelmina Hart"}, ["customer"]),
    ],
)
def test_what_is_unknown_or_impossible_is_a_problem_at_its_field(client, changes, fields):
    assert _wrong_fields(client, **changes) == fields


def test_a_time_that_the_clocks_show_twice_needs_its_offset_and_one_they_skip_is_wrong(client):
    """In London they go back on 31 October 2027 and ahead on 28 March 2027."""

    def fields(starts):
        day = starts[:10]
        event = {"starts": starts, "ends": f"{day}T12:00"}
        changes = {"event": event, "hand_over": {"how": "collected", "at": f"{day}T00:30"}}
        answer = _ask(client, **changes)
        return [one["field"] for one in answer.json["problems"]]

    assert fields("2027-10-31T01:30") == fields("2027-03-28T01:30") == ["event.starts"]
    assert fields("2027-10-31T01:30+01:00") == fields("2027-10-31T01:30+00:00") == []


def test_only_json_is_read(client):
    asked = json.dumps(_asked())
    assert client.post("/quote.json", data=asked, content_type="text/plain").status_code == 415
    for broken in ("", "{", "[" * 100_000 if len("[" * 100_000) < 60_000 else "[" * 60_000):
        assert client.post("/quote.json", data=broken, content_type="application/json").status_code == 400
    large = json.dumps(_asked(lines=[_line(kind="x" * 70_000)]))
    assert client.post("/quote.json", data=large, content_type="application/json").status_code == 413


def test_neither_another_machine_nor_another_site_may_ask(client):
    for refused in (
        {"environ_base": {"REMOTE_ADDR": "192.0.2.7"}},
        {"headers": {"Origin": "https://cake.example"}},
    ):
        answer = client.post("/quote.json", json=_asked(), **refused)
        assert answer.status_code == 403
        jsonschema.validate(answer.json, PROBLEMS)
    assert client.post("/quote.json", json=_asked(), headers={"Origin": "http://localhost"}).status_code == 200


def test_it_saves_nothing_and_knows_no_session(client, database):
    def counts():
        with database.reading() as session:
            tables = Base.metadata.sorted_tables
            return {table.name: session.scalar(select(func.count()).select_from(table)) for table in tables}

    before = counts()
    answer = _ask(client)
    assert counts() == before
    assert "Set-Cookie" not in answer.headers


def test_the_description_is_itself_sound(client):
    told = client.get("/openapi.json").json
    assert told == json.loads(json.dumps(DESCRIPTION))
    assert told["openapi"].startswith("3.1")
    for schema in told["components"]["schemas"].values():
        jsonschema.Draft202012Validator.check_schema(schema)
    (operation,) = told["paths"]["/quote.json"].values()
    assert {*operation["responses"]} == {"200", "400", "403", "413", "415", "422"}


def _described():
    """The schema of a request, with names that the shop has and times near the tests' morning."""
    schema = copy.deepcopy(REQUEST)
    hours = [f"{at(9) + timedelta(hours=hours):%Y-%m-%dT%H:%M}" for hours in (1, 4, 6, 10, 30, 50)]
    event, hand_over = (schema["properties"][name]["properties"] for name in ("event", "hand_over"))
    for fields, name in ((event, "starts"), (event, "ends"), (hand_over, "at")):
        fields[name] = {"enum": hours}
    goods = schema["properties"]["lines"]
    goods["maxItems"] = 3
    goods["items"]["properties"]["kind"] = {"enum": [LATEX, "16 in latex", "18 in foil", "9 in foil", "5 in latex"]}
    goods["items"]["properties"]["quantity"]["maximum"] = 60
    goods["items"]["properties"]["colours"] = {"enum": [None, {}, {"red": 1}]}
    goods["items"]["oneOf"] = [{"required": ["kind"]}]
    return schema


def _statuses(client, sent):
    answer = client.post("/quote.json", data=json.dumps(sent), content_type="application/json")
    jsonschema.validate(answer.json, ANSWER if answer.status_code == 200 else PROBLEMS)
    return answer.status_code


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sent=described_by(_described()))
def test_whatever_is_described_is_answered_as_described(client, sent):
    assert _statuses(client, sent) in (200, 422)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sent=described_by(REQUEST) | ANYTHING)
def test_whatever_is_sent_gets_an_answer(client, sent):
    assert _statuses(client, sent) in (200, 400, 422)


def test_it_stays_out_of_the_orders(client, database):
    _told(client)
    with database.reading() as session:
        assert session.scalars(select(Order)).all() == []
