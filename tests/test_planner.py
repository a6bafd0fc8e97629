"""The planner beside the answers."""

import threading
import time
from datetime import timedelta

import pytest
from sqlalchemy.exc import OperationalError

from app import planner as module
from app.actions.shop.backups import BackupKeeper
from app.outlook_process import OutlookProcess
from app.planner import Planner
from app.store.queries.plan import load_plan
from tests.actions.builders import line, order_request, take
from tests.places.payloads import words


@pytest.fixture
def planner(database):
    planner = Planner(database)
    yield planner
    planner.stop()


def _until(wanted, seconds=10):
    for _ in range(seconds * 100):
        if wanted():
            return True
        time.sleep(0.01)
    return False


def _planned_for(database):
    with database.reading() as session:
        return load_plan(session).board_version


def _take(database, key):
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415

    with database.writing() as session:
        catalogue = load_catalogue(session)
        return take(session, order_request(catalogue, line(catalogue)), key=key).number


def test_what_was_taken_before_it_started_is_planned_at_once(database, planner, now):
    _take(database, "key-1")
    planner.start()
    assert _until(lambda: _planned_for(database) > 0)


def test_it_plans_again_when_it_is_woken(database, planner, now):
    planner.start()
    assert _until(lambda: _planned_for(database) > 0)
    first = _planned_for(database)
    _take(database, "key-1")
    planner.wake()
    assert _until(lambda: _planned_for(database) > first)


def test_started_it_has_the_plan_calculated_by_another_process(database, planner, now, monkeypatch):
    asked = []
    look_ahead = OutlookProcess.look_ahead
    monkeypatch.setattr(OutlookProcess, "look_ahead", lambda *args: asked.append(1) or look_ahead(*args))
    _take(database, "key-1")
    planner.start()
    assert _until(lambda: _planned_for(database) > 0)
    assert asked


def test_trouble_is_logged_and_it_goes_on(database, planner, monkeypatch, caplog, now):
    real, failed = module.save_plan, []

    def keep_once_in_vain(session, made):
        if not failed:
            failed.append(1)
            raise OperationalError("no", {}, Exception("disk"))
        return real(session, made)

    monkeypatch.setattr(module, "save_plan", keep_once_in_vain)
    _take(database, "key-1")
    planner.start()
    assert _until(lambda: any(one.name == module.__name__ for one in caplog.records))
    planner.wake()
    assert _until(lambda: _planned_for(database) > 0)


@pytest.fixture
def keeper(database, tmp_path):
    return BackupKeeper(database.engine.url.render_as_string(), str(tmp_path / "stick"))


def test_a_backup_is_made_once_it_is_due(database, keeper, now):
    """At the start for what may have been saved before, and after closing if something was saved since."""
    planner = Planner(database, keeper)
    planner.back_up_if_due()
    assert len(keeper.listed()) == 1  # the shop closed last night, and nothing says what was saved since
    planner = Planner(database, keeper)
    now.tick(timedelta(seconds=1))
    keeper.make(now())
    now.move_to(now().replace(hour=18))
    planner.back_up_if_due()
    assert len(keeper.listed()) == 2  # nothing was saved since
    planner.start()
    assert _until(lambda: len(keeper.listed()) == 3)
    planner.stop()


def test_a_backup_that_fails_is_logged_and_the_plan_goes_on(database, keeper, now, caplog):
    keeper.folder.write_text("a file where the folder should be")
    planner = Planner(database, keeper)
    planner.start()
    try:
        assert _until(lambda: keeper.failure)
        assert _until(lambda: any(one.name == module.__name__ for one in caplog.records))
        _take(database, "key-1")
        planner.wake()
        assert _until(lambda: _planned_for(database) > 1)
    finally:
        planner.stop()


def test_every_write_wakes_it_and_no_read_does(app, client, monkeypatch):
    woken = []
    monkeypatch.setattr(app, "after_write", lambda: woken.append(1))
    client.get("/bench")
    client.post("/counter/draft", data={"fix": "live"})
    ill = {
        "day": "2026-11-21",
        "from": "8:00",
        "to": "9:00",
        "by": "-1",
        "shown_shifts": "08:00 to 18:00: 1 person",
    }
    client.post("/bench/staff", data=ill | {"from": "x"})
    assert woken == []
    client.post("/bench/staff", data=ill)
    assert woken == [1]


def test_a_plan_that_is_followed_is_not_worked_out_again(database, planner, now, monkeypatch):
    """By what it does, not by its clock: until the first block begins, nothing is reckoned."""
    _take(database, "key-1")
    assert planner.plan_now()
    reckoned = []
    real = module.calculate_plan
    monkeypatch.setattr(module, "calculate_plan", lambda *args: reckoned.append(1) or real(*args))
    assert not planner.plan_now()
    now.tick(timedelta(hours=6, minutes=29))
    assert not planner.plan_now()
    assert reckoned == []
    now.tick(timedelta(minutes=2))
    planner.plan_now()
    assert reckoned == [1]
    _take(database, "key-2")
    assert planner.plan_now()
    assert reckoned == [1, 1]


def test_while_it_reckons_pages_are_read_and_orders_are_taken(app, client, monkeypatch):
    """Nobody waits for it: neither the bench nor another write."""
    reckoning, may_go_on = threading.Event(), threading.Event()

    def reckon_long(*_):
        reckoning.set()
        assert may_go_on.wait(20)
        raise OperationalError("no", {}, Exception("given up"))

    monkeypatch.setattr(module, "calculate_plan", reckon_long)
    planner = Planner(app.database)
    planner.start()
    try:
        assert reckoning.wait(20)
        assert client.get("/bench").status_code == 200
        assert _take(app.database, "key-1")
        assert "24 × 11 in latex" in words(client.get("/bench").text)
    finally:
        may_go_on.set()
        planner.stop()
