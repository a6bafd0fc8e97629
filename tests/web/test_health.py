"""The health page says what was checked, and when, and nothing that was not; it needs no database to say that it is
gone."""

from collections import namedtuple
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from app.planner import Planner
from app.store.engine import library_version, wal_race_fixed
from app.web.notes import PlannerNotes
from tests.conftest import SATURDAY_MORNING
from tests.places.page_states import values
from tests.places.payloads import payload, take

MORNING = SATURDAY_MORNING.strftime("%Y-%m-%dT%H:%M:%SZ")
SECRETS = ("session_secret", "postgresql://", "sqlite:///")


@pytest.fixture
def app(build_app, database, now):
    """An app of this test alone, since it remembers what happens to it."""
    app = build_app(database.engine.url)
    app.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    return app


def _items(client, status=200):
    answer = client.get("/health.json")
    assert answer.status_code == status
    return {item["key"]: item for item in answer.json["items"]}


def test_what_did_not_happen_is_unknown_and_has_no_time(client):
    items = _items(client)
    for key in ("write", "integrity", "backup", "plan"):
        assert (items[key]["state"], items[key]["at"]) == ("unknown", None), key
    assert (items["failure"]["state"], items["failure"]["at"]) == ("good", None)


def test_what_is_checked_now_has_the_time_of_now(client, now):
    items = _items(client)
    assert {key: items[key]["at"] for key in ("database", "saving", "disk", "opened")} == dict.fromkeys(
        ("database", "saving", "disk", "opened"), MORNING
    )
    now.tick(timedelta(hours=1))
    later = _items(client)
    assert later["database"]["at"] == MORNING.replace("T07", "T08")
    assert later["opened"]["at"] == MORNING


def test_it_names_the_library_the_journal_and_why(client):
    saving = _items(client)["saving"]
    assert saving["library"].startswith("SQLite 3.")
    race_fixed = wal_race_fixed(library_version())
    assert (saving["journal_mode"], saving["wal_race_fixed"]) == ("wal" if race_fixed else "delete", race_fixed)


def test_a_database_that_does_not_wait_for_the_disk_is_warned_about(app, client, monkeypatch):
    facts = app.database.describe()
    loose = facts.__class__(facts.library, facts.journal_mode, "OFF", facts.wal_race_fixed)
    monkeypatch.setattr(app.database, "describe", lambda: loose)
    saving = _items(client)["saving"]
    assert (saving["state"], saving["waits"]) == ("warning", False)


def test_the_last_save_is_noted_but_not_a_refusal_nor_a_look(client, now):
    client.post("/counter/orders", data=payload(phone="x"))
    assert _items(client)["write"]["at"] is None
    take(client)
    now.tick(timedelta(hours=1))
    client.get("/bench")
    assert _items(client)["write"]["at"] == MORNING


def test_a_failed_statement_is_noted_with_the_number_that_its_answer_has(client, monkeypatch):
    def fail(*_args, **_more):
        raise OperationalError("INSERT", {}, Exception("disk"))

    monkeypatch.setattr("app.places.counter.routes.take_order", fail)
    failed = client.post("/counter/orders", data=payload())
    failure = _items(client)["failure"]
    assert (failure["state"], failure["at"]) == ("warning", MORNING)
    assert failure["request"] == failed.headers["X-Request-Id"]


def test_the_plan_is_as_many_changes_behind_as_the_board_had_since(app, client, now):
    planner = Planner(app.database)
    app.planner_notes = planner.notes
    planner.plan_now()
    planner.notes.looked_at = now()
    assert (_items(client)["plan"]["behind"], _items(client)["plan"]["state"]) == (0, "good")
    take(client)
    plan = _items(client)["plan"]
    assert plan["behind"] >= 1
    assert plan["state"] == "good"  # for a moment, every plan is
    now.tick(timedelta(minutes=4))
    assert _items(client)["plan"]["state"] == "warning"


def test_a_planner_that_failed_is_said_to_have_failed(app, client, now):
    app.planner_notes = PlannerNotes(looked_at=None, failed_at=now())
    assert _items(client)["plan"]["state"] == "failed"
    assert client.get("/health.json").json["failed"] is True


def test_little_space_is_warned_about(client, monkeypatch):
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr("app.places.health.items.shutil.disk_usage", lambda _: usage(10, 9, 1_000_000))
    disk = _items(client)["disk"]
    assert (disk["state"], disk["free"]) == ("warning", 1_000_000)


@pytest.mark.parametrize("address", ["/health", "/health.json"])
def test_it_answers_when_the_file_is_gone(client, database, address):
    assert client.get(address).status_code == 200
    Path(database.engine.url.database).unlink()
    answer = client.get(address)
    assert answer.status_code == 503
    assert answer.headers["X-Request-Id"]
    assert "failed" in answer.text


def test_what_cannot_be_known_without_the_database_is_left_out(client, database):
    Path(database.engine.url.database).unlink()
    items = _items(client, 503)
    assert items["database"]["state"] == "failed"
    assert not {"saving", "plan"} & items.keys()
    assert items["opened"]["at"] == MORNING


def test_the_page_has_every_item_of_the_data_with_its_state_and_time(client):
    page = client.get("/health").text
    for key, item in _items(client).items():
        at = item["at"].replace("Z", "+00:00") if item["at"] else ""
        assert f'data-item="{key}" data-state="{item["state"]}" data-at="{at}"' in page


def test_it_tells_no_secret(app, client, database):
    said = client.get("/health.json").text + client.get("/health").text
    for secret in (*SECRETS, app.config["SECRET_KEY"], database.engine.url.database):
        assert secret not in said


def test_the_office_leads_there(client):
    assert 'href="/health"' in client.get("/office/hours").text


def test_a_check_that_was_made_has_its_time_and_its_kind(app, client, now):
    app.notes.checked_at = now()
    integrity = _items(client)["integrity"]
    assert (integrity["state"], integrity["at"], integrity["which"]) == ("good", MORNING, "quick_check")


def test_damage_that_was_found_is_said_here_and_in_the_office(app, client, now):
    app.notes.checked_at = now()
    assert values(client.get("/office/review").text, "file") == []
    now.tick(timedelta(hours=1))
    app.notes.damaged_at = now()
    integrity = _items(client)["integrity"]
    assert (integrity["state"], integrity["at"]) == ("failed", MORNING.replace("T07", "T08"))
    assert client.get("/health.json").json["failed"] is True
    for address in ("/health", "/office/review"):
        assert values(client.get(address).text, "file") == ["damaged"], address


def test_a_backup_that_was_made_has_its_time(app, client, now):
    app.backups.make(now())
    assert (_items(client)["backup"]["state"], _items(client)["backup"]["at"]) == ("good", MORNING)
