"""Office: the list of backups, and one more at a press."""

import threading
from datetime import timedelta

import pytest

from app.actions.shop import backups as module
from app.actions.shop.backups import BackupKeeper
from app.places.office import backups as page_module
from app.store.sentences import StoreUnusable
from app.web.long_work import WorkState
from tests.places.page_states import flashes, states, values
from tests.places.payloads import take

ADDRESS = "/office/backups"
LONG = 20


@pytest.fixture
def keeper(app, database, monkeypatch):
    """The backups of the test's own file. However slow the machine is, a press waits for its backup."""
    monkeypatch.setattr(page_module, "AT_ONCE_SECONDS", LONG)
    monkeypatch.setattr(app, "backups", BackupKeeper(database.engine.url.render_as_string(), ""))
    return app.backups


def test_it_works(client, keeper, now):
    assert values(client.get(ADDRESS).text, "backup") == ["none"]
    answer = client.post(ADDRESS)
    assert (answer.status_code, answer.location) == (303, ADDRESS)
    page = client.get(ADDRESS).text
    assert values(page, "made") == [now().isoformat()]
    assert values(page, "unchanged") == ["yes"]
    assert values(page, "backup") == []
    assert flashes(page) == 1
    assert str(keeper.folder) in page


def test_the_newest_stands_first(client, keeper, now):
    for _ in range(2):
        client.post(ADDRESS)
        now.tick(timedelta(days=1))
    made = values(client.get(ADDRESS).text, "made")
    assert made == sorted(made, reverse=True)
    assert len(made) == 2


def test_one_that_was_changed_is_not_said_to_be_checked(client, keeper):
    client.post(ADDRESS)
    keeper.listed()[0].file.touch()
    assert values(client.get(ADDRESS).text, "unchanged") == ["no"]


def test_one_that_fails_says_so_on_every_page_of_the_office_until_one_succeeds(client, keeper):
    keeper.folder.write_text("a file where the folder should be")
    answer = client.post(ADDRESS)
    assert answer.status_code == 503
    assert values(answer.text, "backup").count("failed") == 1
    assert "refused" not in values(answer.text, "backup")
    for address in (ADDRESS, "/office/review", "/office/settings", "/office/stock"):
        assert "failed" in values(client.get(address).text, "backup"), address
        assert str(keeper.folder) in client.get(address).text
    assert values(client.get("/bench").text, "backup") == []
    keeper.folder.unlink()
    assert client.post(ADDRESS).status_code == 303
    assert values(client.get("/office/review").text, "backup") == []


def test_while_one_is_made_an_order_is_taken_and_a_second_press_is_refused(client, app, keeper, monkeypatch):
    at_work, may_go_on, answers = threading.Event(), threading.Event(), []

    def copy_long(*_):
        at_work.set()
        assert may_go_on.wait(20)
        raise StoreUnusable("given up")

    monkeypatch.setattr(module, "make_backup", copy_long)
    press = threading.Thread(target=lambda: answers.append(app.test_client().post(ADDRESS).status_code))
    press.start()
    try:
        assert at_work.wait(20)
        assert take(client)
        second = client.post(ADDRESS)
        assert second.status_code == 503
        assert values(second.text, "backup") == ["refused", "none"]
    finally:
        may_go_on.set()
        press.join()
    assert answers == [503]


def test_a_press_needs_the_forms_key(build_app, database):
    app = build_app(database.engine.url.render_as_string())
    assert app.test_client().post(ADDRESS).status_code == 400
    assert app.backups.listed() == []


def test_on_postgresql_there_is_a_sentence_and_no_button(client, app, monkeypatch):
    monkeypatch.setattr(app, "backups", BackupKeeper("postgresql://127.0.0.1:1/none", ""))
    page = client.get(ADDRESS).text
    assert values(page, "backup") == ["unavailable"]
    assert f'action="{ADDRESS}"' not in page
    assert client.post(ADDRESS).status_code == 503


@pytest.fixture
def slow(app, keeper, monkeypatch):
    """A copy that has made `copied` of 1,000 pages, at first 300, and waits until it may go on; no press waits for
    it."""
    make = module.make_backup

    def copy_slowly(source, folder, now, report):
        report(copy_slowly.copied, 1000)
        while not copy_slowly.opened.wait(0.01):
            report(copy_slowly.copied, 1000)
        return make(source, folder, now, report)

    copy_slowly.copied, copy_slowly.opened = 300, threading.Event()

    monkeypatch.setattr(page_module, "AT_ONCE_SECONDS", 0)
    monkeypatch.setattr(module, "make_backup", copy_slowly)
    yield copy_slowly
    copy_slowly.opened.set()
    app.long_works.stop_all(LONG)


def _started(client, app):
    """Presses the button; the work that runs then."""
    answer = client.post(ADDRESS)
    assert (answer.status_code, answer.location) == (303, ADDRESS)
    work = app.long_works.newest("backup")
    while not work.total:
        assert work.state is WorkState.RUNNING
    return work


def test_one_that_takes_long_says_how_far_it_is_and_then_that_it_is_made(client, app, keeper, slow):
    work = _started(client, app)
    for address in (ADDRESS, f"/office/long-work/{work.key}"):
        (state,) = states(client.get(address).text, "work")
        assert (state["data-work"], state["data-done"], state["data-total"]) == ("running", "300", "1000")
        assert state["hx-trigger"] == "every 500ms"
    slow.opened.set()
    assert work.wait(LONG)
    part = client.get(f"/office/long-work/{work.key}").text
    assert (values(part, "work"), len(states(part, "goes-on"))) == (["done"], 1)
    page = client.get(ADDRESS).text
    assert (flashes(page), len(values(page, "made")), values(page, "work")) == (1, 1, [])
    assert flashes(client.get(ADDRESS).text) == 0


def test_one_that_takes_long_can_be_stopped(client, app, keeper, slow):
    work = _started(client, app)
    assert client.post(ADDRESS, data={"stop": work.key}).status_code == 303
    assert work.wait(LONG)
    page = client.get(ADDRESS).text
    assert values(page, "backup") == ["refused", "none"]
    assert keeper.listed() == []
    slow.opened.set()
    assert client.post(ADDRESS).status_code == 303
    assert app.long_works.newest("backup").wait(LONG)
    assert len(values(client.get(ADDRESS).text, "made")) == 1


def test_while_the_copy_is_checked_there_is_no_stop(client, app, keeper, slow):
    work = _started(client, app)
    assert 'name="stop"' in client.get(ADDRESS).text
    slow.copied = 1000
    while work.done < 1000:
        assert work.state is WorkState.RUNNING
    assert 'name="stop"' not in client.get(ADDRESS).text


def test_one_that_fails_later_says_so_on_the_page(client, app, keeper, slow):
    work = _started(client, app)
    keeper.folder.write_text("a file where the folder should be")
    slow.opened.set()
    assert work.wait(LONG)
    assert work.state is WorkState.FAILED
    assert values(client.get(f"/office/long-work/{work.key}").text, "work") == ["failed"]
    assert values(client.get(ADDRESS).text, "backup").count("failed") == 1
