"""Office: the list of backups, and one more at a press."""

import threading
from datetime import timedelta

import pytest

from app.actions.shop import backups as module
from app.actions.shop.backups import BackupKeeper
from app.store.sentences import StoreUnusable
from tests.places.page_states import flashes, values
from tests.places.payloads import take

ADDRESS = "/office/backups"


@pytest.fixture
def keeper(app, database, monkeypatch):
    """The backups of the test's own file."""
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
